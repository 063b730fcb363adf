import { type Checklist, checklist } from '../src/checklist.ts';
import { type Facts, readFacts } from '../src/resolve/facts.ts';
import { type Resolution, resolve } from '../src/resolve/resolve.ts';
import { printFault } from '../src/rulebook/fault.ts';
import { loadRulebook } from '../src/rulebook/load.ts';
import type { Rulebook } from '../src/rulebook/rulebook.ts';

/** Rulebooks of a few lines for tests: only what the test is about is written, the rest is filled in. */

type Json = Record<string, unknown>;
export interface Small {
  readonly rules: Readonly<Record<string, Json>>;
  readonly traits?: Readonly<Record<string, readonly string[] | Json>>;
  readonly parts?: Readonly<Record<string, Json>>;
  readonly states?: Readonly<Record<string, Json>>;
  readonly setups?: Json;
  /** What codes mean, as in codes.json. */
  readonly codes?: Json;
}

const SETUPS = {
  dimensions: {
    ignition: {
      title: 'Ignition',
      start: 'off',
      values: { off: { title: 'off' }, on: { title: 'on' }, running: { title: 'running' } },
      minutes: {},
      otherwise: 1,
    },
    place: {
      title: 'Place',
      start: 'floor',
      values: { floor: { title: 'floor' }, rack: { title: 'rack' }, road: { title: 'road' } },
      minutes: {},
      otherwise: 5,
    },
  },
  forbidden: [],
  tools: { none: { title: 'no tool' }, 'scan-tool': { title: 'scan tool' }, 'target-stand': { title: 'target stand' } },
  drive: { setup: { place: 'road', ignition: 'running' }, becomes: {} },
};

export function filesOf(small: Small): Map<string, string> {
  const parts: Json = { ...Object.fromEntries(partsNamed(small).map((id) => [id, {}])), ...small.parts };
  const tables: Json = {
    'setups.json': small.setups ?? SETUPS,
    'sources.json': {},
    'states.json': fill(small.states ?? {}, (id) => ({ title: id })),
    'parts.json': fill(parts, (id) => ({ title: id, system: 'test' })),
    'traits.json': Object.fromEntries(
      Object.entries(small.traits ?? {}).map(([id, t]) => [
        id,
        {
          title: id,
          question: `${id}?`,
          'how-to-tell': 'look',
          ...(isList(t) ? { values: Object.fromEntries(t.map((v) => [v, v])) } : t),
        },
      ]),
    ),
  };
  if (small.codes) tables['codes.json'] = small.codes;
  const rules = Object.entries(small.rules).map(
    ([id, rule]) => [`test/${id}.json`, { ...followUp(id), ...rule }] as const,
  );
  return new Map([...Object.entries(tables), ...rules].map(([file, value]) => [file, JSON.stringify(value)]));
}

function isList(trait: readonly string[] | Json): trait is readonly string[] {
  return Array.isArray(trait);
}

function followUp(id: string): Json {
  return {
    title: id,
    kind: 'relearn',
    purpose: 'test',
    safety: false,
    phase: 'after',
    ways: [{ id: 'do' }],
    skipped: [],
    examples: [],
    sources: [],
  };
}

function fill(rows: Json, defaults: (id: string) => Json): Json {
  return Object.fromEntries(Object.entries(rows).map(([id, row]) => [id, { ...defaults(id), ...(row as Json) }]));
}

/** Every part that a rule or an implied line names. */
function partsNamed(small: Small): string[] {
  const text = JSON.stringify([small.rules, small.parts ?? {}]);
  return [...new Set([...text.matchAll(/"part":"([^"]+)"/g)].map((m) => m[1] as string))].filter((id) => id !== 'any');
}

export function book(small: Small): Rulebook {
  const { rulebook, faults } = loadRulebook(filesOf(small));
  if (faults.length > 0) throw new Error(faults.map(printFault).join('\n'));
  return rulebook;
}

export interface SmallJob {
  /** "part did" or "part did position". */
  readonly work?: readonly string[];
  readonly traits?: Json;
  readonly maker?: string;
  readonly model?: string;
  readonly modelYear?: number;
  readonly codes?: readonly string[];
  readonly answers?: Json;
  readonly done?: boolean;
  readonly tools?: readonly string[];
}

export function factsOf(rulebook: Rulebook, job: SmallJob): Facts {
  const { traits, maker, model, modelYear } = job;
  const vehicle = {
    ...(traits ? { traits } : {}),
    ...(maker ? { maker } : {}),
    ...(model ? { model } : {}),
    ...(modelYear ? { modelYear } : {}),
  };
  const work = (job.work ?? []).map((line) => {
    const [part, did, at] = line.split(' ');
    return { part, did, ...(at ? { at } : {}) };
  });
  const text = {
    ro: '1',
    vehicle,
    work,
    codes: { before: job.codes ?? [] },
    answers: job.answers ?? {},
    'work-done': job.done ?? false,
    ...(job.tools ? { tools: job.tools } : {}),
  };
  const { facts, faults } = readFacts(text, rulebook);
  if (!facts) throw new Error(faults.map(printFault).join('\n'));
  return facts;
}

export function resolved(rulebook: Rulebook, job: SmallJob): Resolution {
  return resolve(factsOf(rulebook, job), rulebook);
}

/** Id to verdict, of everything that is not excluded. */
export function verdicts(rulebook: Rulebook, job: SmallJob): Record<string, string> {
  const all = [...resolved(rulebook, job).verdicts.values()].filter((v) => v.kind !== 'excluded');
  return Object.fromEntries(all.map((v) => [v.followUp.id, v.kind]));
}

export function planned(rulebook: Rulebook, job: SmallJob): Checklist {
  return checklist(factsOf(rulebook, job), rulebook, { all: true });
}

export function orderOf(rulebook: Rulebook, job: SmallJob): string[] {
  return planned(rulebook, job).steps.map((step) => step.id);
}

/** A trigger on "part did", for short. */
export function on(...work: readonly string[]): Json {
  return { work: work.map(workMatch), level: 'required', because: 'test' };
}

function workMatch(text: string): Json {
  const [part, did, at] = text.split(' ');
  return { part, did, ...(at ? { at: at.split(',') } : {}) };
}
