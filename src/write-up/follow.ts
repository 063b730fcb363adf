import type { Lexicon } from './lexicon.ts';
import type { Mention } from './mentions.ts';
import type { Word } from './words.ts';

/** "R&R caliper, bleed", "water pump replaced, system bled": phrases whose part is known by the one named before them. */
export function addFollowing(words: readonly Word[], mentions: readonly Mention[], lexicon: Lexicon): Mention[] {
  const taken = new Set(mentions.flatMap(({ used }) => used));
  const found = words.flatMap((_, at): Mention[] => {
    const phrase = phraseAt(words, at, taken, lexicon);
    const part = phrase && partBefore(mentions, at, phrase.row, lexicon);
    if (!phrase || !part) return [];
    return [{ used: phrase.used, parts: [], works: [{ part, did: phrase.row.did }], inOrder: true, lent: true }];
  });
  return [...mentions, ...found].sort((a, b) => (a.used[0] as number) - (b.used[0] as number));
}

type Row = Lexicon['words']['follows'][number];

/** "bleed", "bled the system", "system bled"; nothing that is known may stand right behind it. */
function phraseAt(
  words: readonly Word[],
  at: number,
  taken: ReadonlySet<number>,
  { follows, soft }: Lexicon,
): { used: number[]; row: Row } | undefined {
  const verb = words[at]?.verb;
  if (!verb || taken.has(at)) return undefined;
  const near = (step: number) => {
    let one = at + step;
    while (words[one] && soft.has((words[one] as Word).text)) one += step;
    return one;
  };
  for (const other of [near(1), near(-1)]) {
    const row = follows.get(`=${verb.base} ${words[other]?.text}`);
    if (row && !taken.has(other)) return { used: [at, other].sort((a, b) => a - b), row };
  }
  const row = follows.get(`=${verb.base}`);
  const next = words[near(1)];
  return row && (!next || next.kind === 'mark' || next.text === 'and') && !taken.has(near(1))
    ? { used: [at], row }
    : undefined;
}

function partBefore(mentions: readonly Mention[], at: number, row: Row, { parts }: Lexicon): string | undefined {
  const before = mentions.filter(({ used }) => (used.at(-1) as number) < at).reverse();
  for (const { parts: own, works } of before) {
    const id = own[0] ?? works[0]?.part ?? '';
    const system = parts.get(id)?.text.system ?? '';
    const part = Object.hasOwn(row['by-part'], id)
      ? row['by-part'][id]
      : Object.hasOwn(row['by-system'], system)
        ? row['by-system'][system]
        : undefined;
    if (part) return part;
  }
  return undefined;
}
