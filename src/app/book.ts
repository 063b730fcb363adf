import type { RuleFiles } from '../rulebook/load.ts';
import { loadRulebook } from '../rulebook/load.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import { type MakerBook, type Mandates, makersFile, mandatesFile } from '../vehicle/schema.ts';

/** The rules as the server sends them. */
export interface RuleBundle {
  readonly version: string;
  readonly files: Readonly<Record<string, string>>;
}

/** Everything that planning reads beside the job. */
export interface Book {
  readonly rulebook: Rulebook;
  readonly makers: MakerBook;
  readonly mandates: Mandates;
}

/** Throws if the rules are not sound: nothing may be planned with half a rulebook. */
export function readBook(bundle: RuleBundle): Book {
  const files: RuleFiles = new Map(Object.entries(bundle.files));
  const { rulebook, faults } = loadRulebook(files);
  if (faults.length > 0) throw new Error(`rulebook ${bundle.version} has ${faults.length} faults`);
  return {
    rulebook,
    makers: makersFile.parse(table(files, 'makers.json')),
    mandates: mandatesFile.parse(table(files, 'mandates.json')),
  };
}

function table(files: RuleFiles, name: string): unknown {
  const text = files.get(name);
  if (text === undefined) throw new Error(`the rulebook has no ${name}`);
  return JSON.parse(text);
}
