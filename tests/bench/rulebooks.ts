import { loadRulebook } from '../../src/rulebook/load.ts';
import { printFault } from '../../src/rulebook/fault.ts';
import type { Rulebook } from '../../src/rulebook/rulebook.ts';
import { seeded, workshop } from './families.ts';

type Json = Record<string, unknown>;

/** As the project's own rulebook is shaped, counted there: conditions, needs, guards and calls for each part. */
export interface Size {
  readonly followUps: number;
  readonly triggers: number;
  readonly parts: number;
  /** Parts that jobs are made of; a share of all triggers, the same in every size, is on them. */
  readonly common: number;
}

export const HUNDREDS: Size = { followUps: 300, triggers: 1000, parts: 600, common: 40 };
/** Ten times the follow-ups, triggers and parts: a part is named by as many triggers as before. */
export const THOUSANDS: Size = { followUps: 3000, triggers: 10_000, parts: 6000, common: 400 };

const SHARE_ON_COMMON = 0.15;
const TRAITS = 60;
const GUARDS = 6;
/** Shared states stand in tiers, each needed by the next, so that an order exists. */
const TIERS = 5;
const FOLLOW_UPS_A_STATE = 10;

export interface Generated {
  readonly rulebook: Rulebook;
  /** The same as written, for reading it another way. */
  readonly rules: Readonly<Record<string, Json>>;
}

function triggersOf(rule: Json): Json[] {
  return rule['triggers'] as Json[];
}

export function rulebookOf(size: Size, seed: number): Generated {
  const random = seeded(seed);
  const rules = Object.fromEntries(
    Array.from({ length: size.followUps }, (_, i) => [`f${i}`, followUp(i, size, random)]),
  );
  for (let t = 0; t < size.triggers; t++)
    triggersOf(rules[`f${t % size.followUps}`] as Json).push(trigger(size, random));
  const parts = Object.fromEntries(Array.from({ length: size.parts }, (_, i) => [`p${i}`, part(i, size, random)]));
  const traits = Object.fromEntries(
    Array.from({ length: TRAITS }, (_, i) => [
      `t${i}`,
      {
        title: `t${i}`,
        question: 'has it?',
        'how-to-tell': 'look',
        values: Object.fromEntries(valuesOf(i).map((v) => [v, v])),
      },
    ]),
  );
  const tables = {
    'traits.json': traits,
    'parts.json': parts,
    'states.json': states(),
    'setups.json': setups(),
    'sources.json': {},
  };
  const files = [
    ...Object.entries(tables),
    ...Object.entries(rules).map(([id, rule]) => [`bench/${id}.json`, rule] as const),
  ];
  const { rulebook, faults } = loadRulebook(new Map(files.map(([file, value]) => [file, JSON.stringify(value)])));
  if (faults.length > 0) throw new Error(faults.slice(0, 5).map(printFault).join('\n'));
  return { rulebook, rules };
}

function followUp(index: number, size: Size, random: () => number): Json {
  const tier = index % TIERS;
  const stateOf = (of: number) => `s${of}-${Math.floor((random() * size.followUps) / FOLLOW_UPS_A_STATE / TIERS)}`;
  const needs = Array.from({ length: tier > 0 ? 2 : 0 }, () => ({
    state: stateOf(tier - 1),
    ...(random() < 0.3 ? { if: condition(random) } : {}),
  }));
  return {
    title: `Follow-up ${index}`,
    kind: 'relearn',
    purpose: 'bench',
    safety: random() < 0.4,
    phase: random() < 0.15 ? 'before' : 'after',
    ...(random() < 0.75 ? { fits: condition(random) } : {}),
    triggers: [],
    needs,
    leaves: [
      { state: `f${index}` },
      ...(random() < 0.5 ? [{ state: stateOf(tier) }] : []),
      ...(tier === 0 && random() < 12 / (size.followUps / TIERS)
        ? [{ state: `guard-${Math.floor(random() * GUARDS)}` }]
        : []),
    ],
    ...(random() < 0.1 && tier < TIERS - 1 ? { upsets: [{ state: stateOf(tier + 1) }] } : {}),
    ways: [
      ...(random() < 0.4
        ? [{ id: 'first', if: condition(random), setup: { place: 'target-area' }, minutes: { hands: 20 } }]
        : []),
      { id: 'plain', setup: random() < 0.3 ? { place: 'road' } : { ignition: 'on' }, minutes: { hands: 5 } },
    ],
    skipped: [],
    examples: [],
    sources: [],
  };
}

function trigger(size: Size, random: () => number): Json {
  const did = random() < 0.5 ? 'replaced' : 'refitted';
  const work = Array.from({ length: random() < 0.7 ? 2 : 1 }, () => ({ part: anyPart(size, random), did }));
  return {
    work,
    level: random() < 0.1 ? 'recommended' : 'required',
    because: 'bench',
    ...(random() < 0.5 ? { if: condition(random) } : {}),
    ...(random() < 0.1 ? { scope: { makers: [`m${Math.floor(random() * 10)}`] } } : {}),
  };
}

function anyPart(size: Size, random: () => number): string {
  if (random() < SHARE_ON_COMMON) return `p${Math.floor(random() * size.common)}`;
  return `p${size.common + Math.floor(random() * (size.parts - size.common))}`;
}

function part(index: number, size: Size, random: () => number): Json {
  const implies =
    random() < 0.4
      ? [
          {
            when: 'refitted',
            part: `p${size.common + Math.floor(random() * (size.parts - size.common))}`,
            did: 'unplugged',
            because: 'bench',
          },
        ]
      : [];
  return { title: `Part ${index}`, system: 'bench', implies };
}

const valuesOf = (trait: number) => (trait % 3 === 0 ? ['none', 'one', 'two'] : ['none', 'fitted']);

function condition(random: () => number): Json {
  const one = () => {
    const trait = Math.floor(random() * TRAITS);
    const values = valuesOf(trait);
    return { [random() < 0.5 ? '!=' : '==']: [{ var: `t${trait}` }, values[Math.floor(random() * values.length)]] };
  };
  return random() < 0.3 ? { [random() < 0.5 ? 'and' : 'or']: [one(), one()] } : one();
}

function states(): Json {
  return Object.fromEntries(
    Array.from({ length: GUARDS }, (_, i) => [
      `guard-${i}`,
      { title: `guard ${i}`, guards: [{ place: i % 2 ? 'road' : 'target-area' }] },
    ]),
  );
}

function setups(): Json {
  const values: Readonly<Record<string, readonly string[]>> = {
    heat: ['cold', 'warm'],
    ignition: ['off', 'on', 'running'],
    place: ['bay', 'alignment-rack', 'target-area', 'road'],
    supply: ['none', 'charger'],
    wheels: ['ground', 'hanging'],
  };
  const dimensions = Object.entries(workshop.dimensions).map(([id, { minutes, otherwise }]) => [
    id,
    {
      title: id,
      start: (values[id] as readonly string[])[0],
      values: Object.fromEntries((values[id] as readonly string[]).map((v) => [v, { title: v }])),
      minutes,
      otherwise,
    },
  ]);
  return {
    dimensions: Object.fromEntries(dimensions),
    forbidden: workshop.forbidden,
    tools: { none: { title: 'none' } },
    drive: { setup: { place: 'road' }, becomes: {} },
  };
}

/** Ten lines on common parts, of a car of which a share is known. */
export function jobOf(size: Size, seed: number, share = 0.67, lines = 10): Json {
  const random = seeded(seed);
  const parts = new Set<number>();
  while (parts.size < lines) parts.add(Math.floor(random() * size.common));
  const known = Array.from({ length: TRAITS }, (_, i) => i).filter(() => random() < share);
  const traits = known.map((i) => [`t${i}`, valuesOf(i)[Math.floor(random() * valuesOf(i).length)]]);
  return {
    ro: '1',
    vehicle: { maker: 'm1', modelYear: 2018, traits: Object.fromEntries(traits) },
    work: [...parts].map((i) => ({ part: `p${i}`, did: 'replaced' })),
  };
}
