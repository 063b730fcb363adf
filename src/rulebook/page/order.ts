import type { FollowUp, Need, Rulebook, State, Way } from '../rulebook.ts';
import { carsText } from './cars.ts';
import type { Cited } from './cited.ts';
import type { Neighbours } from './neighbours.ts';
import type { Entry } from './page.ts';
import {
  capital,
  doneWord,
  durationText,
  entry,
  linksTo,
  list,
  partTitle,
  spaced,
  stateTitle,
  theyDo,
} from './words.ts';

/** What it stands behind and before, what it leaves and what ends that. */

export function placeInOrder(followUp: FollowUp, book: Rulebook, cited: Cited, near: Neighbours): Entry[] {
  const { text, stands, repeatable } = followUp;
  return [
    ...followUp.needs.map((need, i) => needEntry(followUp, need, text.needs?.[i] ?? {}, book, cited)),
    ...(text.after ?? []).flatMap((after) => {
      const other = book.followUps.get(after.step);
      return other
        ? [
            entry(`${after.because}${only(book, after)}`, {
              label: 'After',
              links: linksTo([other]),
              basis: cited.basis(after.sources),
            }),
          ]
        : [];
    }),
    ...guardEntries(followUp, book),
    ...(near.followers.length > 0
      ? [
          entry(theyDo(linksTo(near.followers), 'says', 'so, by a source'), {
            label: 'Before',
            links: linksTo(near.followers),
          }),
        ]
      : []),
    ...followUp.leaves.flatMap((_, i) => leaveEntries(followUp, i, book, cited)),
    ...(text.upsets ?? []).map((upset) => upsetEntry(followUp, upset, book, cited)),
    ...doesEntries(text.does ?? [], book),
    ...(near.done.length > 0
      ? [entry('by the work that this step is', { label: 'Calls for', links: linksTo(near.done) })]
      : []),
    ...coverEntries(followUp, book, near),
    ...(stands ? [entry(`stands ${stands} of all in its phase`, { label: 'Place' })] : []),
    ...(repeatable ? [entry('done once more where a later step upsets what it leaves', { label: 'Again' })] : []),
  ];
}

type Conditional = Parameters<typeof carsText>[1];

function only(book: Rulebook, where: Conditional): string {
  const cars = carsText(book, where);
  return cars ? `; on cars ${cars}` : '';
}

type NeedText = NonNullable<FollowUp['text']['needs']>[number];

export function needEntry(
  followUp: FollowUp,
  need: Need,
  text: Pick<NeedText, 'if' | 'scope'>,
  book: Rulebook,
  cited: Cited,
  fallback?: readonly string[],
): Entry {
  const state = book.states.get(need.state);
  const by = (state?.leavers ?? []).filter((one) => one !== followUp);
  const parts = [
    `${by.length > 0 ? 'for ' : ''}${stateTitle(book, need.state)}${need.because ? `: ${need.because}` : ''}`,
    need.within ? `; it has to start within ${durationText(need.within)}` : '',
    only(book, text),
    state?.start === 'absent' ? '; has to be brought about' : '',
    by.length === 0 ? '; nothing in the rulebook brings it about' : '',
  ];
  return entry(parts.join(''), {
    label: 'Needs',
    links: linksTo(by),
    basis: need.sources.length > 0 || need.within ? cited.basis(need.sources, fallback) : [],
  });
}

/** What the set-up of a way asks for without the file saying so; ways that ask for the same are told together. */
function guardEntries(followUp: FollowUp, book: Rulebook): Entry[] {
  const groups = new Map<string, { ways: string[]; states: string[] }>();
  for (const way of followUp.ways) {
    const states = [...new Set(way.needs.filter((need) => need.guard).map((need) => need.state))];
    const group = groups.get(states.join()) ?? { ways: [], states };
    groups.set(states.join(), { ...group, ways: [...group.ways, wayTitle(way)] });
  }
  return [...groups.values()].flatMap(({ ways, states }) => {
    if (states.length === 0) return [];
    const by = states.flatMap((state) => book.states.get(state)?.leavers ?? []).filter((one) => one !== followUp);
    const way = followUp.ways.length > 1 ? ` (${ways.length === 1 ? 'way' : 'ways'}: ${ways.join('; ')})` : '';
    return [
      entry(`each only where the job calls for it: the car must be fit for this set-up${way}`, {
        label: 'Behind',
        links: linksTo(by),
      }),
    ];
  });
}

export function wayTitle({ text, id }: Way): string {
  return capital(text.title ?? spaced(id));
}

const LAPSES: Record<State['lapses'], string> = {
  never: '',
  'ignition-off': 'the ignition goes off',
  'power-lost': 'the 12 V supply is lost',
  overnight: 'the car stands overnight',
};

function leaveEntries(followUp: FollowUp, index: number, book: Rulebook, cited: Cited): Entry[] {
  const leave = followUp.leaves[index];
  const state = leave && book.states.get(leave.state);
  if (!leave || !state) return [];
  const text = followUp.text.leaves?.[index];
  const later = leave.later ? `; it holds only ${durationText(leave.later)} after the step` : '';
  const delivery = state.delivery === 'must-not' ? '; the car must not be handed over like that' : '';
  const title = stateTitle(book, state.id);
  const not = (steps: readonly FollowUp[]) => linksTo(steps.filter((one) => one !== followUp));
  const [needers, upsetters] = [not(state.needers), not(state.upsetters)];
  const lapses = LAPSES[state.lapses];
  const guards = state.guards.map((setup) =>
    Object.entries(setup)
      .map(
        ([dimension, value]) =>
          book.setups.dimensions[dimension]?.values[value]?.to ?? `${spaced(dimension)} ${spaced(value)}`,
      )
      .join(', '),
  );
  return [
    entry(`${title}${later}${delivery}${only(book, text ?? {})}`, {
      label: 'Leaves',
      basis: leave.later ? cited.basis(text?.sources) : [],
    }),
    ...(needers.length > 0 ? [entry(theyDo(needers, 'needs', title), { label: 'Before', links: needers })] : []),
    ...(guards.length > 0
      ? [entry(`any step with: ${list(guards)}; ${title} must hold then`, { label: 'Before' })]
      : []),
    ...(upsetters.length > 0
      ? [
          entry(theyDo(upsetters, 'upsets', `${title}${state.delivery === 'must' ? ', so this comes behind' : ''}`), {
            label: 'Undone by',
            links: upsetters,
          }),
        ]
      : []),
    ...(lapses ? [entry(`${title} is gone as soon as ${lapses}`, { label: 'Lapses' })] : []),
  ];
}

type UpsetText = NonNullable<FollowUp['text']['upsets']>[number];

export function upsetEntry(followUp: FollowUp, upset: UpsetText, book: Rulebook, cited: Cited): Entry {
  const state = book.states.get(upset.state);
  const again = (state?.leavers ?? []).filter((one) => one !== followUp);
  const text = `${again.length > 0 ? 'it upsets ' : ''}${stateTitle(book, upset.state)}${upset.because ? `: ${upset.because}` : ''}${only(book, upset)}`;
  return entry(text, {
    label: 'Undoes',
    links: linksTo(again),
    basis: upset.sources?.length ? cited.basis(upset.sources) : [],
  });
}

type Does = NonNullable<FollowUp['text']['does']>;

/** Work that counts as done with it. */
export function doesEntries(does: Does, book: Rulebook): Entry[] {
  return does.map((work) => {
    const at = work.at ? ` (${list(work.at.map(spaced), 'and')})` : '';
    return entry(`${partTitle(book, work.part)}${at} ${doneWord(work.did)}${only(book, work)}`, {
      label: 'Is itself work',
    });
  });
}

function coverEntries(followUp: FollowUp, book: Rulebook, near: Neighbours): Entry[] {
  const covered = (followUp.text.covers ?? []).flatMap((cover) => {
    const { step, ...where } = typeof cover === 'string' ? { step: cover } : cover;
    const other = book.followUps.get(step);
    const because = 'because' in where && where.because ? `: ${where.because}` : '';
    return other
      ? [entry(`done within it${because}${only(book, where)}`, { label: 'Covers', links: linksTo([other]) })]
      : [];
  });
  return [
    ...covered,
    ...(near.coverers.length > 0
      ? [
          entry('where that is on the list', {
            label: 'Done within',
            links: linksTo(near.coverers),
          }),
        ]
      : []),
  ];
}
