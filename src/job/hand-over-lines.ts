import { resolve } from '../resolve/resolve.ts';
import { NEVER } from '../rulebook/condition.ts';
import type { FollowUp, Rulebook } from '../rulebook/rulebook.ts';
import { factsOf } from './facts.ts';
import type { SeenItem, Sight } from './sight.ts';
import { speaks } from './speaks.ts';
import { type Job, isRuledOut } from './state.ts';
import { sentence } from './values.ts';

export interface Line {
  /** What it is about; '' = the text stands alone. */
  readonly lead: string;
  readonly text: string;
  readonly safety?: true;
}

export interface Section {
  readonly id: 'not-done' | 'owner' | 'notice' | 'self-tests' | 'not-determined' | 'found';
  readonly title: string;
  readonly lines: readonly Line[];
}

/** What stands below the steps on the customer's page; a section without lines is left out. */
export function sections(sight: Sight, rulebook: Rulebook, selfTests: readonly string[]): Section[] {
  const { items, job } = sight;
  const needed = items.filter(({ kind }) => kind !== 'undecided');
  const all: Section[] = [
    {
      id: 'not-done',
      title: 'Not done, and why',
      lines: [...needed.flatMap((item) => notDone(item, job)), ...stillOpen(needed)],
    },
    { id: 'owner', title: 'For you to do', lines: needed.filter(ends).map((item) => ownersPart(item, rulebook)) },
    { id: 'notice', title: 'What you may notice at first', lines: notices(sight, rulebook) },
    { id: 'self-tests', title: 'Self-tests not yet ready', lines: selfTests.map((text) => ({ lead: '', text })) },
    { id: 'not-determined', title: 'Not determined', lines: undetermined(sight) },
    { id: 'found', title: 'Found on the car', lines: [...codesFound(job), ...lampsLit(job)] },
  ];
  return all.filter(({ lines }) => lines.length > 0);
}

/** It ends with the owner, on the road or overnight. */
function ends({ owner, stage }: SeenItem): boolean {
  return owner && stage !== 'took';
}

const REASONS = {
  declined: 'declined',
  'no-tool': 'no tool for it here',
  'part-missing': 'a part is missing',
  'does-not-fit': 'this car does not have it',
} as const;

function notDone(item: SeenItem, job: Job): Line[] {
  const { stage, record, was } = item;
  const line = (text: string): Line[] => [
    { lead: item.title, text: sentence(text), ...(item.safety ? { safety: true } : {}) },
  ];
  if (item.ruledOut) {
    const said = job.ruledOut.get(item.id);
    return said ? line(`not needed on this car: ${said.because.replace(/[.]$/, '')}. ${said.by}`) : [];
  }
  if (was === 'no') return line('was not done before the work');
  if (was || stage === 'took' || item.owner) return [];
  const signed = record?.by ?? '';
  switch (stage) {
    case 'not-done':
      return line(
        [REASONS[record?.notDone?.reason ?? 'declined'], record?.notDone?.note, signed].filter(Boolean).join(', '),
      );
    case 'did-not-take':
      return line(['did not take', record?.why, signed].filter(Boolean).join(', '));
    case 'stuck':
      return line(['does not take', record?.why, signed].filter(Boolean).join(', '));
    case 'sent-out':
      return line(`with ${record?.sentOut?.firm} since ${record?.sentOut?.on}`);
    case 'waiting':
      return line(`waits for ${record?.waiting?.part}, promised for ${record?.waiting?.promised}`);
    case 'running':
      return line('begun and not finished');
    default:
      return item.again ? line(`to be done again, ${item.again}`) : [];
  }
}

/** Nobody began them: there is no more to say of each than its name. */
function stillOpen(needed: readonly SeenItem[]): Line[] {
  const open = needed.filter(
    ({ stage, again, was, owner, ruledOut }) => stage === 'open' && !again && !was && !owner && !ruledOut,
  );
  const names = open.map(({ title, safety }) => (safety ? `${title} (safety)` : title));
  return names.length > 0 ? [{ lead: 'Still to be done', text: sentence(names.join(', ')) }] : [];
}

function ownersPart(item: SeenItem, rulebook: Rulebook): Line {
  const followUp = rulebook.followUps.get(item.followUp);
  const told =
    followUp?.ways.find(({ id }) => id === item.way)?.text['owner-told'] ?? followUp?.text['owner-told'] ?? '';
  return { lead: item.title, text: sentence(told || 'it ends by itself while you drive, or overnight') };
}

const SETS_IN = {
  'at-once': 'at once',
  'same-day': 'the same day',
  days: 'within days',
  weeks: 'within weeks',
  months: 'within months',
} as const;

/** Of what was left out or ends with the owner: what shows meanwhile on this car. What can hurt stands in the warnings. */
function notices({ items, job }: Sight, rulebook: Rulebook): Line[] {
  const left = items.filter(
    (item) =>
      item.kind !== 'undecided' &&
      // Nobody said that it was left out.
      item.was !== 'open' &&
      !item.ruledOut &&
      ((!item.safety && item.stage !== 'took') || ends(item)) &&
      job.steps.get(item.id)?.notDone?.reason !== 'does-not-fit',
  );
  if (left.length === 0) return [];
  const resolution = resolve(factsOf(job, rulebook), rulebook);
  return left.flatMap((item) => {
    const skipped = (rulebook.followUps.get(item.followUp) as FollowUp).text.skipped;
    const shows = skipped
      .filter((one) => speaks(one, resolution) !== NEVER)
      .map(({ notice, 'sets-in': when }) => `${notice.replace(/[.]$/, '')}, ${SETS_IN[when]}`);
    return shows.length > 0 ? [{ lead: item.title, text: sentence(`until it is done: ${shows.join('; ')}`) }] : [];
  });
}

/** One line for all: what each of them hangs on tells the customer nothing. */
function undetermined({ items, job }: Sight): Line[] {
  const open = items.filter(({ id, kind, stage }) => kind === 'undecided' && stage === 'open' && !isRuledOut(job, id));
  const names = open.map(({ title, safety }) => (safety ? `${title} (safety)` : title));
  return names.length > 0
    ? [{ lead: 'Whether this car needs it, nobody could tell', text: sentence(names.join(', ')) }]
    : [];
}

/** Codes that are still there, and why the car goes with them. */
function codesFound({ scans, explained }: Job): Line[] {
  const before = new Set(scans.before?.codes.map(({ code }) => code));
  const seen = new Map((scans.after?.codes ?? []).map((one) => [one.code, one]));
  return [...seen.values()].map(({ code, text }) => {
    const said = explained.get(`code:${code}`);
    const why = said
      ? `${said.because.replace(/[.]$/, '')}, ${said.by}`
      : before.has(code)
        ? 'was there on arrival'
        : 'new';
    return { lead: code, text: sentence([text, why].filter(Boolean).join(', ')) };
  });
}

function lampsLit({ lamps, explained }: Job): Line[] {
  const had = new Set(lamps.intake?.lit ?? []);
  return (lamps.release?.lit ?? []).map((lamp) => {
    const said = explained.get(`lamp:${lamp}`);
    const why = said ? `${said.because.replace(/[.]$/, '')}, ${said.by}` : had.has(lamp) ? 'was lit on arrival' : 'new';
    return { lead: sentence(`${lamp.replaceAll('-', ' ')} lamp is lit`).slice(0, -1), text: sentence(why) };
  });
}
