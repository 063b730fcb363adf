import { type Condition, range } from '../condition.ts';
import { ANY_OTHER, cut, type Domain, type Value } from '../domain.ts';
import type { Applies } from '../rulebook.ts';

/** Conditions put together; a lint asks whether some car makes the whole true. */
export type Formula =
  | Condition
  | { readonly all: readonly Formula[] }
  | { readonly any: readonly Formula[] }
  | { readonly not: Formula };

/** Only the traits that were needed to make the formula true; the rest may be anything. */
export type Car = ReadonlyMap<string, Value>;

/** The search met more combinations than any sensible rule has. */
export class TooWide extends Error {}

const MOST_TRIES = 200_000;

export const all = (...parts: readonly (Formula | Applies)[]): Formula => ({
  all: parts.map((p) => (Array.isArray(p) ? { all: p as Applies } : (p as Formula))),
});
export const any = (parts: readonly Formula[]): Formula => ({ any: parts });
export const not = (part: Formula | Applies): Formula => ({ not: all(part) });

/**
 * A car on which `formula` is true, or undefined if there is none: complete, because each trait is tried once in every
 * cell that the formula's literals can tell apart. Throws TooWide after 200,000 partial cars.
 */
export function findCar(formula: Formula, domains: ReadonlyMap<string, Domain>): Car | undefined {
  const leaves = leavesOf(formula);
  const samples = samplesOf(leaves, domains);
  const car = new Map<string, Value>();
  let tries = 0;
  const search = (): boolean => {
    if (++tries > MOST_TRIES) throw new TooWide(`more than ${MOST_TRIES} combinations of ${samples.size} traits`);
    const now = settle(formula, car, samples);
    if (now !== 3) return now === 2;
    const variable = nextVariable(leaves, car, samples);
    for (const value of samples.get(variable) ?? []) {
      car.set(variable, value);
      if (search()) return true;
    }
    car.delete(variable);
    return false;
  };
  return search() ? car : undefined;
}

/** For a hint: `on a car with \`forward-camera\` target, \`maker\` not named by any rule`. */
export function describeCar(car: Car): string {
  if (car.size === 0) return 'on any car';
  const words = [...car]
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(([trait, value]) => `\`${trait}\` ${value === ANY_OTHER ? 'that no rule names' : value}`);
  return `on a car with ${words.join(', ')}`;
}

/** Bit 1 = can still be false, bit 2 = can still be true (Kleene over the parts, exact within one condition). */
function settle(formula: Formula, car: Car, samples: ReadonlyMap<string, readonly Value[]>): 1 | 2 | 3 {
  if ('not' in formula) return ([3, 2, 1, 3] as const)[settle(formula.not, car, samples)];
  if ('all' in formula) return join(formula.all, 1, car, samples);
  if ('any' in formula) return join(formula.any, 2, car, samples);
  return range(formula, (variable) => {
    const value = car.get(variable);
    return value === undefined ? (samples.get(variable) ?? []) : [value];
  });
}

/** `and` is decided by the first false part, `or` by the first true one. */
function join(
  parts: readonly Formula[],
  deciding: 1 | 2,
  car: Car,
  samples: ReadonlyMap<string, readonly Value[]>,
): 1 | 2 | 3 {
  let open = false;
  for (const part of parts) {
    const now = settle(part, car, samples);
    if (now === deciding) return deciding;
    if (now === 3) open = true;
  }
  if (open) return 3;
  return deciding === 1 ? 2 : 1;
}

function nextVariable(leaves: readonly Condition[], car: Car, samples: ReadonlyMap<string, readonly Value[]>): string {
  for (const leaf of leaves) {
    if (settle(leaf, car, samples) !== 3) continue;
    const free = leaf.variables.find((v) => !car.has(v));
    if (free !== undefined) return free;
  }
  throw new Error('a formula that is open has a trait that is open');
}

function leavesOf(formula: Formula): Condition[] {
  if ('not' in formula) return leavesOf(formula.not);
  if ('all' in formula) return formula.all.flatMap(leavesOf);
  if ('any' in formula) return formula.any.flatMap(leavesOf);
  return [formula];
}

function samplesOf(leaves: readonly Condition[], domains: ReadonlyMap<string, Domain>): Map<string, readonly Value[]> {
  const constants = new Map<string, Set<Value>>();
  for (const leaf of leaves) {
    leaf.variables.forEach((variable, i) => {
      const known = constants.get(variable) ?? new Set();
      for (const value of leaf.constants[i] ?? []) known.add(value);
      constants.set(variable, known);
    });
  }
  return new Map(
    [...constants].map(([v, values]) => [v, plainestFirst(cut(domains.get(v) as Domain, values).samples)]),
  );
}

/** A car that no rule names says more in a hint than one that some rule happens to. */
function plainestFirst(samples: readonly Value[]): readonly Value[] {
  return samples.includes(ANY_OTHER) ? [ANY_OTHER, ...samples.filter((s) => s !== ANY_OTHER)] : samples;
}
