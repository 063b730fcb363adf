/** A weight in kg as far as it is known: one figure, or the bracket that somebody ticked. */
export type Weight = number | { readonly min?: number; readonly max?: number };

/** Whether a weight is at most a limit; undefined while the bracket spans it. `min` of a bracket is exclusive, `max` inclusive. */
export function atMost(weight: Weight | null | undefined, limit: number): boolean | undefined {
  if (weight === null || weight === undefined) return undefined;
  if (typeof weight === 'number') return weight <= limit;
  if (weight.max !== undefined && weight.max <= limit) return true;
  return weight.min !== undefined && weight.min >= limit ? false : undefined;
}
