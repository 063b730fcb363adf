import type { Checklist, Step, Undecided } from '../checklist.ts';
import type { Facts } from '../resolve/facts.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import { PHASES, type Phase } from '../rulebook/schema.ts';
import { heading, minutesText, sides, wrap } from './page.ts';

const PHASE_WORDS: Record<Phase, string> = {
  before: 'BEFORE WORK STARTS',
  apart: 'WHILE PARTS ARE OFF',
  after: 'AFTER ASSEMBLY',
};

/** The whole list as a technician reads it. */
export function planText(list: Checklist, facts: Facts, rulebook: Rulebook): string {
  const names = new Map(list.steps.map((step, i) => [step.id, `${i + 1}`]));
  const lines = [
    ...sides(`RO ${list.ro}`, `rulebook ${list.rulebook}`),
    ...wrap(carText(facts, rulebook), 'Car   '),
    ...list.implied.flatMap((work) =>
      wrap(`${work.chain[0]}${work.maybe ? ' (asked)' : ''}: ${work.because}`, 'Also  '),
    ),
    ...(list.steps.length + list.undecided.length === 0 ? ['', 'Nothing on this job calls for anything more.'] : []),
    ...PHASES.flatMap((phase) => phaseText(phase, list, names, rulebook)),
    ...list.cycles.flatMap((cycle) => ['', ...wrap(cycle.text, `Block ${cycle.block}: `)]),
    ...undecidedText(list, names),
    ...excludedText(list),
    '',
    heading('TIME'),
    ...timeText(list),
  ];
  return lines.join('\n');
}

function carText({ car }: Facts, rulebook: Rulebook): string {
  const parts = [...car].map(([trait, { values }]) => {
    const title = rulebook.traits.get(trait)?.title ?? trait.replaceAll('-', ' ');
    const words = values?.map(
      (v) =>
        rulebook.traits.get(trait)?.values?.[String(v)] ??
        (trait === 'maker' ? (rulebook.makers.get(String(v)) ?? v) : v),
    );
    return `${title}: ${words?.join(' or ') ?? 'can not tell'}`;
  });
  return parts.length > 0 ? parts.join('; ') : 'nothing known yet';
}

function phaseText(phase: Phase, list: Checklist, names: ReadonlyMap<string, string>, rulebook: Rulebook): string[] {
  const steps = list.steps.filter((step) => step.phase === phase);
  if (steps.length === 0) return [];
  return [
    '',
    heading(PHASE_WORDS[phase]),
    ...steps.flatMap((step) => [...divider(step, rulebook), ...stepText(step, names, list, rulebook)]),
  ];
}

/** What to change on the car before the next group. */
function divider({ change }: Step, rulebook: Rulebook): string[] {
  if (change.length === 0) return [];
  const words = change.map((c) => {
    const value = rulebook.setups.dimensions[c.dimension]?.values[c.to];
    return value?.to ?? `${rulebook.setups.dimensions[c.dimension]?.title ?? c.dimension}: ${value?.title ?? c.to}`;
  });
  const minutes = change.reduce((sum, c) => sum + c.minutes, 0);
  return ['', ...wrap(`${words.join('; ')}${minutes > 0 ? ` (${minutesText(minutes)})` : ''}`, '-- set up: ')];
}

function stepText(step: Step, names: ReadonlyMap<string, string>, list: Checklist, rulebook: Rulebook): string[] {
  const [number = ''] = [names.get(step.id)];
  const boxes = step.boxes.length > 0 ? ` [${step.boxes.map((b) => b.replaceAll('-', ' ')).join('] [')}]` : '';
  const title = `${number.padStart(3)}. ${step.safety ? 'SAFETY ' : ''}${step.title}${step.id === step.followUp ? '' : ' (once more)'}${boxes}`;
  const indent = '     ';
  return [
    '',
    ...sides(title, `${step.level}, ${timeOfStep(step)}`),
    ...step.because.flatMap((because) => wrap(because, `${indent}why: `)),
    ...(step.onOrder ? wrap(`${step.onOrder} is this step`, `${indent}on the order: `) : []),
    ...wayText(step, rulebook).flatMap((text) => wrap(text, `${indent}how: `)),
    ...waitTexts(step, names, list).flatMap((text) => wrap(text, `${indent}waits for: `)),
    ...step.confirms.flatMap((confirm) => wrap(confirm.text, `${indent}ask first: `)),
    ...(step.minutes.ask ? wrap(step.minutes.ask, `${indent}read off: `) : []),
    ...step.covers.flatMap((cover) => wrap(cover.title, `${indent}does too: `)),
    ...(step.block ? wrap(`block ${step.block}, in the maker's order`, `${indent}order: `) : []),
    ...(step.orderWaitsFor ? wrap(step.orderWaitsFor.join(', '), `${indent}order waits for: `) : []),
    ...(step.finish === 'owner' ? wrap('with the owner, on the road or overnight', `${indent}ends: `) : []),
    ...(step.asked ? wrap(ASKED_WORDS[step.asked], `${indent}was it done? `) : []),
  ];
}

const ASKED_WORDS = { open: 'not answered', yes: 'yes', no: 'no', 'cannot-tell': 'can not tell' };

function timeOfStep({ minutes }: Step): string {
  const wait = minutes.wait > 0 ? `${minutes.hands > 0 ? ' + ' : ''}${minutesText(minutes.wait)} wait` : '';
  return `${minutes.hands > 0 || !wait ? minutesText(minutes.hands) : ''}${wait}${minutes.ask ? ' at least' : ''}`;
}

function wayText(step: Step, rulebook: Rulebook): string[] {
  const tool = step.tool === 'none' ? undefined : `with ${rulebook.setups.tools[step.tool]?.title ?? step.tool}`;
  const title = step.ways.length > 1 ? wayTitle(step, step.way, rulebook) : undefined;
  const how = [title, tool].filter(Boolean).join(', ');
  const missing = step.toolMissing ? '; not in this shop: send the car out' : '';
  const open = `not settled: ${step.ways.map((way) => wayTitle(step, way, rulebook)).join(' or ')}; it rests on ${step.wayOpen.join(', ')}`;
  return [...(how ? [how + missing] : []), ...(step.wayOpen.length > 0 ? [open] : [])];
}

function wayTitle(step: Step, way: string, rulebook: Rulebook): string {
  const found = rulebook.followUps.get(step.followUp)?.ways.find((w) => w.id === way);
  return found?.text.title ?? way.replaceAll('-', ' ');
}

/** Steps waited for with one reason share a line: those on the list by number, those undecided by name. */
function waitTexts(step: Step, names: ReadonlyMap<string, string>, list: Checklist): string[] {
  const groups = new Map<string, Step['waits'][number][]>();
  for (const wait of step.waits) {
    const lags = `${wait.within ? `; within ${wait.within} of it` : ''}${wait.later ? `; not before ${wait.later} after it` : ''}`;
    const why = `because ${wait.because}${lags}`;
    groups.set(why, [...(groups.get(why) ?? []), wait]);
  }
  return [...groups].map(([why, waits]) => {
    const onList = waits
      .filter((w) => names.has(w.step))
      .sort((a, b) => Number(names.get(a.step)) - Number(names.get(b.step)));
    const numbers = onList.map((w) => `${w.perhaps ? 'perhaps ' : ''}${names.get(w.step)}`);
    const open = waits
      .filter((w) => !names.has(w.step))
      .map((w) => list.undecided.find((u) => u.followUp === w.step)?.title ?? w.step);
    const ifNeeded = open.length > 0 ? [`if needed ${open.map((title) => `"${title}"`).join(', ')}`] : [];
    return `${[...numbers, ...ifNeeded].join(', ')}; ${why}`;
  });
}

function undecidedText(list: Checklist, names: ReadonlyMap<string, string>): string[] {
  if (list.undecided.length === 0) return [];
  return [
    '',
    heading('UNDECIDED: an answer settles each'),
    ...list.undecided.flatMap((one) => undecidedOne(one, list, names)),
  ];
}

function undecidedOne(one: Undecided, list: Checklist, names: ReadonlyMap<string, string>): string[] {
  const questions = one.decides.map((id) => list.questions.find((q) => q.id === id)).filter((q) => q !== undefined);
  const answers = (q: (typeof questions)[number]) =>
    q.answers.length > 0 ? ` (${q.answers.map((a) => a.text).join(' / ')})` : '';
  const place = one.after.flatMap((id) => names.get(id) ?? []);
  return [
    '',
    ...sides(`  ?  ${one.safety ? 'SAFETY ' : ''}${one.title}`, one.level),
    ...one.because.flatMap((because) => wrap(because, '     why: ')),
    ...questions.flatMap((q) => wrap(`${q.text}${answers(q)}`, '     ask: ')),
    ...(place.length > 0 ? wrap(`after ${place.join(', ')}`, '     place: ') : []),
  ];
}

function excludedText(list: Checklist): string[] {
  if (list.excluded.length === 0) return [];
  return [
    '',
    heading('NOT ON THE LIST'),
    ...list.excluded.flatMap((one) => wrap(`${one.title}: ${one.because}`, '  - ')),
  ];
}

function timeText({ time, proved, gap }: Checklist): string[] {
  const total = `${minutesText(time.total)} until the car can go: ${minutesText(time.hands)} hands on, ${minutesText(time.changes)} changing set-ups, ${minutesText(time.waiting)} waiting`;
  const order = proved
    ? 'no order takes less time (proved)'
    : `a shorter order may exist (at most ${Math.ceil(gap * 100)} % less)`;
  return [...wrap(total), ...wrap(order)];
}
