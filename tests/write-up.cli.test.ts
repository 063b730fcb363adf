import { mkdirSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { builtCli } from './built-cli.ts';
import { filesOf } from './small-rulebook.ts';

const { work, lastbolt, file } = builtCli('lines');
const lines = (args: readonly string[], input: string | Buffer = '') => lastbolt(['lines', ...args], input);

const ORDER = 'R&R LF wheel brg, align; pt declined wipers; prog BCM\r\n\r\nfront strut replaced\nreplaced sun visor\n';

describe.concurrent('lines', () => {
  test('prints what each line gives, what it rests on, what is asked and what was passed over, on 80 columns', async () => {
    const { code, out, err } = await lines([file('order.txt', ORDER)]);
    expect([code, err]).toEqual([0, '']);
    for (const words of [
      '4 work lines proposed, none taken',
      '   1 R&R LF wheel brg, align; pt declined wipers; prog BCM',
      '> Wheel bearing or hub, replaced, front left',
      'clear, from `R&R` `LF` `wheel` `brg`',
      '> Wheel alignment, adjusted',
      '> Body control module, programmed',
      '- `wipers`: declined, or not done',
      '   3 front strut replaced',
      '? Where? front left, front right',
      '- `sun visor`: no such part here',
    ])
      expect(out).toContain(words);
    expect(Math.max(...out.split('\n').map((line) => line.length))).toBeLessThanOrEqual(80);
  });

  test('gives the reading as JSON, from standard input too, the same bytes each time', async () => {
    const [one, two] = await Promise.all([lines(['-', '--json'], ORDER), lines([file('again.txt', ORDER), '--json'])]);
    expect(one.out).toBe(two.out);
    const reading = JSON.parse(one.out);
    expect(reading.lines.map(({ number }: { number: number }) => number)).toEqual([1, 3, 4]);
    expect(reading.lines[0].proposals[0]).toMatchObject({ part: 'wheel-bearing', did: 'replaced', at: ['front-left'] });
  });

  test('takes the side of the driver from the market', async () => {
    const [gb, none] = await Promise.all([
      lines(['-', '--market', 'GB'], 'o/s/f strut replaced'),
      lines(['-'], 'o/s/f strut replaced'),
    ]);
    expect(gb.out).toContain('> Strut, replaced, front right');
    expect(none.out).toContain('? Which side? It hangs on where the driver sits. front left, front right');
  });

  test('says with its exit code that no line names any work', async () => {
    const { code, out } = await lines(['-'], 'thank you for your business\n');
    expect(code).toBe(1);
    expect(out).toContain('names no work on a part');
  });

  test('prints nothing that a terminal would obey', async () => {
    const { out } = await lines(['-'], 'replaced \u001B[31malternator\u0007\u202E\n');
    // oxlint-disable-next-line no-control-regex -- it is what is looked for
    expect(out).not.toMatch(/[\u0000-\u0009\u000B-\u001F\u202E]/);
  });

  const big = join(work, 'big.txt');
  writeFileSync(big, '');
  truncateSync(big, 50_000_000);
  mkdirSync(join(work, 'folder'));
  const small = join(work, 'rules');
  mkdirSync(join(small, 'test'), { recursive: true });
  for (const [at, text] of filesOf({ rules: {}, parts: { bolt: {} } })) writeFileSync(join(small, at), text);
  test.each<[string, string[], string | Buffer, string]>([
    ['an empty text', ['-'], ' \n\t\n', 'standard input: is empty; paste the lines of a repair order into it'],
    ['no such file', ['nowhere.txt'], '', 'nowhere.txt: no such file'],
    ['a folder', ['folder'], '', 'folder: is a folder; name one file in it'],
    ['50 MB', [big], '', 'is too large to be one of ours (50.0 MB)'],
    [
      'what is not UTF-8',
      ['-'],
      Buffer.from([0x52, 0xff, 0xfe]),
      'standard input: is not UTF-8 text; save it as UTF-8',
    ],
    ['a market there is not', ['-', '--market', 'GBR'], 'x', '--market: unknown market: `GBR`; did you mean `GB`?'],
    ['a rulebook without words', ['-', '--rules', small], 'x', 'has no words.json; lines are read by the words in it'],
    ['no file', [], '', "missing required argument 'FILE'"],
    ['an unknown option', ['-', '--jsno'], '', "unknown option '--jsno'"],
  ])('refuses %s', async (_, args, input, words) => {
    const { code, out, err } = await lines(args, input);
    expect(err).toContain(words);
    expect([code, out]).toEqual([2, '']);
  });
});
