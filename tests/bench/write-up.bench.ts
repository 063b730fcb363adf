import { readLines } from '../../src/write-up/read.ts';
import { rulebook } from '../real-rulebook.ts';
import { bySureness, LEVELS, lineCases, LOTS, passedOver, score } from '../write-up.lines.ts';
import type { Row } from './run.ts';

export const name = 'write-up';

/** How much of the lines is read right, the held-back halves and other hands' lines apart, and how long a long order takes. */
export function run(): Row[] {
  const rows = LOTS.flatMap(({ lot: half, cases }): Row[] => {
    const { lines, silent, reasoned } = passedOver(cases, rulebook);
    return [
      ...LEVELS.map((level): Row => {
        const { right, proposed, wanted } = score(cases, rulebook, level);
        return { half, what: level, precision: right / proposed, recall: right / wanted, of: wanted };
      }),
      ...[...bySureness(cases, rulebook)].map(
        ([sure, { right, of }]): Row => ({
          half,
          what: `part and did, ${sure}`,
          precision: right / of,
          recall: '',
          of,
        }),
      ),
      { half, what: 'gives nothing', precision: silent / lines, recall: '', of: lines },
      { half, what: 'gives nothing, reason right', precision: reasoned / lines, recall: '', of: lines },
    ];
  });
  const text = lineCases.map((one) => one.text).join('\n');
  const start = performance.now();
  const { lines } = readLines(text, rulebook);
  return [
    ...rows,
    {
      half: 'all',
      what: 'milliseconds a line',
      precision: (performance.now() - start) / lines.length,
      recall: '',
      of: lines.length,
    },
  ];
}
