import { loadRulebook } from '../rulebook/load.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';

/** The rules as the server sends them. */
export interface RuleBundle {
  readonly version: string;
  readonly files: Readonly<Record<string, string>>;
}

/** Throws if the rules are not sound: nothing may be planned with half a rulebook. */
export function readBook(bundle: RuleBundle): Rulebook {
  const { rulebook, faults } = loadRulebook(new Map(Object.entries(bundle.files)));
  if (faults.length > 0) throw new Error(`rulebook ${bundle.version} has ${faults.length} faults`);
  return rulebook;
}
