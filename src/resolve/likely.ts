import { scopeRank } from '../rulebook/compile.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import type { Scope } from '../rulebook/schema.ts';
import type { Known } from './known.ts';
import type { Question } from './result.ts';

/**
 * What most cars like this one have: beside a question only, no verdict, order or way reads it. Of the rows whose scope
 * is met by what is known, the nearest; none where the car is already known to be otherwise.
 */
export function likelyOf(rulebook: Rulebook, known: Known, trait: string): Question['likely'] {
  const rows = rulebook.traits.get(trait)?.likely ?? [];
  const possible = known.possible(trait);
  const met = rows.filter(
    ({ scope, value }) => isMet(scope, known) && (possible === undefined || possible.includes(value)),
  );
  const nearest = met.sort((a, b) => scopeRank(b.scope) - scopeRank(a.scope))[0];
  return nearest && { value: nearest.value, because: nearest.because };
}

function isMet({ makers, models, years }: Scope, known: Known): boolean {
  const all = (fact: string, test: (value: string | number) => boolean) => {
    const values = known.possible(fact);
    return values !== undefined && values.length > 0 && values.every(test);
  };
  if (makers && !all('maker', (maker) => makers.includes(String(maker)))) return false;
  if (models && !all('model', (model) => models.includes(String(model)))) return false;
  return !years || all('model-year', (year) => Number(year) >= years[0] && Number(year) <= years[1]);
}
