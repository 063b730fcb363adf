import type { CardLeg } from '../../components/drive/legs.ts';
import type { PictureStop } from '../../components/route/route-picture.ts';
import type { Change, Checklist, Step } from '../checklist.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import { capital, minutesText, placeText } from '../../components/sheet/time.ts';
import { linkTo } from './routes.ts';

/** Consecutive steps done in one set-up. */
export interface Stop {
  readonly letter: string;
  readonly name: string;
  /** What to change on the car to get here, one clause each, and about how long it takes. */
  readonly changes: readonly string[];
  readonly changeMinutes: number;
  readonly glyphs: readonly { readonly id: string; readonly text: string }[];
  readonly minutes: number;
  readonly steps: readonly Step[];
  /** Its steps are one run on the road: the drive that serves them, and its number from 1. */
  readonly drive?: { readonly number: number; readonly drive: Drive };
}

type Drive = Checklist['drives'][number];

export function stops(steps: readonly Step[], drives: readonly Drive[], rulebook: Rulebook): Stop[] {
  const groups: Step[][] = [];
  const driveOf = new Map(
    drives.flatMap((drive, i) => drive.steps.map((id) => [id, { number: i + 1, drive }] as const)),
  );
  for (const step of steps) {
    const before = groups.at(-1)?.at(-1);
    const [was, is] = [driveOf.get(before?.id ?? ''), driveOf.get(step.id)];
    // A step that only stands by the road is no part of a drive.
    const together = before && (was || is ? was?.number === is?.number : sameSetup(before, step));
    if (together) groups.at(-1)?.push(step);
    else groups.push([step]);
  }
  return groups.map((group, i) => {
    const driven = driveOf.get(group[0]?.id ?? '');
    const made = stop(group, i, rulebook);
    return driven ? { ...made, drive: driven, minutes: driven.drive.minutes } : made;
  });
}

/** A drive's legs as they are read out. */
export function cardLegs({ legs }: Drive, steps: readonly Step[], numbers: ReadonlyMap<string, number>): CardLeg[] {
  const known = new Map(steps.map((step) => [step.id, step]));
  return legs.map(({ card, minutes, serves }) => ({
    card,
    minutes,
    serves: serves
      .map((id) => ({
        number: numbers.get(id) ?? 0,
        title: known.get(id)?.title ?? placeText(id),
        safety: known.get(id)?.safety ?? false,
      }))
      .sort((a, b) => a.number - b.number),
  }));
}

function sameSetup(a: Step, b: Step): boolean {
  return (
    a.phase === b.phase &&
    b.change.length === 0 &&
    Object.keys(b.setup).every((dimension) => a.setup[dimension] === b.setup[dimension])
  );
}

function stop(steps: readonly Step[], index: number, rulebook: Rulebook): Stop {
  const first = steps[0] as Step;
  // Within a drive nothing is changed on the stand, so all of it is told before setting out.
  const changes = steps.flatMap(({ change }) => change);
  const { dimensions } = rulebook.setups;
  const wording = (dimension: string, value: string) => dimensions[dimension]?.values[value]?.title ?? value;
  const place = first.setup.place ? capital(wording('place', first.setup.place)) : 'In the bay';
  return {
    letter: letter(index),
    name: first.phase === 'apart' ? `${place}, parts off` : place,
    changes: changes.map((change) => changeText(change, rulebook)),
    changeMinutes: changes.reduce((sum, change) => sum + change.minutes, 0),
    glyphs: Object.entries(first.setup)
      .filter(([dimension, value]) => dimension !== 'place' && value !== 'any')
      .map(([dimension, value]) => ({
        id: `${dimension}:${value}`,
        text: glyphText(dimension, value, wording(dimension, value)),
      })),
    minutes: steps.reduce(
      (sum, { minutes, finish }) => sum + minutes.hands + (finish === 'shop' ? minutes.wait : 0),
      0,
    ),
    steps,
  };
}

function changeText({ dimension, from, to }: Change, rulebook: Rulebook): string {
  const row = rulebook.setups.dimensions[dimension];
  const text = row?.values[to]?.to ?? `${row?.title ?? dimension} ${row?.values[to]?.title ?? to}`;
  // The way a switch goes is told, since it is turned more than once on one sheet.
  return dimension === 'ignition' ? `${text} (was ${row?.values[from]?.title.split(',')[0] ?? from})` : text;
}

/** Short words of ours where the rulebook's are for dividers. */
function glyphText(dimension: string, value: string, wording: string): string {
  const short: Readonly<Record<string, string>> = {
    'ignition:off': 'ignition off',
    'ignition:on': 'ignition on',
    'ignition:running': 'engine runs',
    'supply:own': 'own battery',
    'supply:charger': 'charger',
    'heat:cold': 'cold',
    'heat:warm': 'warm',
    'wheels:straight': 'wheels straight',
  };
  return short[`${dimension}:${value}`] ?? wording;
}

/** A, B ... Z, AA, AB ... */
function letter(index: number): string {
  const rest = String.fromCharCode(65 + (index % 26));
  return index < 26 ? rest : letter(Math.floor(index / 26) - 1) + rest;
}

/** The stops as the picture of the route draws them. */
export function pictured(all: readonly Stop[], ro: string): PictureStop[] {
  return all.map(({ letter, name, minutes, changes, changeMinutes, steps }) => ({
    letter,
    name,
    minutes,
    changeMinutes,
    changes: changes.length > 0,
    steps: steps.length,
    safety: steps.filter(({ safety }) => safety).length,
    href: linkTo(ro, 'route', steps[0]?.id),
  }));
}

/** What a step's row says: how long, what it waits for, where it is done. */
export function say(step: Step, numbers: ReadonlyMap<string, number>): string {
  const waits = [...new Set(step.waitsFor)]
    .map((id) => numbers.get(id))
    .filter((number) => number !== undefined)
    .sort((a, b) => a - b);
  const { hands, wait, ask } = step.minutes;
  const parts = [
    hands > 0 ? minutesText(hands) : '',
    wait > 0 ? `${ask ? 'at least ' : ''}${minutesText(wait)} ${hands > 0 ? 'waiting' : 'to wait'}` : '',
    waits.length > 0 ? `waits for ${list(waits.map(String))}` : '',
    step.toolMissing ? 'no tool for it here: send it out' : '',
    step.block ? "waits for others in a ring: the maker's order" : '',
    step.orderWaitsFor ? 'its place waits for a question' : '',
    step.finish === 'owner' ? 'ends with the owner' : '',
  ].filter(Boolean);
  return parts.length > 0 ? `${capital(parts.join(', '))}.` : '';
}

function list(words: readonly string[]): string {
  return words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`;
}
