import type { Lexicon } from './lexicon.ts';
import type { Mention } from './mentions.ts';
import type { Word } from './words.ts';

const MOST_BETWEEN = 2;

/**
 * Mentions that are only half of another part's name: "door" in "door jamb switch", "spring" in "valve spring".
 * Gives each the index of the last word of that name.
 */
export function findStrangers(
  words: readonly Word[],
  mentions: readonly Mention[],
  lexicon: Lexicon,
): Map<Mention, number> {
  const owner = new Map(mentions.flatMap((mention) => mention.used.map((at) => [at, mention] as const)));
  const found = new Map<Mention, number>();
  for (const mention of mentions) {
    if (mention.works.length > 0 || mention.lent) continue;
    if (mention.passes === 'follow-up') found.set(mention, last(mention));
    const head = headBehind(words, mention, owner, lexicon);
    if (head !== undefined) {
      found.set(mention, head);
      const other = owner.get(head);
      if (other) found.set(other, head);
    } else if (mention.parts.length === 0 || modified(words, mention, owner, lexicon))
      found.set(mention, last(mention));
  }
  return found;
}

/** The mentions that are more than half of another one's name. */
export function withoutModifiers(words: readonly Word[], mentions: readonly Mention[]): Mention[] {
  return mentions.flatMap((mention, i) => {
    if (isModifier(words, mention, mentions[i + 1])) return [];
    const before = mentions[i - 1];
    return [before && isModifier(words, before, mention) ? { ...mention, modified: true as const } : mention];
  });
}

/** "traction motor inverter", "rear screen wiper motor": the second says what it is, the first only which. */
function isModifier(words: readonly Word[], { used, parts, works }: Mention, next: Mention | undefined): boolean {
  if (!next || works.length > 0 || next.works.length > 0 || parts.length === 0 || next.parts.length === 0) return false;
  const end = used.at(-1) as number;
  return next.used[0] === end + 1 && !words[end]?.plural && !words[end + 1]?.place;
}

function last({ used }: Mention): number {
  return used.at(-1) as number;
}

/** A noun behind the name, with nothing but unknown words between, makes it another part's. */
function headBehind(
  words: readonly Word[],
  mention: Mention,
  owner: ReadonlyMap<number, Mention>,
  lexicon: Lexicon,
): number | undefined {
  for (let at = last(mention) + 1; at <= last(mention) + 1 + MOST_BETWEEN; at++) {
    const word = words[at];
    if (!word || !isNoun(word, lexicon)) return undefined;
    const other = owner.get(at);
    if (other && (other.used.length > 1 || other.works.length > 0)) return undefined;
    if (lexicon.heads.has(word.text)) return at;
    if (other) return undefined;
  }
  return undefined;
}

/** A name of one word right behind a noun that other parts are named with. */
function modified(
  words: readonly Word[],
  mention: Mention,
  owner: ReadonlyMap<number, Mention>,
  lexicon: Lexicon,
): boolean {
  const at = (mention.used[0] as number) - 1;
  const word = words[at];
  // "glovebox door" is no door all the same.
  if (mention.modified && !lexicon.heads.has(words[last(mention)]?.text ?? '')) return false;
  if (mention.used.length > 1 || !word || owner.has(at) || !isNoun(word, lexicon)) return false;
  return lexicon.ofPhrases.has(word.text) || lexicon.heads.has(word.text);
}

function isNoun(word: Word, { soft, filler, begins, passes }: Lexicon): boolean {
  if (word.kind !== 'word' || word.place || word.verb) return false;
  return !soft.has(word.text) && !filler.has(word.text) && !begins.has(word.text) && !passes.has(word.text);
}
