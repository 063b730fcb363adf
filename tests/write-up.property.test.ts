import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { DIDS } from '../src/rulebook/schema.ts';
import { readLines } from '../src/write-up/read.ts';
import type { ReadLine } from '../src/write-up/reading.ts';
import { numbers, rulebook } from './real-rulebook.ts';
import { lineCases } from './write-up.lines.ts';

const one = fc.constantFrom(...lineCases);

/** What a line gives, without where in the text it stands. */
function gist(line: ReadLine | undefined): unknown {
  return line?.proposals.map(({ part, did, at, asks }) => ({ part, did, at, asks }));
}

function read(text: string, market?: string): unknown {
  return gist(readLines(text, rulebook, market).lines[0]);
}

describe('the same answer', () => {
  test('for the same text, byte for byte', () => {
    fc.assert(
      fc.property(one, ({ text, market }) => {
        expect(JSON.stringify(readLines(text, rulebook, market))).toBe(
          JSON.stringify(readLines(text, rulebook, market)),
        );
      }),
    );
  });

  test('for lines in another order', () => {
    fc.assert(
      fc.property(fc.uniqueArray(one, { minLength: 2, maxLength: 12 }), fc.integer(), (cases, seed) => {
        const next = numbers(seed);
        const shuffled = cases
          .map((line) => ({ line, at: next() }))
          .sort((a, b) => a.at - b.at)
          .map(({ line }) => line);
        const lines = readLines(shuffled.map(({ text }) => text).join('\n'), rulebook, 'GB').lines;
        expect(lines.map(gist)).toEqual(shuffled.map(({ text }) => read(text, 'GB')));
      }),
    );
  });

  test('in capitals and with more spaces', () => {
    // A full stop behind shorthand is told from one behind a sentence by the capital that follows.
    const plain = one.filter(({ text }) => !/[a-z]\. [a-z]/.test(text));
    fc.assert(
      fc.property(plain, fc.integer({ min: 2, max: 4 }), ({ text, market }, spaces) => {
        const wide = `  ${text.replaceAll(' ', ' '.repeat(spaces))}\t`;
        expect(read(text.toUpperCase(), market)).toEqual(read(text, market));
        expect(read(wide, market)).toEqual(read(text, market));
      }),
    );
  });

  test('with one letter of a long word doubled or left out', () => {
    const lines = [
      'alternator',
      'thermostat',
      'radiator',
      'windscreen',
      'transmission',
      'crankshaft sensor',
      'compressor',
      'camshaft sensor',
    ];
    fc.assert(
      fc.property(fc.constantFrom(...lines), fc.nat(), fc.boolean(), (name, where, twice) => {
        const [word = ''] = name.split(' ');
        const at = 1 + (where % (word.length - 2));
        const wrong = word.slice(0, at) + (twice ? word[at]?.repeat(2) : '') + word.slice(at + 1);
        expect(read(`replaced ${name.replace(word, wrong)}`)).toEqual(read(`replaced ${name}`));
      }),
    );
  });
});

const junk = fc.oneof(
  fc.string({ unit: 'binary', maxLength: 200 }),
  fc.string({ maxLength: 200 }),
  fc
    .array(
      fc.constantFrom(
        'R&R',
        'LF',
        'brake',
        'front',
        '/',
        '&',
        ',',
        'replaced',
        'and',
        '4',
        '.',
        'sensor',
        'İ',
        'ß',
        '__proto__',
        'constructor',
        'toString',
      ),
      { maxLength: 60 },
    )
    .map((words) => words.join(' ')),
);

test('whatever is pasted: proposals are of the rulebook, and spans lie within the line in order', () => {
  fc.assert(
    fc.property(junk, fc.constantFrom(undefined, 'US', 'GB', 'nowhere', '__proto__'), (text, market) => {
      for (const line of readLines(text, rulebook, market).lines) {
        for (const { part, did, at, asks, words, confidence } of line.proposals) {
          const row = part === null ? undefined : rulebook.parts.get(part)?.text;
          if (part === null) expect(asks.some(({ about }) => about === 'part')).toBe(true);
          else expect(row).toBeDefined();
          if (did === null) expect(asks.some(({ about }) => about === 'did')).toBe(true);
          else if (row) expect(row.did ?? DIDS).toContain(did);
          for (const place of at) expect(row?.at ?? []).toContain(place);
          expect(confidence).toBeGreaterThan(0);
          expect(confidence).toBeLessThanOrEqual(1);
          let end = 0;
          for (const span of words) {
            expect(span.from).toBeGreaterThanOrEqual(end);
            expect(span.to).toBeGreaterThan(span.from);
            expect(span.to).toBeLessThanOrEqual(line.text.length);
            end = span.to;
          }
        }
        expect(line.proposals.length + line.passed.length).toBeGreaterThan(0);
      }
    }),
  );
});

test.each([
  '__proto__',
  'constructor',
  'replaced __proto__',
  '<script>alert(1)</script>',
  '\u0000\u0007\u202E',
  'toString valueOf hasOwnProperty',
])('%j is harmless', (text) => {
  const [line] = readLines(text, rulebook, text).lines;
  expect(line?.proposals).toEqual([]);
  expect(({} as Record<string, unknown>).polluted).toBeUndefined();
});

/** Generous: what is asserted is that nothing grows without bound, not a speed. */
const MOST_SECONDS = 25;

test.each([
  [
    'random words',
    (next: () => number) =>
      Array.from({ length: 140_000 }, (_, i) => word(next) + (i % 12 === 11 ? '\n' : ' ')).join(''),
  ],
  ['one line', () => 'replaced front '.repeat(70_000)],
  ['places and links', () => 'LF & RR / front and rear, '.repeat(1_000).concat('\n').repeat(40)],
  ['no spaces', () => 'brakepads'.repeat(110_000)],
])('a megabyte of %s is read or refused in time', { timeout: 2 * MOST_SECONDS * 1000 }, (_, make) => {
  const text = make(numbers(7));
  expect(text.length).toBeGreaterThan(900_000);
  const start = performance.now();
  const { lines, unread } = readLines(text, rulebook, 'US');
  expect(lines.length + unread).toBeGreaterThan(0);
  expect((performance.now() - start) / 1000).toBeLessThan(MOST_SECONDS);
});

test('says how many lines it left unread, and that a line was too long', () => {
  expect(readLines('x\n'.repeat(2_500), rulebook).unread).toBe(500);
  const [line] = readLines(`replaced alternator ${'x '.repeat(3_000)}`, rulebook).lines;
  expect(line?.proposals[0]?.part).toBe('alternator');
  expect(line?.passed.at(-1)).toMatchObject({ kind: 'too-long', words: { from: 2_000 } });
});

function word(next: () => number): string {
  return Array.from(
    { length: 3 + Math.floor(next() * 8) },
    () => 'etaoinshrdlucmfwypvbgk'[Math.floor(next() * 22)],
  ).join('');
}
