import type { z } from 'zod';
import { makersFile, mandatesFile } from '../vehicle/schema.ts';
import { CodesFile } from './code-book.ts';
import { Compiler } from './compile.ts';
import { indexCalls, indexStates } from './index-calls.ts';
import { CAR_FACTS, type Domain } from './domain.ts';
import { type Fault, pointer } from './fault.ts';
import { near, parseJson, shaped } from './read.ts';
import type { FollowUp, Part, Rulebook } from './rulebook.ts';
import { FollowUpFile } from './schema.ts';
import {
  ComplaintsFile,
  PartRow,
  PartsFile,
  SetupsFile,
  SourceRow,
  SourcesFile,
  StateRow,
  StatesFile,
  TraitRow,
  TraitsFile,
  WordsFile,
} from './tables.ts';

/** Path below rules/ (with /) to the file's text. */
export type RuleFiles = ReadonlyMap<string, string>;

export interface Loaded {
  /** Built from what is sound; use it only where `faults` is empty. */
  readonly rulebook: Rulebook;
  readonly faults: readonly Fault[];
}

const TABLES = [
  'traits.json',
  'parts.json',
  'states.json',
  'setups.json',
  'sources.json',
  'makers.json',
  'mandates.json',
  'codes.json',
  'complaints.json',
  'words.json',
];

/**
 * Reads a rulebook and reports every fault at once: broken JSON, shape (Zod), forbidden keys, nesting, conditions.
 * What crosses files (unknown part, state, source, cycles ...) is lint's.
 */
export function loadRulebook(files: RuleFiles): Loaded {
  const faults: Fault[] = [];
  const parsed = new Map<string, unknown>();
  for (const file of [...files.keys()].sort()) {
    if (file.startsWith('schema/') || !file.endsWith('.json')) continue;
    const value = parseJson(file, files.get(file) as string, faults);
    if (value !== undefined) parsed.set(file, value);
  }
  const rows = <T>(file: string, whole: z.ZodType<Record<string, T>>, row: z.ZodType<T>) =>
    tableRows(file, parsed.get(file), files.has(file), whole, row, faults);
  const traits = rows('traits.json', TraitsFile, TraitRow);
  const stateRows = rows('states.json', StatesFile, StateRow);
  const partRows = rows('parts.json', PartsFile, PartRow);
  const setups =
    shaped('setups.json', parsed.get('setups.json'), files.has('setups.json'), SetupsFile, faults) ?? NO_SETUPS;
  const domains = readDomains(traits, faults);
  const guards = [...stateRows].flatMap(([state, row]) => (row.guards ?? []).map((setup) => ({ state, setup })));
  const compiler = new Compiler(domains, setups, guards, faults);

  const followUps = readFollowUps(parsed, compiler, faults);
  const parts = new Map<string, Part>([...partRows].map(([id, row]) => [id, compiler.part(id, 'parts.json', row)]));
  const makerBook = shaped('makers.json', parsed.get('makers.json'), true, makersFile, faults);
  const words = shaped('words.json', parsed.get('words.json'), true, WordsFile, faults);
  const mandates = shaped('mandates.json', parsed.get('mandates.json'), true, mandatesFile, faults);
  const codeBook = shaped('codes.json', parsed.get('codes.json'), true, CodesFile, faults);
  const complaints = shaped('complaints.json', parsed.get('complaints.json'), true, ComplaintsFile, faults);
  const rulebook: Rulebook = {
    version: fingerprint(files),
    followUps,
    parts,
    traits,
    domains,
    states: indexStates(stateRows, followUps),
    setups,
    sources: rows('sources.json', SourcesFile, SourceRow),
    makers: new Map(Object.entries(makerBook?.makers ?? {}).map(([id, row]) => [id, row.name])),
    ...(makerBook ? { makerBook } : {}),
    ...(mandates ? { mandates } : {}),
    ...(words ? { words } : {}),
    ...(codeBook ? { codeBook } : {}),
    ...(complaints ? { complaints } : {}),
    callsByPart: indexCalls(followUps, (call) => call.match?.part),
    callsByCode: indexCalls(followUps, (call) => call.code),
  };
  return { rulebook, faults };
}

/** One follow-up a file, in a folder; the file's name is its id. In order of id. */
function readFollowUps(
  parsed: ReadonlyMap<string, unknown>,
  compiler: Compiler,
  faults: Fault[],
): Map<string, FollowUp> {
  const followUps = new Map<string, FollowUp>();
  for (const [file, value] of parsed) {
    const path = file.split('/');
    if (path.length === 1) {
      if (!TABLES.includes(file))
        faults.push({
          file,
          pointer: '',
          message: 'is no table of the rulebook',
          hint: 'follow-ups stand in a folder',
          ...near(file, TABLES),
        });
      continue;
    }
    const id = (path.at(-1) as string).replace(/\.json$/, '');
    const twin = followUps.get(id);
    if (twin)
      faults.push({ file, pointer: '', message: `file name \`${id}\` is taken`, hint: `${twin.file} has the same id` });
    const text = shaped(file, value, true, FollowUpFile, faults);
    if (text && !twin) followUps.set(id, compiler.followUp(id, file, text));
  }
  return new Map([...followUps].sort(([a], [b]) => (a < b ? -1 : 1)));
}

/** A table row by row, so that one bad row does not hide the others' faults nor lose the sound ones. */
function tableRows<T>(
  file: string,
  value: unknown,
  present: boolean,
  whole: z.ZodType<Record<string, T>>,
  row: z.ZodType<T>,
  faults: Fault[],
): Map<string, T> {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) {
    shaped(file, value, present, whole, faults);
    return new Map();
  }
  const rows = new Map<string, T>();
  for (const [id, text] of Object.entries(value)) {
    if (id === '$schema') continue;
    const sound = shaped(file, text, true, row, faults, pointer(id));
    if (sound !== undefined) rows.set(id, sound);
  }
  return rows;
}

function readDomains(traits: ReadonlyMap<string, TraitRow>, faults: Fault[]): Map<string, Domain> {
  const domains = new Map<string, Domain>(Object.entries(CAR_FACTS));
  for (const [id, row] of traits) {
    const at = { file: 'traits.json', pointer: pointer(id) };
    if (!/^[a-z0-9-]+$/.test(id))
      faults.push({ ...at, message: 'trait id wants lower-case letters, figures and hyphens only', value: id });
    if (id in CAR_FACTS) faults.push({ ...at, message: 'is a fact of every car and no trait', value: id });
    const kinds = [row.values, row.number, row.open].filter((k) => k !== undefined);
    if (kinds.length !== 1) faults.push({ ...at, message: 'wants exactly one of values, number, open' });
    if (row.values) domains.set(id, { kind: 'values', values: Object.keys(row.values) });
    else if (row.number) {
      const { integer = false, min = -1e9, max = 1e9, unit } = row.number;
      domains.set(id, { kind: 'number', integer, min, max, ...(unit ? { unit } : {}) });
    } else domains.set(id, { kind: 'open' });
    if (row.since && !row.values?.none)
      faults.push({ file: 'traits.json', pointer: pointer(id, 'since'), message: 'wants a value "none"', value: id });
    for (const [i, { value }] of (row.likely ?? []).entries()) {
      const known = Object.keys(row.values ?? {});
      if (!known.includes(value))
        faults.push({
          file: 'traits.json',
          pointer: pointer(id, 'likely', i, 'value'),
          message: 'is not one of its values',
          value,
          ...near(value, known),
        });
    }
  }
  return domains;
}

/** Two FNV-1a hashes of 32 bit over all files in order of path: tells two rulebooks apart, protects nothing. */
function fingerprint(files: RuleFiles): string {
  let [a, b] = [0x811c9dc5, 0x050c5d1f];
  for (const file of [...files.keys()].sort()) {
    if (file.startsWith('schema/')) continue;
    const text = `${file}\n${files.get(file)}\n`;
    for (let i = 0; i < text.length; i++) {
      const unit = text.charCodeAt(i);
      a = Math.imul(a ^ unit, 0x01000193);
      b = Math.imul(b ^ (unit + 1), 0x01000193);
    }
  }
  return [a, b].map((h) => (h >>> 0).toString(16).padStart(8, '0')).join('');
}

const NO_SETUPS: SetupsFile = { dimensions: {}, forbidden: [], tools: {}, drive: { setup: {}, becomes: {} } };
