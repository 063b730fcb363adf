import type { Change, Step } from '../checklist.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import { capital, minutesText } from '../../components/sheet/time.ts';

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
}

export function stops(steps: readonly Step[], rulebook: Rulebook): Stop[] {
  const groups: Step[][] = [];
  for (const step of steps) {
    const before = groups.at(-1)?.at(-1);
    if (before && sameSetup(before, step)) groups.at(-1)?.push(step);
    else groups.push([step]);
  }
  return groups.map((group, i) => stop(group, i, rulebook));
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
  const { dimensions } = rulebook.setups;
  const wording = (dimension: string, value: string) => dimensions[dimension]?.values[value]?.title ?? value;
  const place = first.setup.place ? capital(wording('place', first.setup.place)) : 'In the bay';
  return {
    letter: letter(index),
    name: first.phase === 'apart' ? `${place}, parts off` : place,
    changes: first.change.map((change) => changeText(change, rulebook)),
    changeMinutes: first.change.reduce((sum, change) => sum + change.minutes, 0),
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
    step.toolMissing ? 'no tool for it here: send the car out' : '',
    step.finish === 'owner' ? 'ends with the owner' : '',
  ].filter(Boolean);
  return parts.length > 0 ? `${capital(parts.join(', '))}.` : '';
}

function list(words: readonly string[]): string {
  return words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`;
}
