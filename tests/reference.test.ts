import fc from 'fast-check';
import jsonLogic, { type RulesLogic } from 'json-logic-js';
import { describe, expect, test } from 'vitest';
import { cut, type Domain, type Value } from '../src/rulebook/domain.ts';
import { calledBy, worksOf } from '../src/rulebook/lint/relations.ts';
import { loadRulebook } from '../src/rulebook/load.ts';
import { carsText } from '../src/rulebook/page/cars.ts';
import { contentsOf } from '../src/rulebook/page/contents.ts';
import { followUpPage } from '../src/rulebook/page/follow-up.ts';
import type { Entry, Page } from '../src/rulebook/page/page.ts';
import { partPage } from '../src/rulebook/page/part.ts';
import { sourcePage } from '../src/rulebook/page/source.ts';
import { reaches, type Rulebook } from '../src/rulebook/rulebook.ts';
import type { Scope } from '../src/rulebook/schema.ts';
import { ruleFiles, rulebook } from './real-rulebook.ts';
import { readBack } from './reference.cars.ts';
import { conditions } from './resolve.rulebooks.ts';
import { LONG, RUNS } from './resolve.runs.ts';

const followUps = [...rulebook.followUps.values()];
const pages = new Map(followUps.map((one) => [one.id, followUpPage(one, rulebook)]));
const page = (id: string) => pages.get(id) as Page;

/** Every object of a file that has a condition of its own, with where it stands. */
function* conditional(node: unknown, at: string): Iterable<{ at: string; if?: unknown; scope?: Scope }> {
  if (typeof node !== 'object' || node === null) return;
  const { if: own, scope } = node as { if?: unknown; scope?: Scope };
  if (own !== undefined || scope !== undefined)
    yield { at, ...(own === undefined ? {} : { if: own }), ...(scope ? { scope } : {}) };
  for (const [key, inner] of Object.entries(node))
    if (key !== 'if' && key !== 'scope') yield* conditional(inner, `${at}/${key}`);
}

/** Traits of a condition with the values it compares them with. */
function constantsOf(node: unknown, found = new Map<string, Value[]>()): Map<string, Value[]> {
  if (typeof node !== 'object' || node === null) return found;
  if (Array.isArray(node)) {
    const named = node.find((one): one is { var: string } => typeof one === 'object' && one !== null && 'var' in one);
    if (named) found.set(named.var, [...(found.get(named.var) ?? []), ...node.filter((one) => one !== named).flat()]);
  }
  for (const inner of Object.values(node)) constantsOf(inner, found);
  return found;
}

function onCar(
  { if: logic = true, scope }: { if?: unknown; scope?: Scope },
  car: Readonly<Record<string, Value>>,
): boolean {
  const { makers, models, years } = scope ?? {};
  const year = Number(car['model-year']);
  return (
    (!makers || makers.includes(String(car['maker']))) &&
    (!models || models.includes(String(car['model']))) &&
    (!years || (year >= years[0] && year <= years[1])) &&
    jsonLogic.truthy(jsonLogic.apply(logic as RulesLogic, car))
  );
}

/** All cars that a condition can tell apart. */
function carsFor(
  where: { if?: unknown; scope?: Scope },
  domains: ReadonlyMap<string, Domain>,
): Record<string, Value>[] {
  const constants = constantsOf(where.if);
  const add = (trait: string, values: readonly Value[] = []) => {
    if (values.length > 0) constants.set(trait, [...(constants.get(trait) ?? []), ...values]);
  };
  add('maker', where.scope?.makers);
  add('model', where.scope?.models);
  add('model-year', where.scope?.years);
  return [...constants].reduce<Record<string, Value>[]>(
    (cars, [trait, values]) =>
      cut(domains.get(trait) as Domain, values).samples.flatMap((value) =>
        cars.map((car) => ({ ...car, [trait]: value })),
      ),
    [{}],
  );
}

const everywhere = [
  ...followUps.flatMap(({ file, text }) => [
    ...conditional(text, file),
    ...(text.fits ? [{ at: `${file}/fits`, if: text.fits }] : []),
  ]),
  ...[...rulebook.parts].flatMap(([id, { text }]) => [...conditional(text, `parts.json/${id}`)]),
];
const models = [
  ...new Set(
    everywhere.flatMap(({ scope, ...rest }) => [
      ...(scope?.models ?? []),
      ...(constantsOf(rest.if).get('model') ?? []).map(String),
    ]),
  ),
];

describe('the cars that a rule speaks of, in words', () => {
  test('read back, they are the cars of the rule, wherever a condition stands', () => {
    expect(everywhere.length).toBeGreaterThan(500);
    for (const where of everywhere) {
      for (const told of [where, { ...where, if: { '!': where.if ?? true } }]) {
        const text = carsText(rulebook, told);
        const said = readBack(text, rulebook, models);
        for (const car of carsFor(told, rulebook.domains))
          expect(
            said((trait) => car[trait] ?? ''),
            `${where.at}: "${text}" of ${JSON.stringify(car)}`,
          ).toBe(onCar(told, car));
      }
    }
  });

  test.each([
    [{ '==': [{ var: 'rain-sensor' }, 'fitted'] }, undefined, 'with rain sensor'],
    [{ '!=': [{ var: 'forward-camera' }, 'none'] }, undefined, 'with forward camera'],
    [{ '!': { '==': [{ var: 'rain-sensor' }, 'fitted'] } }, undefined, 'without rain sensor'],
    [
      { in: [{ var: 'engine' }, ['petrol', 'diesel']] },
      undefined,
      'with "engine: petrol, or a gas engine with spark plugs / diesel"',
    ],
    [
      undefined,
      { makers: ['ford', 'lincoln'], years: [2015, 2024] },
      'made by Ford or Lincoln, and model years 2015 to 2024',
    ],
    [{ '!=': [{ var: 'maker' }, 'nissan'] }, undefined, 'not made by Nissan'],
    [{ '<': [{ var: 'model-year' }, 2012] }, undefined, 'up to model year 2011'],
    [{ '>': [2012, { var: 'model-year' }] }, undefined, 'up to model year 2011'],
    [
      {
        or: [
          { '==': [{ var: 'stop-start' }, 'fitted'] },
          { and: [{ '==': [{ var: 'maker' }, 'bmw'] }, { '>=': [{ var: 'model-year' }, 2004] }] },
        ],
      },
      undefined,
      'with stop-start, or (made by BMW and from model year 2004)',
    ],
    [
      { or: [{ '==': [{ var: 'maker' }, 'kia'] }, { '==': [{ var: 'maker' }, 'hyundai'] }] },
      undefined,
      'made by Kia or Hyundai',
    ],
    [true, undefined, undefined],
    [false, undefined, 'none at all'],
  ])('%j, scope %j', (logic, scope, words) => {
    expect(carsText(rulebook, { if: logic, scope: scope as Scope | undefined })).toBe(words);
  });

  test(
    'whatever the operators, nested as you like',
    () => {
      const domains = new Map<string, Domain>([
        ['brake', { kind: 'values', values: ['none', 'drum', 'disc'] }],
        ['camera', { kind: 'values', values: ['none', 'fitted'] }],
        ['gears', { kind: 'number', integer: true, min: 0, max: 9 }],
        ['bore', { kind: 'number', integer: false, min: 0, max: 4, unit: 'mm' }],
        ['fuel', { kind: 'open' }],
        ['maker', { kind: 'open' }],
        ['model-year', { kind: 'number', integer: true, min: 1950, max: 2100 }],
      ]);
      const row = (title: string, values: Record<string, string>) => ({
        title,
        question: '?',
        'how-to-tell': '-',
        values,
      });
      const traits = new Map([
        ['brake', row('Rear brake', { none: 'it has none', drum: 'drum', disc: 'disc, or a drum in a disc' })],
        ['camera', row('Camera', { none: 'not fitted', fitted: 'fitted' })],
      ]);
      const book = { domains, traits, makers: new Map(), states: new Map() } as unknown as Rulebook;
      const names = {
        ...book,
        makers: new Map(['alba', 'brio', 'corvo'].map((id) => [id, id[0]?.toUpperCase() + id.slice(1)])),
      };
      fc.assert(
        fc.property(conditions([...domains.keys()], 3), (logic) => {
          const text = carsText(names, { if: logic });
          const said = readBack(text, names, []);
          const cars = carsFor({ if: logic }, domains);
          fc.pre(cars.length < 3000);
          for (const car of cars)
            expect(
              said((trait) => car[trait] ?? ''),
              `"${text}" of ${JSON.stringify(car)}`,
            ).toBe(onCar({ if: logic }, car));
        }),
        { numRuns: RUNS * 3 },
      );
    },
    LONG,
  );
});

function* told(entries: readonly Entry[]): Iterable<Entry> {
  for (const one of entries) {
    yield one;
    yield* told(one.under ?? []);
  }
}

const textOf = ({ title, purpose, kind, aka, sections, sources }: Page): string =>
  [
    title,
    purpose,
    kind,
    ...aka,
    ...sections.flatMap(({ heading, entries }) => [
      heading,
      ...[...told(entries)].flatMap(({ label = '', text, links = [], basis = [] }) => [
        label,
        ...links.map((link) => link.title),
        text,
        ...basis,
      ]),
    ]),
    ...sources.flatMap((source) => [source.title, source.where, source.basis, source.note]),
  ].join('\n');

const bare = (text: string) => text.toLowerCase().replace(/[.]$/, '');

/** What somebody wrote into a file for others to read, and every figure with a limit. */
function* written(node: unknown, key = ''): Iterable<string> {
  const spoken = [
    'because',
    'notice',
    'said',
    'label',
    'choices',
    'text',
    'outline',
    'then',
    'owner-told',
    'cautions',
    'title',
    'aka',
    'purpose',
    'ask',
    'note',
    'codes',
  ];
  if (typeof node === 'string' && spoken.includes(key)) yield node;
  if (typeof node === 'number' && ['min', 'max', 'most', 'from-km/h', 'to-km/h', 'km'].includes(key))
    yield String(node);
  if (typeof node !== 'object' || node === null || key === 'scope' || key === 'if') return;
  for (const [inner, value] of Object.entries(node)) yield* written(value, Array.isArray(node) ? key : inner);
}

describe('a page', () => {
  test.each(followUps.map(({ id }) => id))('of %s says all that its file says, in words', (id) => {
    const whole = textOf(page(id)).toLowerCase();
    for (const text of written(rulebook.followUps.get(id)?.text)) expect(whole).toContain(bare(text));
    expect(textOf(page(id))).not.toMatch(
      /undefined|null|NaN|\[object|[{}`]|\.\.(?!\.)|,,| ,| \.(?!\d)|:\s*$|none at all/m,
    );
  });

  test('has a word for every part, trait, state and tool that it names', () => {
    const tools = Object.keys(rulebook.setups.tools);
    const ids = [...rulebook.traits.keys(), ...rulebook.states.keys(), ...rulebook.parts.keys(), ...tools];
    // "high-voltage" is a word of the trade as well as the id of a trait.
    const rows = [...rulebook.parts.values(), ...followUps].map(({ text }) => text);
    const spoken = [...rows, ...rulebook.traits.values()].flatMap((row) => [...written(row)]).join('\n');
    const strange = new Set(ids.filter((id) => id.includes('-') && !spoken.toLowerCase().includes(id)));
    expect(strange.size).toBeGreaterThan(400);
    for (const [id, one] of pages) {
      const said = [...told(one.sections.flatMap(({ entries }) => entries))].map(
        ({ text, label = '' }) => `${label} ${text}`,
      );
      const found = said
        .join(' ')
        .split(/[^a-z0-9-]+/)
        .filter((word) => strange.has(word));
      expect(found, id).toEqual([]);
    }
  });

  test('rests every trigger and every limit on something', () => {
    for (const one of pages.values())
      for (const { label, basis = [], text } of told(one.sections.flatMap(({ entries }) => entries)))
        if (
          label === 'Required' ||
          label === 'Recommended' ||
          label === 'Tries' ||
          (label === 'Limit' && /^(-?\d|At (least|most) -?\d)/.test(text))
        )
          expect(basis.length, `${one.id}: ${label} ${text}`).toBeGreaterThan(0);
  });

  test('points only to what there is, and every number stands in its list of sources', () => {
    for (const one of pages.values())
      for (const { links = [], basis = [] } of told(one.sections.flatMap(({ entries }) => entries))) {
        for (const { of, id } of links)
          expect((of === 'part' ? rulebook.parts : rulebook.followUps).has(id), id).toBe(true);
        for (const told of basis) expect(one.sources.map(({ number }) => number)).toContain(Number.parseInt(told, 10));
      }
  });

  test('links back: who needs, undoes or comes after another is named on its page, and names it', () => {
    const linked = (id: string, label: RegExp) =>
      [...told(page(id).sections.flatMap(({ entries }) => entries))]
        .filter((one) => label.test(one.label ?? ''))
        .flatMap(({ links = [] }) => links.map((link) => link.id));
    for (const { id, text } of followUps) {
      for (const after of text.after ?? []) {
        expect(linked(id, /^After$/)).toContain(after.step);
        expect(linked(after.step, /^Before$/)).toContain(id);
      }
      const leaves = text.leaves?.map(({ state }) => state) ?? [id];
      for (const other of followUps.filter((one) => one.id !== id)) {
        const needs = [...(other.text.needs ?? []), ...other.text.ways.flatMap((way) => way.needs ?? [])].map(
          ({ state }) => state,
        );
        const upsets = [...(other.text.upsets ?? []), ...other.text.ways.flatMap((way) => way.upsets ?? [])].map(
          ({ state }) => state,
        );
        if (leaves.some((state) => needs.includes(state))) {
          expect(linked(id, /^Before$/)).toContain(other.id);
          expect(linked(other.id, /^Needs$/)).toContain(id);
        }
        if (leaves.some((state) => upsets.includes(state))) {
          expect(linked(id, /^Undone by$/)).toContain(other.id);
          expect(linked(other.id, /^Undoes$/)).toContain(id);
        }
      }
    }
  });

  test('names the steps whose own work calls for it, as the lints see them', () => {
    for (const step of followUps)
      for (const tie of worksOf(step))
        for (const { followUp } of calledBy(step, tie, rulebook)) {
          const entries = [...told(page(followUp.id).sections.flatMap(({ entries: own }) => own))];
          const through = entries
            .filter(({ label }) => label === 'Through the step')
            .flatMap(({ links = [] }) => links);
          expect(
            through.map((link) => link.id),
            followUp.id,
          ).toContain(step.id);
        }
  });

  test('is the same whatever the order of files', () => {
    const back = loadRulebook(new Map([...ruleFiles].reverse())).rulebook;
    expect([...back.followUps.values()].map((one) => followUpPage(one, back))).toEqual([...pages.values()]);
  });
});

describe('a page of a part', () => {
  test.each([...rulebook.parts.keys()])('%s names every follow-up that work on it may call for', (id) => {
    const part = rulebook.parts.get(id);
    if (!part) throw new Error(id);
    const found = partPage(part, rulebook);
    const calls = found.sections.find((section) => section.id === 'calls')?.entries ?? [];
    const expected = followUps.filter(
      ({ text }) =>
        (text.triggers ?? []).some(({ work = [] }) => work.some((one) => one.part === id)) ||
        (text['done-by'] ?? []).some((one) => one.part === id),
    );
    expect([...new Set(calls.flatMap(({ links = [] }) => links.map((link) => link.id)))].sort()).toEqual(
      expected.map((one) => one.id).sort(),
    );
    const takes = part.implies.map((implied) => implied.part);
    const named = [...told(found.sections.find((section) => section.id === 'through')?.entries ?? [])];
    expect(named.flatMap(({ links = [] }) => links.map((link) => link.id))).toEqual(expect.arrayContaining(takes));
    for (const implied of part.implies)
      for (const call of rulebook.callsByPart.get(implied.part) ?? [])
        if (
          call.trigger.level !== 'not-needed' &&
          reaches(implied.did, call.match?.did ?? implied.did, call.match?.exactly)
        )
          expect(named.flatMap(({ links = [] }) => links.map((link) => link.id))).toContain(call.followUp.id);
    expect(textOf(found)).not.toMatch(/undefined|null|NaN|\[object|[{}`]/);
  });
});

describe('a page of a source', () => {
  const used = [...rulebook.sources.keys()].filter((id) =>
    followUps.some(({ text }) => text.sources.some((use) => use.id === id)),
  );

  test('names every follow-up that lists it, with what rests on it there', { timeout: LONG }, () => {
    for (const id of used.filter((_, i) => i % 7 === 0)) {
      const found = sourcePage(id, rulebook).sections.find((section) => section.id === 'follow-ups')?.entries ?? [];
      const expected = followUps.filter(({ text }) => text.sources.some((use) => use.id === id)).map((one) => one.id);
      expect(found.flatMap(({ links = [] }) => links.map((link) => link.id))).toEqual(expected);
      for (const { under = [], links = [] } of found)
        expect(under.length, `${id} in ${links[0]?.id}`).toBeGreaterThan(0);
    }
  });
});

describe('the contents', () => {
  const { systems, byPart, byCode, version } = contentsOf(rulebook);

  test('hold every follow-up once, under its system, numbered in order', () => {
    const all = systems.flatMap(({ pages: own }) => own);
    expect(all.map(({ followUp }) => followUp.id).sort()).toEqual([...rulebook.followUps.keys()]);
    for (const { number, id, pages: own } of systems) {
      expect(own.map((one) => one.number)).toEqual(own.map((_, i) => `${number}.${i + 1}`));
      for (const { followUp } of own) expect(followUp.file).toBe(`${id}/${followUp.id}.json`);
    }
    expect(version).toBe(rulebook.version);
  });

  test('index every part and code that a rule names', () => {
    const parts = new Set(
      followUps.flatMap(({ text }) =>
        [...(text.triggers ?? []).flatMap(({ work = [] }) => work), ...(text['done-by'] ?? [])].map(({ part }) => part),
      ),
    );
    parts.delete('any');
    expect(byPart.map(({ id }) => id).sort()).toEqual([...parts].sort());
    const codes = new Set(
      followUps.flatMap(({ text }) => [...(text.triggers ?? []), ...text.skipped].flatMap((row) => row.codes ?? [])),
    );
    expect(byCode.map(({ id }) => id)).toEqual([...codes].sort());
  });
});
