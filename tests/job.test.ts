import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { JobEvent } from '../src/job/events.ts';
import { fold } from '../src/job/evolve.ts';
import { finalCheck } from '../src/job/final-check.ts';
import { gate } from '../src/job/gate.ts';
import { itemOf, plan } from '../src/job/plan.ts';
import { safetyLines } from '../src/job/unfinished.ts';
import { jobRules, rules } from './job.rulebook.ts';
import { Runner, type Told } from './job.run.ts';
import { rulebook as realRules } from './real-rulebook.ts';

/**
 * Given what happened, when somebody says this, then that comes of it. `given` must all be taken. `refused` are whole
 * sentences, all of them; `events` are matched field by field; `step`, `gate`, `waits`, `lines` and `check` are read
 * from the job as it is then.
 */
interface Case {
  readonly says: string;
  readonly rules?: 'real';
  readonly alone?: true;
  readonly given: readonly Told[];
  readonly when?: Told;
  readonly refused?: readonly string[];
  readonly events?: readonly object[];
  /** Step to what is to be seen of it. */
  readonly step?: Readonly<Record<string, object | null>>;
  /** The whole gate; or, by rule and item, the sentences that have to be in it. */
  readonly gate?: readonly string[];
  readonly gateHas?: Readonly<Record<string, string>>;
  readonly gateHasNot?: readonly string[];
  readonly waits?: Readonly<Record<string, readonly string[]>>;
  readonly lines?: readonly string[];
  readonly check?: readonly (readonly string[])[];
  readonly job?: object;
}
interface File {
  /** What happened in every case of the file before its own. */
  readonly before?: readonly Told[];
  readonly cases: readonly Case[];
}

const folder = new URL('cases/records/', import.meta.url);
const files = readdirSync(folder).filter((name) => name.endsWith('.json'));
// Where a rulebook takes another one's place: the windows are nobody's business any more.
const later = jobRules({ 'window-learn': { title: 'Windows learned', triggers: [] } });

test('there are cases enough', () => {
  const cases = files.flatMap((name) => read(name).cases);
  expect(cases.length).toBeGreaterThanOrEqual(40);
});

describe.each(files)('%s', (name) => {
  const { before = [], cases } = read(name);
  test.each(cases.map((c) => [c.says, c] as const))('%s', (_, one) => {
    const runner = new Runner(one.rules === 'real' ? [realRules] : [rules, later], one.alone);
    for (const told of [...before, ...one.given]) runner.must(told);
    const answer = one.when ? runner.tell(one.when) : [];
    expect(answer.filter((a) => typeof a === 'string')).toEqual(one.refused ?? []);
    if (one.events) expect(answer).toEqual(one.events.map((e) => expect.objectContaining(e)));
    seen(one, runner);
    const kept = JSON.parse(JSON.stringify(runner.events)) as unknown[];
    expect(fold(kept.map((event) => JobEvent.parse(event)))).toEqual(runner.job);
  });
});

function seen(one: Case, { job, rulebook }: Runner): void {
  if (one.job) expect(job).toMatchObject(one.job);
  if (job.status === 'unopened') return;
  const made = plan(job, rulebook);
  for (const [step, looks] of Object.entries(one.step ?? {})) {
    const item = itemOf(made, step);
    if (looks === null) expect(item, step).toBeUndefined();
    else expect(item, step).toMatchObject(looks);
  }
  for (const [step, waits] of Object.entries(one.waits ?? {}))
    expect(itemOf(made, step)?.waitsFor.map((w) => w.step)).toEqual(waits);
  if (one.gate) expect(gate(job, rulebook).map((r) => r.text)).toEqual(one.gate);
  const told = Object.fromEntries(gate(job, rulebook).map((r) => [`${r.rule} ${r.item}`, r.text]));
  if (one.gateHas) expect(told).toMatchObject(one.gateHas);
  for (const key of one.gateHasNot ?? []) expect(told).not.toHaveProperty([key]);
  if (one.lines) expect(safetyLines(made).map((l) => l.text)).toEqual(one.lines);
  if (one.check) expect(finalCheck(made).map((page) => page.map((item) => item.id))).toEqual(one.check);
}

function read(name: string): File {
  return JSON.parse(readFileSync(new URL(name, folder), 'utf8')) as File;
}
