import { readFileSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { z } from 'zod';
import { type Fault, pointer } from '../rulebook/fault.ts';
import { near, parseJson, shaped } from '../rulebook/read.ts';
import { Config, SITE_ID } from './config.ts';
import { type Leaf, LEAVES, valueAt } from './config-leaves.ts';
import type { Said, Settings } from './config-settings.ts';
import { DEFAULTS } from './config-settings.ts';
import { together } from './config-together.ts';

export interface Sources {
  /** Fields as the command line gave them; those left out are undefined. */
  readonly options?: Config;
  /** File named on the command line. */
  readonly file?: string | undefined;
  readonly env?: Readonly<Record<string, string | undefined>>;
  /** Folder that paths outside of a file are relative to. */
  readonly folder?: string;
}

export interface Read {
  readonly settings: Settings;
  /** Every field in force, sorted as the schema has them. */
  readonly said: readonly Said[];
  readonly faults: readonly Fault[];
}

/**
 * The settings in force: command line before variables before file before default, field by field. All faults of all of
 * them at once; with any, the settings are not to be used.
 */
export function readConfig({ options = {}, file, env = process.env, folder = process.cwd() }: Sources = {}): Read {
  const faults: Fault[] = [];
  const named = file ?? (env['LASTBOLT_CONFIG'] || undefined);
  const layers = [
    defaults(folder),
    ...(named === undefined ? [] : [fromFile(resolve(folder, named), named, faults)]),
    fromVariables(env, folder, faults),
    fromOptions(options, folder, faults),
  ];
  const inForce = new Map<string, Said>();
  for (const layer of layers) for (const one of layer) inForce.set(one.path.join('/'), one);
  const said = LEAVES.flatMap(({ path }) => inForce.get(path.join('/')) ?? []);
  const settings = built(said);
  readDatabaseFile(settings, said, faults);
  if (faults.length === 0) faults.push(...halves(settings, said));
  // What does not fit together is told of what can be read at all.
  if (faults.length === 0) faults.push(...together(settings, said));
  return { settings, said, faults };
}

function defaults(folder: string): Said[] {
  return LEAVES.flatMap(({ path, secret, isPath }) => {
    const value = valueAt(DEFAULTS, path);
    const at = { file: 'default', pointer: pointer(...path) };
    if (value === undefined) return [];
    return [{ path, value: placed(value, isPath, folder), from: 'default', secret, at }];
  });
}

function fromFile(path: string, named: string, faults: Fault[]): Said[] {
  let text: string;
  try {
    text = readFileSync(path, 'utf8');
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    faults.push({
      file: named,
      pointer: '',
      message: code === 'ENOENT' ? 'no such file' : `can not be read (${code})`,
    });
    return [];
  }
  const value = parseJson(named, text, faults);
  if (value === undefined) return [];
  shapedSecretly(named, value, Config, faults);
  const folder = dirname(path);
  return told(value, (leaf) => ({ from: named, at: { file: named, pointer: pointer(...leaf.path) } }), folder);
}

/** Variables that are none of a field's. */
const OTHERS = ['LASTBOLT_CONFIG'];

function fromVariables(env: NonNullable<Sources['env']>, folder: string, faults: Fault[]): Said[] {
  const known = [...LEAVES.map(({ variable }) => variable), ...OTHERS];
  for (const name of Object.keys(env).filter((one) => one.startsWith('LASTBOLT_') && !known.includes(one)))
    faults.push({ file: name, pointer: '', message: 'unknown variable', ...near(name, known) });
  return LEAVES.flatMap((leaf) => {
    const { variable, path, shape, secret, isPath } = leaf;
    const text = env[variable];
    if (text === undefined) return [];
    const at = { file: variable, pointer: '' };
    if (text.trim() === '') {
      faults.push({ ...at, message: 'is empty', hint: 'leave it out, or give it a value' });
      return [];
    }
    const value = fromText(leaf, text.trim(), faults);
    const before = faults.length;
    if (value !== undefined) shapedSecretly(variable, value, shape, faults, secret);
    if (value === undefined || faults.length > before) return [];
    return [{ path, value: placed(value, isPath, folder), from: variable, secret, at }];
  });
}

/** As near to what the field wants as the text is; what is not is left for the shape to refuse. */
function fromText({ type, variable }: Leaf, text: string, faults: Fault[]): unknown {
  if (type === 'integer' || type === 'number') return /^-?\d+(?:\.\d+)?$/.test(text) ? Number(text) : text;
  if (type === 'boolean') return text === 'true' || (text === 'false' ? false : text);
  if (type === 'array') return text.split(',').map((one) => one.trim());
  return type === 'object' ? parseJson(variable, text, faults) : text;
}

function fromOptions(options: Config, folder: string, faults: Fault[]): Said[] {
  const before = faults.length;
  shapedSecretly('command line', options, Config, faults);
  const at = (leaf: Leaf) => `--${leaf.path.join('-')}`;
  if (faults.length > before) return [];
  return told(options, (leaf) => ({ from: at(leaf), at: { file: at(leaf), pointer: '' } }), folder);
}

function told(value: unknown, who: (leaf: Leaf) => Pick<Said, 'from' | 'at'>, folder: string): Said[] {
  return LEAVES.flatMap((leaf) => {
    const found = valueAt(value, leaf.path);
    if (found === undefined) return [];
    return [{ path: leaf.path, value: placed(found, leaf.isPath, folder), secret: leaf.secret, ...who(leaf) }];
  });
}

function placed(value: unknown, isPath: boolean, folder: string): unknown {
  return isPath && typeof value === 'string' ? resolve(folder, value) : value;
}

/** The same as `shaped`, but what is secret is not repeated. */
function shapedSecretly(file: string, value: unknown, shape: z.ZodType, faults: Fault[], all = false): void {
  const own: Fault[] = [];
  shaped(file, value, true, shape, own);
  const hidden = new Set(LEAVES.filter(({ secret }) => secret).map(({ path }) => pointer(...path)));
  for (const fault of own) {
    const { value: _, ...rest } = fault;
    // The value there is the whole site, and what is wrong is its name.
    if (fault.message.startsWith('invalid key')) faults.push({ ...rest, message: 'is no id of a site', hint: SITE_ID });
    else faults.push(all || hidden.has(fault.pointer) ? rest : fault);
  }
}

function built(said: readonly Said[]): Settings {
  const settings: Record<string, unknown> = {};
  for (const { path, value } of said) {
    let into = settings;
    for (const name of path.slice(0, -1)) into = (into[name] ??= {}) as Record<string, unknown>;
    into[path.at(-1) as string] = value;
  }
  return settings as unknown as Settings;
}

/** Of what is said in variables a part can be missing that a file would have been refused without. */
function halves(settings: Settings, said: readonly Said[]): Fault[] {
  const whole = Config.safeParse(settings);
  return (whole.error?.issues ?? []).flatMap(({ path }) => {
    const missing = LEAVES.find((leaf) => leaf.path.join() === path.join());
    const beside = said.find((one) => one.path.length > 1 && one.path[0] === path[0]);
    if (!missing || !beside) return [];
    return [{ ...beside.at, message: 'is only half of it', hint: `${missing.variable} is missing beside it` }];
  });
}

/** A secret that lies in a file of its own, as service managers hand them over. */
function readDatabaseFile(settings: Settings, said: readonly Said[], faults: Fault[]): void {
  const file = settings['database-file'];
  const at = said.find(({ path }) => path.join() === 'database-file')?.at;
  if (file === undefined || at === undefined) return;
  if (settings.database !== undefined) {
    const other = said.find(({ path }) => path.join() === 'database')?.from;
    faults.push({ ...at, message: 'the database is named twice', hint: `it is named by ${other} too: leave one out` });
    return;
  }
  try {
    const text = readFileSync(file, 'utf8').trim();
    const own: Fault[] = [];
    shapedSecretly(file, text, LEAVES.find(({ path }) => path.join() === 'database')?.shape as z.ZodType, own, true);
    faults.push(...own);
    settings.database = text;
  } catch (error) {
    const why = (error as NodeJS.ErrnoException).code === 'ENOENT' ? 'no such file' : 'may not be read';
    faults.push({ ...at, message: why, value: file });
  }
}
