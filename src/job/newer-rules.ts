import type { Rulebook } from '../rulebook/rulebook.ts';
import { differences, faultsOf, kindsOf } from './facts.ts';
import type { Item } from './item.ts';
import { type Plan, plan } from './plan.ts';
import type { Job } from './state.ts';
import type { Difference } from './values.ts';

/** What other rules would make of a job, before anything changes. */
export interface UnderRules {
  /** Why it can not be planned with them, as sentences; none: it can. */
  readonly faults: readonly string[];
  /** Verdicts that come out otherwise, as the record wants them shown. */
  readonly shown: readonly Difference[];
  readonly comes: readonly Turned[];
  readonly goes: readonly Turned[];
  /** On both lists, with another level, another reason or other proof. */
  readonly turns: readonly (Turned & { readonly what: readonly string[] })[];
  /** Steps on both lists, in the order of now and of then; empty where it stays. */
  readonly order: { readonly now: readonly string[]; readonly then: readonly string[] };
  /** What is on record and would not be asked for any more: named, it stays in the record and leaves the sheet. */
  readonly lost: readonly string[];
}

interface Turned {
  readonly id: string;
  readonly title: string;
  readonly safety: boolean;
  readonly level: string;
  readonly perhaps: boolean;
}

/** Throws where the job is not pinned to `now`. */
export function underRules(job: Job, now: Rulebook, then: Rulebook): UnderRules {
  const other: Job = { ...job, rulebook: then.version };
  const faults = faultsOf(other, then);
  if (faults.length > 0)
    return { faults, shown: [], comes: [], goes: [], turns: [], order: { now: [], then: [] }, lost: [] };
  const [was, is] = [plan(job, now), plan(other, then)];
  const [before, after] = [byId(was), byId(is)];
  const both = was.items.filter(({ id }) => after.has(id));
  return {
    faults,
    shown: differences(kindsOf(job, now), kindsOf(other, then)),
    comes: is.items.filter(({ id }) => !before.has(id)).map(turned),
    goes: was.items.filter(({ id }) => !after.has(id)).map(turned),
    turns: both.flatMap((item) => {
      const what = changes(item, after.get(item.id) as Item, was, is);
      return what.length > 0 ? [{ ...turned(after.get(item.id) as Item), what }] : [];
    }),
    order: orderOf(was, is),
    lost: lostIn(was, after),
  };
}

function byId({ items }: Plan): ReadonlyMap<string, Item> {
  return new Map(items.map((item) => [item.id, item]));
}

function turned({ id, title, safety, level, kind }: Item): Turned {
  return { id, title, safety, level, perhaps: kind === 'undecided' };
}

function changes(was: Item, is: Item, now: Plan, then: Plan): string[] {
  const said: string[] = [];
  if (was.level !== is.level) said.push(`${is.level}, and not ${was.level} any more`);
  if (was.safety !== is.safety) said.push(is.safety ? 'a safety item now' : 'no safety item any more');
  if (was.kind !== is.kind) said.push(is.kind === 'undecided' ? 'perhaps needed only' : 'needed in any case');
  const asked = is.asked.filter(({ key }) => !was.asked.some((one) => one.key === key));
  if (asked.length > 0) said.push(`asks for ${asked.map(({ label }) => label).join(', ')}`);
  const limits = is.asked.filter((one) => was.asked.some((old) => old.key === one.key && !sameLimits(old, one)));
  if (limits.length > 0) said.push(`other limits for ${limits.map(({ label }) => label).join(', ')}`);
  const reasons = (made: Plan) =>
    made.checklist.steps.find(({ id }) => id === is.id)?.because.map((one) => JSON.stringify(one)) ?? [];
  if (reasons(now).join() !== reasons(then).join()) said.push('for another reason');
  return said;
}

function sameLimits(a: Item['asked'][number], b: Item['asked'][number]): boolean {
  return JSON.stringify([a.limits, a.limitText, a.must]) === JSON.stringify([b.limits, b.limitText, b.must]);
}

function orderOf(was: Plan, is: Plan): UnderRules['order'] {
  const names = (made: Plan, other: Plan) => {
    const there = new Set(other.checklist.steps.map(({ id }) => id));
    return made.checklist.steps.filter(({ id }) => there.has(id)).map(({ title }) => title);
  };
  const [now, then] = [names(was, is), names(is, was)];
  return now.join('\n') === then.join('\n') ? { now: [], then: [] } : { now, then };
}

/** "STEP" where somebody worked on what is not on the list any more, "STEP/READING" where a figure is not asked for. */
function lostIn({ items }: Plan, after: ReadonlyMap<string, Item>): string[] {
  return items.flatMap(({ id, record }) => {
    if (!record) return [];
    const is = after.get(id);
    if (!is) return [id];
    return [...record.values.keys()]
      .filter((key) => !is.asked.some((one) => one.key === key))
      .map((key) => `${id}/${key}`);
  });
}
