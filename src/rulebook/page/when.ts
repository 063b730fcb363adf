import { type FollowUp, type Implied, reaches, type Rulebook, type Trigger } from '../rulebook.ts';
import type { CodeBook } from '../code-book.ts';
import { carsText } from './cars.ts';
import type { Cited } from './cited.ts';
import type { Entry, Link } from './page.ts';
import type { Neighbours } from './neighbours.ts';
import type { TraitRow } from '../tables.ts';
import {
  capital,
  doneWord,
  entry,
  linksTo,
  list,
  partTitle,
  sentence,
  spaced,
  stateTitle,
  theyDo,
  workText,
} from './words.ts';

/** When a follow-up is called for, when it is not, and what has to be known to tell. */

const LEVEL = { required: 'Required', recommended: 'Recommended', 'not-needed': 'Not needed' } as const;
const RANK = { required: 0, recommended: 1, 'not-needed': 2 } as const;

/** Who calls for it: work and codes, steps that do such work, steps that need or upset what it leaves. */
export function whenCalled(followUp: FollowUp, book: Rulebook, cited: Cited, near: Neighbours): Entry[] {
  const fits = carsText(book, { if: followUp.text.fits });
  const own = followUp.triggers.filter((one) => one.level !== 'not-needed' && one.index >= 0);
  const line = followUp.text['done-by'] ?? [];
  return [
    entry(fits ? `only cars ${fits}` : 'every car', { label: 'Fits' }),
    ...[...own].sort((a, b) => RANK[a.level] - RANK[b.level]).map((one) => called(followUp, one, book, cited)),
    ...(line.length > 0
      ? [
          entry(`${workText(book, line)}. The line is this step: it stays on the list, and its proof is asked`, {
            label: 'On the order',
          }),
        ]
      : []),
    ...goesWith(followUp, book),
    ...calledBySteps(near),
    ...pulled(followUp, book),
  ];
}

/** Where it is not called for, whatever was done. */
export function whenNot(followUp: FollowUp, book: Rulebook, cited: Cited): Entry[] {
  const fits = carsText(book, { if: { '!': followUp.text.fits ?? true } });
  return [
    ...(followUp.fits.variables.length > 0 && fits ? [entry(`on cars ${fits}`, { label: 'Never' })] : []),
    ...followUp.triggers.filter((one) => one.level === 'not-needed').map((one) => called(followUp, one, book, cited)),
  ];
}

function called(followUp: FollowUp, trigger: Trigger, book: Rulebook, cited: Cited): Entry {
  const file = followUp.text.triggers?.[trigger.index] ?? {};
  const what = [
    ...(trigger.work.length > 0 ? [workText(book, trigger.work)] : []),
    ...(trigger.codes.length > 0 ? [`code ${list(trigger.codes)}`] : []),
  ].join('; or ');
  const cars = carsText(book, file);
  return entry(`${what}${cars ? `; on cars ${cars}` : ''}. ${capital(trigger.because)}`, {
    label: LEVEL[trigger.level],
    basis: cited.basis(trigger.sources),
  });
}

/** Work that brings a called-for part along, as the parts' own table has it. */
function goesWith(followUp: FollowUp, book: Rulebook): Entry[] {
  const wanted = followUp.triggers.filter((one) => one.level !== 'not-needed').flatMap((one) => one.work);
  const rows = new Map<string, { implied: Implied; links: Map<string, Link> }>();
  for (const part of book.parts.values())
    for (const implied of part.implies) {
      if (!wanted.some((one) => one.part === implied.part && reaches(implied.did, one.did, one.exactly))) continue;
      const key = `${implied.part} ${implied.did} ${implied.maybe}`;
      const row = rows.get(key) ?? { implied, links: new Map() };
      row.links.set(part.id, { of: 'part', id: part.id, title: part.text.title });
      rows.set(key, row);
    }
  return [...rows.values()].map(({ implied, links }) => {
    const all = [...links.values()];
    const does = implied.maybe ? theyDo(all, 'may take', 'with it (asked):') : theyDo(all, 'takes', 'with it:');
    return entry(`${does} ${partTitle(book, implied.part)} ${doneWord(implied.did)}`, {
      label: 'Through work on',
      links: all,
    });
  });
}

function calledBySteps({ doers }: Neighbours): Entry[] {
  return doers.map(({ followUp, work }) =>
    entry(`it is such work itself: ${list([...work])}`, { label: 'Through the step', links: linksTo([followUp]) }),
  );
}

/** Steps that need what it leaves and cannot count on it, or upset it. */
function pulled(followUp: FollowUp, book: Rulebook): Entry[] {
  const others = (steps: readonly FollowUp[]) => linksTo(steps.filter((one) => one !== followUp));
  const label = (links: readonly Link[]) => `Through the step${links.length === 1 ? '' : 's'}`;
  return followUp.leaves.flatMap(({ state: id }) => {
    const state = book.states.get(id);
    if (!state) return [];
    const upset = state.delivery === 'must' ? others(state.upsetters) : [];
    const lacked = state.start === 'holds' ? [] : others(state.needers);
    const how =
      state.start === 'absent' ? 'which has to be brought about' : 'and somebody may say that it does not hold';
    const title = stateTitle(book, id);
    return [
      ...(upset.length > 0 ? [entry(theyDo(upset, 'upsets', title), { label: label(upset), links: upset })] : []),
      ...(lacked.length > 0
        ? [entry(theyDo(lacked, 'needs', `${title}, ${how}`), { label: label(lacked), links: lacked })]
        : []),
    ];
  });
}

const CAR_FACTS: Readonly<Record<string, string>> = {
  maker: 'Read from the VIN, or told at write-up.',
  model: 'Told at write-up.',
  'model-year': 'Read from the VIN, or told at write-up.',
  market: 'Told at write-up.',
};

/** What leaves it open while nobody knows, with the question that settles it and how to tell on the car. */
export function whatDecides(followUp: FollowUp, book: Rulebook): Entry[] {
  const whether = new Set([...followUp.fits.variables, ...followUp.triggers.flatMap(traits)]);
  const how = new Set(followUp.ways.flatMap(traits).filter((trait) => !whether.has(trait)));
  const places = new Set(
    followUp.triggers.flatMap((one) => one.work.flatMap((work) => (work.at ? [partTitle(book, work.part)] : []))),
  );
  const asked = (trait: string, what: string) => {
    const row = book.traits.get(trait);
    const label = row?.title ?? capital(spaced(trait));
    return entry(`${what}: ${told(row) ?? CAR_FACTS[trait]}`, { label });
  };
  return [
    ...[...whether].sort().map((trait) => asked(trait, 'decides whether it is called for')),
    ...(places.size > 0
      ? [
          entry(`a line on ${list([...places])} leaves it open as long as it does not say where`, {
            label: 'Where on the car',
          }),
        ]
      : []),
    ...[...how].sort().map((trait) => asked(trait, 'decides only how it is done')),
    ...confirms(followUp, book),
  ];
}

/** The question, how to tell, and the first model year of which any car has it. */
function told(row: TraitRow | undefined): string | undefined {
  if (!row) return undefined;
  const since = row.since ? ` No car has it before model year ${row.since.year}.` : '';
  return `${row.question} ${sentence(row['how-to-tell'])}${since}`;
}

function traits({ applies }: Pick<Trigger, 'applies'>): string[] {
  return applies.flatMap(({ variables }) => [...variables]);
}

/** What is asked in its entry where no step on the list brings it about. */
function confirms(followUp: FollowUp, book: Rulebook): Entry[] {
  const needs = [...followUp.needs, ...followUp.ways.flatMap((way) => way.needs)];
  const states = [...new Set(needs.map((need) => need.state))].map((id) => book.states.get(id));
  return states.flatMap((state) =>
    state?.start === 'confirm'
      ? [
          entry(`asked before it starts: ${state.question ?? `${state.title}?`}`, {
            label: capital(state.title),
            links: linksTo(state.leavers),
          }),
        ]
      : [],
  );
}

/** Codes that call for it, and those that may be set where it was left out; each code once. */
export function codesOf(followUp: FollowUp, book: Rulebook, cited: Cited): Entry[] {
  const codes: CodeBook['codes'] = book.codeBook?.codes ?? {};
  const rows = new Map<string, { says: string[]; basis: string[] }>();
  const put = (code: string, says: string, basis: readonly string[]): void => {
    const row = rows.get(code) ?? { says: [], basis: [] };
    rows.set(code, { says: [...new Set([...row.says, says])], basis: [...new Set([...row.basis, ...basis])] });
  };
  for (const trigger of followUp.triggers) {
    const cars = carsText(book, followUp.text.triggers?.[trigger.index] ?? {});
    for (const code of trigger.codes)
      put(
        code,
        `calls for it${cars ? ` on cars ${cars}` : ''} (${spaced(trigger.level)})`,
        cited.basis(trigger.sources),
      );
  }
  for (const row of followUp.text.skipped) {
    const cars = carsText(book, row);
    for (const code of row.codes ?? [])
      put(code, `may be set where it was left out${cars ? `, on cars ${cars}` : ''}`, cited.basis(row.sources));
  }
  for (const [code, { calls }] of Object.entries(codes))
    if (calls?.includes(followUp.id) && !followUp.triggers.some((one) => one.codes.includes(code)))
      put(code, 'found on a car, it asks for this step', []);
  return [...rows].map(([code, { says, basis }]) => {
    const means = codes[code]?.meaning;
    return entry([...(means ? [means] : []), ...says].map(sentence).join(' '), { label: code, basis });
  });
}
