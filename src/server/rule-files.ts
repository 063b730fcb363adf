import { readdirSync, readFileSync } from 'node:fs';
import { join, sep } from 'node:path';
import { printFault } from '../rulebook/fault.ts';
import { loadRulebook, type RuleFiles } from '../rulebook/load.ts';
import type { RuleBundle } from '../store/shop/rulebooks.ts';
import { CannotServe } from './cannot-serve.ts';

/** Reads the rules below a folder. Throws CannotServe, naming every fault, if they are not sound: a page could not plan with them. */
export function readRules(folder: string): RuleBundle {
  const files = ruleFiles(folder);
  const { rulebook, faults } = loadRulebook(files);
  if (faults.length > 0) {
    const lines = faults.map((fault) => `  ${printFault(fault)}`);
    throw new CannotServe(`the rulebook in ${folder} has ${faults.length} faults:\n${lines.join('\n')}`);
  }
  return { version: rulebook.version, files: Object.fromEntries(files) };
}

function ruleFiles(folder: string): RuleFiles {
  const names = readdirSync(folder, { recursive: true })
    .map((name) => String(name).split(sep).join('/'))
    .filter((name) => name.endsWith('.json') && !name.startsWith('schema/'))
    .sort();
  return new Map(names.map((name) => [name, readFileSync(join(folder, name), 'utf8')]));
}
