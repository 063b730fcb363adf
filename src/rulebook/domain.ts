/** What a trait can be, and how a condition cuts that into cells that it cannot tell apart. */

export type Value = string | number;

export type Domain =
  | { readonly kind: 'values'; readonly values: readonly string[] }
  | {
      readonly kind: 'number';
      readonly integer: boolean;
      readonly min: number;
      readonly max: number;
      readonly unit?: string;
    }
  | { readonly kind: 'open' };

/** Stands for every word that no rule names. The leading blank keeps it apart from any id. */
export const ANY_OTHER = ' any other';

/** Facts of the car itself that conditions and scopes may name beside the rulebook's traits. */
export const CAR_FACTS: Readonly<Record<string, Domain>> = {
  maker: { kind: 'open' },
  model: { kind: 'open' },
  market: { kind: 'open' },
  'model-year': { kind: 'number', integer: true, min: 1950, max: 2100 },
};

/** A finite partition of a domain: `of` gives the cell of a value, `sample` one value of each cell. */
export interface Cells {
  readonly samples: readonly Value[];
  of(value: Value): number;
}

/** Cells that `constants` (the literals a condition compares with) can tell apart. */
export function cut(domain: Domain, constants: Iterable<Value>): Cells {
  if (domain.kind === 'values') return named(domain.values, -1);
  if (domain.kind === 'open') {
    const words = [...new Set([...constants].map(String))].sort();
    return named([...words, ANY_OTHER], words.length);
  }
  return cutNumber(
    domain,
    [...new Set([...constants].map(Number))].sort((a, b) => a - b),
  );
}

function named(samples: readonly string[], fallback: number): Cells {
  const index = new Map(samples.map((value, i) => [value, i]));
  return { samples, of: (value) => index.get(String(value)) ?? fallback };
}

/** One cell at each constant and one between neighbours; cells without an allowed value (no integer in it, out of range) are left out. */
function cutNumber(domain: Domain & { kind: 'number' }, constants: readonly number[]): Cells {
  const samples: number[] = [];
  [-Infinity, ...constants].forEach((low, i) => {
    if (i > 0 && allowed(domain, low)) samples.push(low);
    const between = allowedBetween(domain, low, constants[i] ?? Infinity);
    if (between !== undefined) samples.push(between);
  });
  const sameCell = (a: number, b: number) => constants.every((c) => a < c === b < c && a > c === b > c);
  return { samples, of: (value) => samples.findIndex((sample) => sameCell(sample, Number(value))) };
}

function allowed(domain: Domain & { kind: 'number' }, value: number): boolean {
  return value >= domain.min && value <= domain.max && (!domain.integer || Number.isInteger(value));
}

function allowedBetween(domain: Domain & { kind: 'number' }, low: number, high: number): number | undefined {
  const from = Math.max(low, domain.min);
  const to = Math.min(high, domain.max);
  const value = domain.integer ? (low < domain.min ? Math.ceil(domain.min) : Math.floor(low) + 1) : (from + to) / 2;
  return value > low && value < high && allowed(domain, value) ? value : undefined;
}

/** Why `value` cannot be of `domain`, or undefined if it can. */
export function outside(domain: Domain, value: unknown): string | undefined {
  if (domain.kind === 'values') {
    return typeof value === 'string' && domain.values.includes(value)
      ? undefined
      : `is not one of ${domain.values.join(', ')}`;
  }
  if (domain.kind === 'open')
    return typeof value === 'string' && /^[a-z0-9-]+$/.test(value) ? undefined : 'is not a lower-case word';
  if (typeof value !== 'number' || !Number.isFinite(value)) return 'is not a number';
  if (domain.integer && !Number.isInteger(value)) return 'is not a whole number';
  return value < domain.min || value > domain.max ? `is outside ${domain.min} to ${domain.max}` : undefined;
}
