import { describe, expect, test } from 'vitest';
import { checklist } from '../src/checklist.ts';
import { printFault } from '../src/rulebook/fault.ts';
import { loadRulebook } from '../src/rulebook/load.ts';
import type { Rulebook } from '../src/rulebook/rulebook.ts';
import { mustRead, numbers, randomJob, ruleFiles, rulebook } from './real-rulebook.ts';

type Json = Record<string, Record<string, unknown>>;

const traits = JSON.parse(ruleFiles.get('traits.json') as string) as Json;

/** The project's rulebook with other rows of traits. */
function withTraits(change: (id: string, row: Record<string, unknown>) => Record<string, unknown>): Rulebook {
  const rows = Object.fromEntries(
    Object.entries(traits).map(([id, row]) => [id, id === '$schema' ? row : change(id, row)]),
  );
  const loaded = loadRulebook(new Map([...ruleFiles, ['traits.json', JSON.stringify(rows)]]));
  expect(loaded.faults.map(printFault)).toEqual([]);
  return loaded.rulebook;
}

const question = (id: string, vehicle: object, part: string, book = rulebook) =>
  checklist(mustRead({ ro: '1', vehicle, work: [{ part, did: 'replaced' }] }, book), book).questions.find(
    (q) => q.id === id,
  );

describe('what is likely by maker and model year', () => {
  // CH-070, CH-074: the makers' service information on wheel sensors.
  test.each([
    [{ maker: 'Chevrolet', modelYear: 2012 }, 'direct-order'],
    [{ maker: 'Kia', modelYear: 2018 }, 'direct-road'],
    [{ maker: 'Kia', modelYear: 1999 }, undefined],
    [{ maker: 'Chevrolet' }, undefined],
    [{ modelYear: 2012 }, undefined],
    [{ maker: 'Kia', modelYear: 2018, traits: { 'tyre-pressure-warning': ['none', 'indirect'] } }, undefined],
    [{ maker: 'Kia', modelYear: 2018, traits: { 'tyre-pressure-warning': 'indirect' } }, undefined],
  ])('stands beside the question: %j', (vehicle, value) => {
    const asked = question('tyre-pressure-warning', vehicle, 'tyre');
    expect(asked).toBeDefined();
    expect(asked?.likely?.value).toBe(value);
  });

  test('the nearest scope speaks: a maker before the years alone', () => {
    const rows = [
      { scope: { years: [2000, 2030] }, value: 'none', because: 'years', sources: ['memory'] },
      { scope: { makers: ['kia'] }, value: 'indirect', because: 'maker', sources: ['memory'] },
    ];
    for (const likely of [rows, rows.toReversed()]) {
      const book = withTraits((id, row) => (id === 'tyre-pressure-warning' ? { ...row, likely } : row));
      expect(question('tyre-pressure-warning', { maker: 'kia', modelYear: 2015 }, 'tyre', book)?.likely).toEqual({
        value: 'indirect',
        because: 'maker',
      });
    }
  });

  test('a value that the trait has not is a fault', () => {
    const likely = [{ scope: { makers: ['kia'] }, value: 'indirekt', because: 'b', sources: ['memory'] }];
    const text = JSON.stringify({ ...traits, 'tyre-pressure-warning': { ...traits['tyre-pressure-warning'], likely } });
    const { faults } = loadRulebook(new Map([...ruleFiles, ['traits.json', text]]));
    expect(faults.map(printFault)).toEqual([
      'traits.json#/tyre-pressure-warning/likely/0/value: is not one of its values: `indirekt`; did you mean `indirect`?',
    ]);
  });

  test('nothing but the mark beside a question changes with it, byte for byte', () => {
    const without = withTraits((_id, { likely: __, ...row }) => row);
    const next = numbers(5);
    let marked = 0;
    for (let i = 0; i < 80; i++) {
      const job = randomJob(next);
      const sparse = { ...job, vehicle: { ...job.vehicle, traits: {} } };
      const withIt = checklist(mustRead(sparse), rulebook, { all: true });
      const withoutIt = checklist(mustRead(sparse, without), without, { all: true });
      marked += withIt.questions.filter((q) => q.likely).length;
      const plain = { ...withIt, rulebook: '', questions: withIt.questions.map(({ likely: __, ...q }) => q) };
      expect(JSON.stringify(plain)).toBe(JSON.stringify({ ...withoutIt, rulebook: '' }));
    }
    expect(marked).toBeGreaterThan(25);
  }, 60_000);
});
