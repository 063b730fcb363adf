import type { Rulebook } from '../rulebook/rulebook.ts';
import { type Section, sections } from './hand-over-lines.ts';
import type { SeenItem, Sight } from './sight.ts';
import type { Job, Stage } from './state.ts';
import { shown } from './units.ts';
import { type ReadingValue, sentence } from './values.ts';

/** What stands on the customer's page, as data: screen, print and tests share it. Every text is plain text. */
export interface HandOver {
  readonly ro: string;
  /** open: nothing is handed over yet; the page shows how it would stand. */
  readonly status: Exclude<Job['status'], 'unopened'>;
  readonly vin: string;
  /** Version of the rulebook by which it was planned. */
  readonly rules: string;
  readonly ended?: { readonly at: string; readonly by: string; readonly customer?: string };
  /** Odometer as it was read, in and out. */
  readonly mileage: { readonly in?: string; readonly out?: string };
  readonly work: readonly string[];
  readonly rows: readonly Row[];
  readonly sections: readonly Section[];
  /** Open safety items in plain words, as the customer read them; empty on a page of a finished car. */
  readonly warnings: readonly string[];
  /** Whoever stands on the rows, by their initials. */
  readonly people: readonly { readonly initials: string; readonly name: string }[];
  /** Names for the line of whoever did the work. */
  readonly doneBy: readonly string[];
  readonly checkedBy: readonly string[];
  /** false: somebody checked their own work, and the page says so. */
  readonly independent: boolean;
}

export interface Row {
  readonly id: string;
  readonly title: string;
  readonly safety: boolean;
  readonly stage: Stage;
  /** It ends with the owner, on the road or overnight. */
  readonly owner: boolean;
  readonly found: readonly string[];
  /** Names; '' = nobody. */
  readonly doneBy: string;
  readonly checkedBy: string;
  /** A check is due and nobody made it. */
  readonly unchecked: boolean;
  /** ISO 8601; absent where nothing was done. */
  readonly at?: string;
}

/** `selfTests` = sentences about the car's own tests that have not run yet. */
export function handOver(sight: Sight, rulebook: Rulebook, selfTests: readonly string[] = []): HandOver {
  const { job } = sight;
  if (job.status === 'unopened') throw new Error('a job that is not opened has no hand-over');
  const rows = sight.items.filter(isRow).map((item) => row(item, job));
  const ended = endingOf(job);
  return {
    ro: job.ro,
    status: job.status,
    vin: job.vehicle.vin ?? '',
    rules: job.rulebook,
    ...(ended ? { ended } : {}),
    mileage: mileage(sight.items, job),
    work: workDone(job, rulebook),
    rows,
    sections: sections(sight, rulebook, selfTests),
    warnings: job.status === 'released' ? [] : warnings(sight),
    people: named([...rows.flatMap((one) => [one.doneBy, one.checkedBy]), ended?.by ?? '']),
    doneBy: unique(rows.map((one) => one.doneBy)),
    checkedBy: unique([...job.checks.values()].map(({ by }) => by)),
    independent:
      job.ending?.type === 'released'
        ? job.ending.independent
        : [...job.checks.values()].every(({ independent }) => independent),
  };
}

/** What may still come to nothing is no row unless somebody did it all the same. */
function isRow({ kind, stage }: SeenItem): boolean {
  return kind !== 'undecided' || stage !== 'open';
}

function row(item: SeenItem, job: Job): Row {
  const { id, title, safety, stage, record } = item;
  const check = job.checks.get(id);
  const checked = check !== undefined && check.seq > (record?.changed ?? 0);
  const touched = record !== undefined && stage !== 'open';
  const at = record?.took?.at ?? record?.at;
  return {
    id,
    title,
    safety,
    stage,
    owner: item.owner,
    found: found(item, job),
    doneBy: touched ? (record.took?.by ?? record.by) : '',
    checkedBy: checked ? check.by : '',
    unchecked: safety && stage === 'took' && item.was === undefined && !item.owner && !checked,
    ...(touched && at ? { at } : {}),
  };
}

const WAS = {
  yes: 'done before the work',
  no: 'was not done before the work',
  open: 'nobody said whether it was done before the work',
  'cannot-tell': 'nobody can tell whether it was done before the work',
} as const;

function found(item: SeenItem, job: Job): string[] {
  const { record, asked, was, owner, stage } = item;
  const proof = asked.filter(({ when }) => when === 'proof');
  const values = proof.flatMap(({ key, label, unit }) => {
    const value = record?.values.get(key);
    return value ? [`${label}: ${valueText(value, unit, job.units)}`] : [];
  });
  if (stage !== 'took') return owner && stage === 'open' ? ['ends with you'] : values;
  if (record?.paper) return [...values, "the firm's paper is on record"];
  return values.length === 0 && was ? [WAS[was]] : values;
}

function valueText(value: ReadingValue, unit: string | undefined, units: Job['units']): string {
  switch (value.kind) {
    case 'number':
      return `${shown(value.value, value.unit ?? unit, units)}${value.because ? ` (${value.because})` : ''}`;
    case 'photo':
      return 'photo on record';
    case 'not-supported':
      return 'the tool does not support it, photo on record';
    default:
      return value.value;
  }
}

/** Read wherever a step asks for the odometer: before it starts is "in", what proves it is "out". */
function mileage(items: readonly SeenItem[], { units }: Job): HandOver['mileage'] {
  const read = (when: 'entry' | 'proof') =>
    items
      .flatMap(({ asked, record }) => asked.map((one) => ({ one, value: record?.values.get(one.key) })))
      .find(({ one, value }) => one.when === when && /^(odometer|mileage)\b/i.test(one.label) && value);
  const [before, after] = [read('entry'), read('proof')];
  return {
    ...(before?.value ? { in: valueText(before.value, before.one.unit, units) } : {}),
    ...(after?.value ? { out: valueText(after.value, after.one.unit, units) } : {}),
  };
}

function workDone(job: Job, { parts }: Rulebook): string[] {
  return job.lines
    .filter(({ struck }) => !struck)
    .map(({ text: { part, did, at, by } }) => {
      const title = parts.get(part)?.text.title ?? plain(part);
      const places = [at ?? []].flat().map(plain).join(' and ');
      const what = `${title} ${did === 'power-lost' ? 'lost power' : did}`;
      return sentence([what, places, by && by !== 'us' ? `by ${by}` : ''].filter(Boolean).join(', '));
    });
}

function endingOf({ status, ending }: Job): HandOver['ended'] {
  if (status === 'open' || !ending) return undefined;
  const { at, by } = ending;
  return ending.type === 'left-unfinished' ? { at, by: ending.foreman, customer: ending.customer } : { at, by };
}

/** A car that left is as its customer read it then; one that is still here as it stands. */
function warnings({ job, safetyLines }: Sight): string[] {
  if (job.status === 'left-unfinished' && job.ending?.type === 'left-unfinished') return [...job.ending.lines];
  return safetyLines.map(({ text }) => text);
}

/** Where two people share their initials both are written out. */
function named(names: readonly string[]): HandOver['people'] {
  const all = unique(names).map((name) => ({ name, initials: initialsOf(name) }));
  return all.map((one) =>
    all.some(({ name, initials }) => name !== one.name && initials === one.initials)
      ? { ...one, initials: one.name }
      : one,
  );
}

function initialsOf(name: string): string {
  return name
    .trim()
    .split(/\s+/)
    .map((word) => [...word][0]?.toUpperCase() ?? '')
    .join('');
}

function unique(names: readonly string[]): string[] {
  return [...new Set(names.filter(Boolean))];
}

function plain(id: string): string {
  return id.replaceAll('-', ' ');
}
