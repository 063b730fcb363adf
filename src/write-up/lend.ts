import { bagKey, type Lexicon } from './lexicon.ts';
import type { Mention } from './mentions.ts';
import type { Word } from './words.ts';

const STOPS = new Set(['.', ';']);
const LINKS = new Set(['and', '&', '/', ',', '-', 'plus', 'or']);

/** Mentions of which one word is said once for two: "cam and crank sensors", "radiator, both hoses". */
export function lendWords(words: readonly Word[], mentions: readonly Mention[], lexicon: Lexicon): Mention[] {
  const taken = new Set(mentions.flatMap(({ used }) => used));
  const lent: Mention[] = [];
  for (const mention of mentions) {
    if (mention.used.length < 2 || mention.parts.length === 0) continue;
    lent.push(...before(words, mention, taken, lexicon));
  }
  // "hitch and wiring": the trailer's wiring, though wiring by itself is a part too.
  const alone = new Map(
    mentions.flatMap((one) => (one.used.length === 1 && one.works.length === 0 ? [[one.used[0] as number, one]] : [])),
  );
  const replaced = new Set<Mention>();
  for (const [at, word] of words.entries()) {
    const own = alone.get(at);
    if ((taken.has(at) && !own) || !lexicon.ofPhrases.has(word.text) || word.kind !== 'word') continue;
    const mention = behind(words, at, mentions, taken, lexicon);
    if (!mention) continue;
    lent.push(mention);
    if (own) replaced.add(own);
  }
  return [...mentions.filter((one) => !replaced.has(one)), ...lent].sort(
    (a, b) => (a.used[0] as number) - (b.used[0] as number),
  );
}

/** "air, cabin and fuel filters": from the last on, each takes the head of the one behind it. */
function before(words: readonly Word[], mention: Mention, taken: ReadonlySet<number>, lexicon: Lexicon): Mention[] {
  const own = mention.used.map((at) => (words[at] as Word).text);
  const found: Mention[] = [];
  for (let at = (mention.used[0] as number) - 1; at > 0; at -= 2) {
    const [link, word] = [words[at], words[at - 1]];
    if (!link || !word || !LINKS.has(link.text) || taken.has(at - 1) || word.kind !== 'word' || word.verb) break;
    const parts = partsOf([word.text, ...own.slice(1)], lexicon) ?? partsOf([word.text, own.at(-1) as string], lexicon);
    if (!parts || parts.join() === mention.parts.join()) break;
    found.push({ used: [at - 1], parts, works: [], inOrder: true, lent: true });
  }
  return found;
}

/** "radiator, both hoses": a head behind a link takes the first word of a part named before it. */
function behind(
  words: readonly Word[],
  at: number,
  mentions: readonly Mention[],
  taken: ReadonlySet<number>,
  lexicon: Lexicon,
): Mention | undefined {
  let link = at - 1;
  const over = (word: Word | undefined) => word && (word.place || word.verb || lexicon.soft.has(word.text));
  while (link >= 0 && !taken.has(link) && over(words[link])) link--;
  const strong = STOPS.has(words[link]?.text ?? '');
  if (!(strong || LINKS.has(words[link]?.text ?? '')) || taken.has(link)) return undefined;
  const word = words[at] as Word;
  const named = mentions.filter(({ used, passes }) => (used.at(-1) as number) < at && !passes).slice(-3);
  for (const { used, parts: own } of named.reverse()) {
    const texts = used.map((one) => (words[one] as Word).text);
    const lent = { used: [at], works: [], inOrder: true, lent: true };
    // "ring cracked, new ring fitted"
    if (own.length > 0 && used.length > 1 && texts.at(-1) === word.text) return { ...lent, parts: own };
    // "door window stuck; replaced regulator": over a full stop only the last noun is lent.
    const parts =
      (strong ? undefined : partsOf([texts[0] as string, word.text], lexicon, true)) ??
      (texts.length > 1 ? partsOf([texts.at(-1) as string, word.text], lexicon, true) : undefined) ??
      instead(texts, word.text, lexicon);
    if (parts) return { ...lent, parts };
  }
  return undefined;
}

/** "tie rods, inner and outer": the word takes the place of one of its kind. */
function instead(texts: readonly string[], word: string, lexicon: Lexicon): string[] | undefined {
  if (!lexicon.soft.has(word)) return undefined;
  const at = texts.findIndex((text) => lexicon.soft.has(text));
  return at < 0 ? undefined : partsOf(texts.with(at, word), lexicon);
}

function partsOf(bag: readonly string[], { phrases }: Lexicon, inOrder = false): string[] | undefined {
  const listed = (phrases.get(bagKey(bag)) ?? []).filter(
    ({ gives, words }) => gives.length > 0 && !gives[0]?.did && (!inOrder || words.join(' ') === bag.join(' ')),
  );
  const parts = [...new Set(listed.flatMap(({ gives }) => gives.map(({ part }) => part)))].sort();
  return parts.length > 0 ? parts : undefined;
}
