import jsonLogic, { type RulesLogic } from 'json-logic-js';
import { describe, expect, test } from 'vitest';
import { checklist } from '../src/checklist.ts';
import { resolve } from '../src/resolve/resolve.ts';
import { seededJobs } from './coverage.jobs.ts';
import { mustRead, rulebook } from './real-rulebook.ts';
import { broken } from './stated-orders.ts';

/** A hundred jobs drawn by a fixed seed over parts, makers and years: what must hold on whatever is written up. */
const jobs = seededJobs().map((job) => {
  const facts = mustRead(job);
  return { job, facts, list: checklist(facts, rulebook), resolution: resolve(facts, rulebook) };
});

describe('a hundred jobs drawn by a fixed seed', () => {
  test('call for something, over many parts, makers and years', () => {
    const count = (values: readonly unknown[]) => new Set(values).size;
    expect(count(jobs.flatMap(({ job }) => job.work.map((w) => w.part)))).toBeGreaterThan(150);
    expect(count(jobs.map(({ job }) => job.vehicle.maker))).toBeGreaterThan(40);
    expect(count(jobs.map(({ job }) => job.vehicle.modelYear))).toBeGreaterThan(25);
    expect(count(jobs.flatMap(({ list }) => list.steps.map((s) => s.followUp)))).toBeGreaterThan(50);
  });

  test('hold no step that this car is known not to have', () => {
    const wrong = jobs.flatMap(({ job, facts, list }) =>
      [...list.steps, ...list.undecided].flatMap(({ followUp }) => {
        const fits = rulebook.followUps.get(followUp)?.text.fits;
        const variables = rulebook.followUps.get(followUp)?.fits.variables ?? [];
        const known = variables.map((name) => [name, facts.car.get(name)?.values] as const);
        if (fits === undefined || known.some(([, values]) => values?.length !== 1)) return [];
        const car = Object.fromEntries(known.map(([name, values]) => [name, values?.[0]]));
        return jsonLogic.apply(fits as RulesLogic, car) === true
          ? []
          : [`${job.ro} ${followUp} ${JSON.stringify(car)}`];
      }),
    );
    expect(wrong).toEqual([]);
  });

  test('stand in no order against a source', () => {
    expect(jobs.flatMap(({ job, list }) => broken(list, job.vehicle.maker).map((b) => `${job.ro}: ${b}`))).toEqual([]);
  });

  test('run in no ring', () => {
    expect(jobs.flatMap(({ job, list }) => list.cycles.map((c) => `${job.ro}: ${c.text}`))).toEqual([]);
  });

  test('hold no step without a source or a stated basis', () => {
    const bare = jobs.flatMap(({ job, list, resolution }) =>
      list.steps.flatMap(({ followUp }) => {
        const text = rulebook.followUps.get(followUp)?.text;
        const causes = resolution.verdicts.get(followUp)?.causes ?? [];
        const silent = causes.filter(
          (cause) =>
            cause.kind === 'call' &&
            cause.trigger.index >= 0 &&
            !cause.trigger.sources.some((id) => rulebook.sources.has(id)),
        );
        return causes.length > 0 && silent.length === 0 && text?.sources.every((s) => rulebook.sources.has(s.id))
          ? []
          : [`${job.ro} ${followUp}`];
      }),
    );
    expect(bare).toEqual([]);
  });
});
