import { readdirSync, readFileSync } from 'node:fs';
import { z } from 'zod';
import type { Rulebook } from '../src/rulebook/rulebook.ts';
import { Did, Id } from '../src/rulebook/schema.ts';
import { readLines } from '../src/write-up/read.ts';
import type { ReadLine, Sure } from '../src/write-up/reading.ts';

/** Lines of repair orders with what they say, as data, and how many of them are read right. */

const FOLDER = new URL('cases/write-up/', import.meta.url);

const LineCase = z.strictObject({
  text: z.string().min(1),
  market: z.string().optional(),
  gives: z.array(
    z.strictObject({
      part: Id,
      did: Did.optional().describe('left out: the line does not say, it is to be asked'),
      at: z.array(Id).min(1).optional(),
      where: z.array(Id).min(2).optional().describe('what must be offered when the place is asked'),
    }),
  ),
  because: z.string().optional().describe('why the line gives nothing'),
  held: z.literal(true).optional().describe('held back: nothing is tuned on it'),
});
export type LineCase = z.infer<typeof LineCase>;

const LinesFile = z.strictObject({
  about: z.string(),
  style: z.array(z.string()).optional().describe('where the way of writing was seen; the lines are invented'),
  foreign: z.literal(true).optional().describe('as other hands write, labelled before any was read: counted apart'),
  lines: z.array(LineCase).min(1),
});

export const lineFiles = readdirSync(FOLDER)
  .sort()
  .map((file) => ({ file, ...LinesFile.parse(JSON.parse(readFileSync(new URL(file, FOLDER), 'utf8'))) }));
export const lineCases: readonly LineCase[] = lineFiles.flatMap(({ lines }) => lines);

/** The lines in their four lots. */
export const LOTS = (['own', 'foreign'] as const).flatMap((hand) =>
  (['tuned', 'held back'] as const).map((half) => ({
    lot: `${hand}, ${half}` as const,
    cases: lineFiles
      .filter(({ foreign = false }) => foreign === (hand === 'foreign'))
      .flatMap(({ lines }) => lines)
      .filter(({ held = false }) => held === (half === 'held back')),
  })),
);

export interface Score {
  readonly right: number;
  readonly proposed: number;
  readonly wanted: number;
}

/** What is compared: the part alone, with what was done, with where as well. */
export const LEVELS = ['part', 'part and did', 'part, did and place'] as const;
export type Level = (typeof LEVELS)[number];

export function readCase({ text, market }: LineCase, rulebook: Rulebook): ReadLine | undefined {
  return readLines(text, rulebook, market).lines[0];
}

export function score(cases: readonly LineCase[], rulebook: Rulebook, level: Level): Score {
  let [right, proposed, wanted] = [0, 0, 0];
  for (const one of cases) {
    const [want, got] = [wantedKeys(one, level), proposedKeys(readCase(one, rulebook), level)];
    right += got.filter((key) => want.includes(key)).length;
    proposed += got.length;
    wanted += want.length;
  }
  return { right, proposed, wanted };
}

/** Of the lines that give nothing, how many gave nothing, and for how many the reason was the one stated. */
export function passedOver(
  cases: readonly LineCase[],
  rulebook: Rulebook,
): { lines: number; silent: number; reasoned: number } {
  const none = cases.filter(({ gives }) => gives.length === 0);
  const read = none.map((one) => ({ one, line: readCase(one, rulebook) }));
  const silent = read.filter(({ line }) => (line?.proposals.length ?? 0) === 0);
  const reasoned = silent.filter(({ one, line }) => line?.passed.some(({ kind }) => kind === one.because));
  return { lines: none.length, silent: silent.length, reasoned: reasoned.length };
}

/** Of the proposals of each degree of sureness, how many name part and did as the case has them. */
export function bySureness(cases: readonly LineCase[], rulebook: Rulebook): Map<Sure, { right: number; of: number }> {
  const counts = new Map<Sure, { right: number; of: number }>();
  for (const one of cases) {
    const want = wantedKeys(one, 'part and did');
    for (const { part, did, sure } of readCase(one, rulebook)?.proposals ?? []) {
      const { right, of } = counts.get(sure) ?? { right: 0, of: 0 };
      counts.set(sure, { right: right + (want.includes(`${part ?? '?'} ${did ?? '?'}`) ? 1 : 0), of: of + 1 });
    }
  }
  return counts;
}

export function wantedKeys({ gives }: LineCase, level: Level): string[] {
  return keys(
    gives.map(({ part, did, at }) => ({ part, did: did ?? '?', at: at ?? [] })),
    level,
  );
}

export function proposedKeys(line: ReadLine | undefined, level: Level): string[] {
  return keys(
    (line?.proposals ?? []).map(({ part, did, at }) => ({ part: part ?? '?', did: did ?? '?', at })),
    level,
  );
}

function keys(lines: readonly { part: string; did: string; at: readonly string[] }[], level: Level): string[] {
  const depth = LEVELS.indexOf(level);
  return [
    ...new Set(lines.map(({ part, did, at }) => [part, did, [...at].sort().join('+')].slice(0, depth + 1).join(' '))),
  ];
}
