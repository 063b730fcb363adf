import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { type Checklist, checklist } from '../src/checklist.ts';
import { order } from '../src/resolve/order.ts';
import { place } from '../src/resolve/place.ts';
import { resolve } from '../src/resolve/resolve.ts';
import { writeSteps } from '../src/resolve/step.ts';
import { NEVER, range } from '../src/rulebook/condition.ts';
import { reaches } from '../src/rulebook/rulebook.ts';
import type { Scope } from '../src/rulebook/schema.ts';
import { mustRead, numbers, type RandomJob, randomJob, rulebook } from './real-rulebook.ts';
import { broken, pairs, STATED, type Stated } from './stated-orders.ts';

test('every step that an order names is in the rulebook', () => {
  expect(STATED.flatMap((s) => s.chain).filter((id) => !rulebook.followUps.has(id))).toEqual([]);
});

describe('orders stated by a source hold', () => {
  const dir = new URL('./cases/jobs/', import.meta.url);
  const cases = readdirSync(dir).filter((f) => f.endsWith('.json'));
  test.each(cases)('on %s', (file) => {
    const { job } = JSON.parse(readFileSync(new URL(file, dir), 'utf8'));
    expect(broken(checklist(mustRead({ ro: '1', ...job }), rulebook), job.vehicle?.maker)).toEqual([]);
  });
  test('on 500 random jobs, half of them drawn towards a stated order, and each order is met', () => {
    const next = numbers(20_261_125);
    const met = new Set<string>();
    const faults = new Map<string, string>();
    for (let i = 0; i < 500; i++) {
      const job = i % 2 ? randomJob(next) : towards(STATED[(i / 2) % STATED.length] as Stated, next);
      for (const fault of broken(stepsOf(job), job.vehicle.maker, met))
        faults.set(fault, faults.get(fault) ?? JSON.stringify(job));
    }
    expect(Object.fromEntries(faults), 'each with the first job that shows it').toEqual({});
    expect(
      pairs()
        .map(({ first, then }) => `${first} > ${then}`)
        .filter((pair) => !met.has(pair)),
    ).toEqual([]);
  });
});

/** Steps only: the questions are not what is tested here, and cost most of the time. */
function stepsOf(job: RandomJob): Pick<Checklist, 'steps'> {
  const resolution = resolve(mustRead(job), rulebook);
  const ordered = order(resolution);
  return { steps: writeSteps(resolution, ordered, place(resolution, ordered).steps) };
}

/** A job with work that calls for these follow-ups, on a car of one of the makers that the source or their triggers speak of. */
function towards({ chain, makers }: Stated, next: () => number): RandomJob {
  const job = randomJob(next);
  const pick = <T>(list: readonly T[]): T | undefined => list[Math.floor(next() * list.length)];
  const scopes: Scope[] = [];
  const called = chain.flatMap((id) => {
    const triggers = rulebook.followUps.get(id)?.text.triggers?.filter((t) => t.level !== 'not-needed' && t.work) ?? [];
    const spoken = triggers.filter((t) => t.scope?.makers?.some((m) => makers?.includes(m)));
    const trigger = pick(makers && spoken.length > 0 ? spoken : triggers);
    if (trigger?.scope) scopes.push(trigger.scope);
    const work = pick(trigger?.work ?? []);
    const part = work && rulebook.parts.get(work.part);
    if (!work || !part) return [];
    const did = pick((part.text.did ?? [work.did]).filter((d) => reaches(d, work.did, work.exactly))) ?? work.did;
    return [{ part: part.id, did, ...(work.at ? { at: work.at } : {}) }];
  });
  const scope = pick(scopes);
  const maker = makers ? pick(makers) : pick(scope?.makers ?? []);
  const traits: Record<string, string> = { ...job.vehicle.traits };
  for (const fits of chain.flatMap((id) => rulebook.followUps.get(id)?.fits ?? [])) {
    for (const trait of fits.variables) {
      const values = Object.keys(rulebook.traits.get(trait)?.values ?? {});
      const fitting = values.filter(
        (value) =>
          range(fits, (v) => (v === trait ? [value] : traits[v] === undefined ? undefined : [traits[v]])) !== NEVER,
      );
      if (fitting.length > 0 && !fitting.includes(traits[trait] ?? '')) traits[trait] = pick(fitting) as string;
    }
  }
  const vehicle = {
    ...job.vehicle,
    traits,
    ...(maker ? { maker } : {}),
    ...(scope?.models ? { model: scope.models[0] as string } : {}),
    ...(scope?.years ? { modelYear: scope.years[0] } : {}),
  };
  return { ...job, vehicle, work: [...job.work.slice(0, 2), ...called] };
}
