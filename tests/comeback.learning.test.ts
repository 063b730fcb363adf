import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { z } from 'zod';
import { type Learned, Learning, lessonOf, NOISE } from '../src/job/learning.ts';
import type { Rulebook } from '../src/rulebook/rulebook.ts';
import { rules } from './job.rulebook.ts';
import { Runner, type Told } from './job.run.ts';

/** Given what happened on so many jobs, what is learned of each rule. */
const Case = z.strictObject({
  says: z.string(),
  without: z.literal(true).optional().describe('no rulebook is at hand'),
  jobs: z.array(
    z.strictObject({
      times: z.int().min(1),
      back: z.literal(true).optional().describe('it is one that came back'),
      given: z.array(z.looseObject({ type: z.string() })),
    }),
  ),
  counted: z.int().optional(),
  rules: z.record(z.string(), z.record(z.string(), z.unknown()).nullable()).describe('null: nothing is known of it'),
  noise: z.record(z.string(), z.string()).describe('all of it, in order, each with a piece of why'),
  uncounted: z.int().optional(),
  missing: z.array(z.string()).optional(),
});
type Case = z.infer<typeof Case>;

const folder = new URL('cases/comebacks/learning/', import.meta.url);
const cases = readdirSync(folder).flatMap((name) =>
  z.array(Case).parse(JSON.parse(readFileSync(new URL(name, folder), 'utf8'))),
);

function jobsOf(one: Case) {
  return one.jobs.flatMap(({ times, back, given }, kind) =>
    Array.from({ length: times }, (_, i) => {
      const runner = new Runner([rules]);
      const ro = `${kind}-${i}`;
      runner.must(
        back
          ? { type: 'came-back', ro, old: { ro: 'old', rulebook: 'old' }, complaint: 'it came back' }
          : { type: 'opened', ro },
      );
      for (const event of given) runner.must(event as Told);
      return runner;
    }),
  );
}

function learn(jobs: readonly Runner[], book: Rulebook | undefined): Learned {
  const learning = new Learning();
  for (const { job, events } of jobs) learning.add(lessonOf(job, events, book));
  return learning.learned((id) => rules.followUps.get(id));
}

describe('what finished jobs say of the rules', () => {
  test.each(cases.map((one) => [one.says, one] as const))('%s', (_, one) => {
    const jobs = jobsOf(one);
    const book = one.without ? undefined : rules;
    const got = learn(jobs, book);
    const told = Object.fromEntries(got.rules.map((rule) => [rule.followUp, rule]));
    for (const [id, counts] of Object.entries(one.rules))
      if (counts === null) expect(told).not.toHaveProperty([id]);
      else expect(told[id], id).toMatchObject(counts);
    expect(got.noise.map(({ followUp }) => followUp)).toEqual(Object.keys(one.noise));
    for (const rule of got.noise) expect(rule.because).toContain(one.noise[rule.followUp]);
    if (one.counted !== undefined) expect(got.counted).toBe(one.counted);
    expect(got.uncounted.length).toBe(one.uncounted ?? 0);
    expect(got.missing.map(({ note }) => note)).toEqual(one.missing ?? []);
    const bare = ({ rules: all }: Learned) => all.map(({ notes: __, ...rest }) => rest);
    expect(bare(learn([...jobs].reverse(), book))).toEqual(bare(got));
    // Rules are judged, not people.
    expect(JSON.stringify(got)).not.toMatch(/\b(Ana|Ada|Bo)\b/);
    for (const { asked, done, skipped, overridden, why, triggers } of got.rules) {
      expect(done + skipped + overridden).toBe(asked);
      expect(Object.values(why).reduce((sum, count) => sum + count, 0)).toBe(skipped + overridden);
      // Several triggers may call for one: each is counted by itself, none more often than the rule.
      for (const trigger of triggers) expect(trigger.asked).toBeLessThanOrEqual(asked);
      expect(triggers.reduce((sum, trigger) => sum + trigger.asked, 0)).toBeGreaterThanOrEqual(asked);
    }
  });

  test('the share and the count that noise is named from are stated', () => {
    expect(NOISE).toEqual({ share: 0.3, jobs: 10 });
  });
});
