import fc from 'fast-check';
import { printFault } from '../src/rulebook/fault.ts';
import { loadRulebook } from '../src/rulebook/load.ts';
import type { Rulebook } from '../src/rulebook/rulebook.ts';

/** Small rulebooks of every kind, as the JSON that an author would write. */

export type Json = Record<string, unknown>;
export interface Book {
  readonly traits: Record<string, Json>;
  readonly parts: Record<string, Json>;
  readonly states: Record<string, Json>;
  readonly rules: Record<string, Json>;
}

export const TRAITS: Record<string, Json> = {
  brake: { values: { none: 'none', drum: 'drum', disc: 'disc' } },
  camera: { values: { none: 'none', fitted: 'fitted' } },
  gears: { number: { integer: true, min: 0, max: 9 } },
  bore: { number: { min: 0, max: 4 } },
  fuel: { open: true },
};
const WORDS: Record<string, readonly string[]> = {
  fuel: ['petrol', 'diesel', 'gas'],
  maker: ['alba', 'brio'],
  model: ['one', 'two'],
};
const NUMBERS: Record<string, readonly number[]> = {
  gears: [0, 4, 5, 9],
  bore: [0, 1.5, 2, 4],
  'model-year': [2010, 2011, 2020],
};

const PARTS: Record<string, Json> = {
  hub: { at: ['left', 'right'] },
  link: { at: ['left', 'right', 'middle'] },
  box: {},
  cell: {},
};
const DIDS = ['unplugged', 'refitted', 'replaced', 'adjusted'] as const;
const PHASES = ['before', 'apart', 'after'] as const;

/** There `odds` times as often as not. */
export const sometimes = <T>(arbitrary: fc.Arbitrary<T>, odds = 2): fc.Arbitrary<T | undefined> =>
  fc.oneof(
    { withCrossShrink: true },
    { weight: 10, arbitrary: fc.constant(undefined) },
    { weight: Math.round(odds * 10), arbitrary },
  );
export const names = (count: number, letter: string) => Array.from({ length: count }, (_, i) => `${letter}${i}`);

/** Everything of `fields` that is there. */
const sparse = (fields: Record<string, fc.Arbitrary<unknown>>): fc.Arbitrary<Json> =>
  fc.record(fields).map((row) => Object.fromEntries(Object.entries(row).filter(([, value]) => value !== undefined)));

/** A comparison of one trait with its own values; `swap` writes the value first. */
function comparison(variables: readonly string[]): fc.Arbitrary<unknown> {
  return fc.constantFrom(...variables).chain((name) => {
    const trait = { var: name };
    const numbers = NUMBERS[name];
    const values: fc.Arbitrary<unknown> = fc.constantFrom<unknown>(
      ...(numbers ?? WORDS[name] ?? Object.keys(TRAITS[name]?.values as object)),
    );
    const operator = fc.constantFrom(...(numbers ? ['==', '!=', '<', '<=', '>', '>='] : ['==', '!=']));
    const plain = fc
      .tuple(operator, values, fc.boolean())
      .map(([op, value, swap]) => ({ [op]: swap ? [value, trait] : [trait, value] }));
    return fc.oneof(
      { weight: 3, arbitrary: plain },
      fc.array(values, { minLength: 1, maxLength: 3 }).map((list) => ({ in: [trait, list] })),
    );
  });
}

export function conditions(variables: readonly string[], depth = 2): fc.Arbitrary<unknown> {
  if (depth === 0) return comparison(variables);
  const inner = conditions(variables, depth - 1);
  const list = fc.array(inner, { minLength: 1, maxLength: 3 });
  return fc.oneof(
    { weight: 4, arbitrary: comparison(variables) },
    { weight: 1, arbitrary: fc.boolean() },
    { weight: 1, arbitrary: fc.tuple(inner, fc.boolean()).map(([c, wrapped]) => ({ '!': wrapped ? [c] : c })) },
    { weight: 2, arbitrary: list.map((and) => ({ and })) },
    { weight: 2, arbitrary: list.map((or) => ({ or })) },
  );
}

const scopes = fc
  .tuple(
    sometimes(fc.subarray(['alba', 'brio'], { minLength: 1 })),
    sometimes(fc.subarray(['one', 'two'], { minLength: 1 }), 1),
    sometimes(fc.constantFrom([2010, 2010], [2011, 2020]), 1),
  )
  .map(([makers, models, years]) => ({
    ...(makers ? { makers } : {}),
    ...(models ? { models } : {}),
    ...(years ? { years } : {}),
  }))
  .map((scope) => (Object.keys(scope).length > 0 ? scope : undefined));

const place = (part: string) => (PARTS[part]?.at as string[] | undefined) ?? [];
const someOf = (positions: readonly string[]) =>
  positions.length > 0 ? sometimes(fc.subarray([...positions], { minLength: 1 })) : fc.constant(undefined);

export function works(
  more: Record<string, fc.Arbitrary<unknown>> = {},
  parts: readonly string[] = Object.keys(PARTS),
): fc.Arbitrary<Json> {
  return fc
    .constantFrom(...parts)
    .chain((part) =>
      sparse({ part: fc.constant(part), did: fc.constantFrom('replaced', ...DIDS), at: someOf(place(part)), ...more }),
    );
}
const matches = fc.oneof(
  { weight: 9, arbitrary: works({ exactly: sometimes(fc.boolean(), 1) }) },
  { weight: 1, arbitrary: fc.constantFrom<Json>({ part: 'any', did: 'inspected' }, { part: 'any', did: 'adjusted' }) },
);

interface Shape {
  /** Traits that conditions may name: few, so that every completion can be tried. */
  readonly variables: readonly string[];
  readonly pulls: boolean;
}

function applies({ variables }: Shape, freq = 1): Record<string, fc.Arbitrary<unknown>> {
  return { if: sometimes(conditions(variables, 1), freq), scope: sometimes(scopes, 0.3) };
}

function triggers(shape: Shape): fc.Arbitrary<Json[]> {
  const trigger = fc
    .tuple(
      fc.array(matches, { maxLength: 2 }),
      fc.subarray(['P0001', 'C1234'], { maxLength: 1 }),
      sparse({
        ...applies(shape, 2),
        level: fc.constantFrom('required', 'required', 'recommended', 'not-needed'),
        scope: sometimes(scopes, 1),
      }),
    )
    .map(([work, codes, rest]) => ({
      ...(work.length > 0 || codes.length === 0
        ? { work: work.length > 0 ? work : [{ part: 'box', did: 'unplugged' }] }
        : {}),
      ...(codes.length > 0 ? { codes } : {}),
      because: 'test',
      ...rest,
    }));
  return fc.array(trigger, shape.pulls ? { maxLength: 2 } : { minLength: 2, maxLength: 5 });
}

function implies(shape: Shape): fc.Arbitrary<Json[]> {
  const row = fc.constantFrom(...Object.keys(PARTS)).chain((part) =>
    sparse({
      when: fc.constantFrom('unplugged', 'unplugged', 'refitted', 'replaced', 'adjusted'),
      part: fc.constant(part),
      did: fc.constantFrom(...DIDS),
      at:
        place(part).length > 0
          ? sometimes(fc.oneof(fc.constant('same'), fc.subarray([...place(part)], { minLength: 1 })))
          : fc.constant(undefined),
      ...applies(shape, 0.5),
      maybe: sometimes(fc.boolean(), 1),
      because: fc.constant('test'),
    }),
  );
  return fc.array(row, { minLength: shape.pulls ? 0 : 1, maxLength: 2 });
}

function ways(shape: Shape, states: readonly string[]): fc.Arbitrary<Json[]> {
  const way = (i: number, last: boolean) =>
    sparse({
      id: fc.constant(`way-${i}`),
      if: last ? sometimes(conditions(shape.variables, 1), 0.15) : conditions(shape.variables, 1),
      tool: sometimes(fc.constantFrom('scan-tool', 'stand'), 1),
      setup: sometimes(fc.constantFrom({ place: 'road' }, { place: 'rack' }, { place: 'floor' }), 1),
      minutes: fc.integer({ min: 0, max: 30 }).map((hands) => ({ hands })),
      ...(shape.pulls
        ? {
            needs: sometimes(rolesIn(states, shape), 0.4),
            upsets: sometimes(rolesIn(states, shape), 0.2),
            does: sometimes(fc.array(works(applies(shape, 0.5)), { maxLength: 1 }), 0.3),
          }
        : {}),
    });
  return fc
    .integer({ min: 1, max: 3 })
    .chain((count) => fc.tuple(...Array.from({ length: count }, (_, i) => way(i, i === count - 1))));
}

function rolesIn(states: readonly string[], shape: Shape): fc.Arbitrary<Json[]> {
  return fc.array(sparse({ state: fc.constantFrom(...states), ...applies(shape, 0.6) }), {
    minLength: 1,
    maxLength: 2,
  });
}

function followUp(shape: Shape, states: readonly string[], ids: readonly string[]): fc.Arbitrary<Json> {
  const plain = {
    title: fc.constant('test'),
    kind: fc.constant('relearn'),
    purpose: fc.constant('test'),
    safety: fc.boolean(),
    phase: fc.constantFrom(...PHASES, 'after', 'after'),
    fits: sometimes(conditions(shape.variables), 0.7),
    'done-by': sometimes(fc.array(works(), { minLength: 1, maxLength: 1 }), 0.2),
    triggers: triggers(shape),
    ways: ways(shape, states),
    skipped: fc.constant([]),
    examples: fc.constant([]),
    sources: fc.constant([]),
  };
  if (!shape.pulls) return sparse(plain);
  return sparse({
    ...plain,
    does: sometimes(fc.array(works(applies(shape, 0.5)), { maxLength: 2 }), 0.4),
    needs: sometimes(rolesIn(states, shape)),
    leaves: sometimes(rolesIn(states, shape), 2),
    upsets: sometimes(rolesIn(states, shape), 0.6),
    after: sometimes(
      fc.array(
        sparse({
          step: fc.constantFrom(...ids),
          ...applies(shape, 0.5),
          because: fc.constant('test'),
          sources: fc.constant([]),
        }),
        { maxLength: 1 },
      ),
      0.3,
    ),
    covers: sometimes(
      fc.array(sparse({ step: fc.constantFrom(...ids), ...applies(shape, 0.5) }), { maxLength: 1 }),
      0.2,
    ),
    repeatable: sometimes(fc.boolean(), 1),
    stands: sometimes(fc.constantFrom('first', 'last'), 0.2),
    per: sometimes(fc.constant({ position: ['left', 'right'] }), 0.2),
  });
}

function stateRow(): fc.Arbitrary<Json> {
  return sparse({
    title: fc.constant('test'),
    start: sometimes(fc.constantFrom('holds', 'absent', 'confirm')),
    delivery: sometimes(fc.constantFrom('must', 'free', 'must-not')),
    lapses: sometimes(fc.constantFrom('power-lost', 'overnight'), 0.3),
    guards: sometimes(fc.constantFrom([{ place: 'road' }], [{ place: 'rack' }]), 0.2),
  });
}

const TRAIT_NAMES = [...Object.keys(TRAITS), 'maker', 'model-year'];

/** `pulls`: with states, does, covers and after; otherwise triggers, scopes, implied work and positions only. */
export function books(pulls: boolean, count = 6): fc.Arbitrary<Book> {
  return fc.subarray(TRAIT_NAMES, { minLength: 1, maxLength: pulls ? 4 : 3 }).chain((variables) => {
    const shape = { variables, pulls };
    const ids = names(count, 'f');
    const states = names(4, 's');
    const rows = fc
      .tuple(...states.map(stateRow))
      .map((list) => Object.fromEntries(list.map((row, i) => [`s${i}`, row])));
    const parts = fc
      .tuple(...Object.keys(PARTS).map(() => implies(shape)))
      .map((list) =>
        Object.fromEntries(
          Object.keys(PARTS).map((id, i) => [id, { title: id, system: 'test', ...PARTS[id], implies: list[i] }]),
        ),
      );
    const rules = fc
      .tuple(...ids.map(() => followUp(shape, states, ids)))
      .map((list) => Object.fromEntries(list.map((rule, i) => [ids[i] as string, rule])));
    const traits = Object.fromEntries(
      Object.entries(TRAITS).map(([id, row]) => [id, { title: id, question: `${id}?`, 'how-to-tell': 'look', ...row }]),
    );
    return fc.record({ traits: fc.constant(traits), parts, states: rows, rules });
  });
}

const SETUPS = {
  dimensions: {
    place: {
      title: 'Place',
      start: 'floor',
      values: { floor: { title: 'f' }, rack: { title: 'r' }, road: { title: 'd' } },
      minutes: {},
      otherwise: 5,
    },
  },
  forbidden: [],
  tools: { none: { title: 'none' } },
  drive: { setup: { place: 'road' }, becomes: {} },
};

/** Rule files in a folder each, so that the order of folders differs from that of ids. */
export function filesOf({ traits, parts, states, rules }: Book): Map<string, string> {
  const tables = {
    'traits.json': traits,
    'parts.json': parts,
    'states.json': states,
    'setups.json': SETUPS,
    'sources.json': {},
  };
  const files = Object.entries(rules).map(([id, rule], i) => [`${'zyx'[i % 3]}/${id}.json`, rule] as const);
  return new Map([...Object.entries(tables), ...files].map(([file, value]) => [file, JSON.stringify(value)]));
}

export function load(book: Book): Rulebook {
  const { rulebook, faults } = loadRulebook(filesOf(book));
  if (faults.length > 0) throw new Error(faults.map(printFault).join('\n'));
  return rulebook;
}
