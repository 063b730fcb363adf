import { readdir, stat } from 'node:fs/promises';
import { join, sep } from 'node:path';
import { fileURLToPath } from 'node:url';
import { type Loaded, loadRulebook, type RuleFiles } from '../rulebook/load.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import { readText, reason, refuse, Unusable } from './input.ts';

/** The rulebook that comes with the package; two folders up, in source and in the built files alike. */
export const RULES = fileURLToPath(new URL('../../rules', import.meta.url));

/** A folder with none of these is something else. */
const TABLES = ['parts.json', 'traits.json', 'states.json', 'setups.json', 'sources.json'];

/** A sound rulebook. Throws Unusable with every fault that the loader found. */
export async function rulebookIn(folder: string): Promise<Rulebook> {
  const { rulebook, faults } = await loadFrom(folder);
  if (faults.length > 0) throw new Unusable(faults.map((f) => ({ ...f, file: join(folder, f.file) })));
  return rulebook;
}

export async function loadFrom(folder: string): Promise<Loaded & { files: RuleFiles }> {
  const files = await readRules(folder);
  return { ...loadRulebook(files), files };
}

/** All JSON files below a folder, by path with forward slashes. */
export async function readRules(folder: string): Promise<RuleFiles> {
  const found = await stat(folder).catch((error: NodeJS.ErrnoException) =>
    refuse(folder, reason(error).replace('file', 'folder')),
  );
  if (!found.isDirectory()) refuse(folder, 'is not a folder', 'name the folder that holds parts.json and traits.json');
  const names = (await readdir(folder, { recursive: true })).filter((name) => name.endsWith('.json')).sort();
  if (!TABLES.some((table) => names.includes(table)))
    refuse(folder, 'holds no rulebook', 'name the folder that holds parts.json and traits.json');
  const files = new Map<string, string>();
  for (const name of names) files.set(name.split(sep).join('/'), await readText(join(folder, name)));
  return files;
}
