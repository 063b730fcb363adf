import type { Rulebook } from '../rulebook.ts';
import type { Scope } from '../schema.ts';
import { list, lower, spaced } from './words.ts';

/** One thing that is asked of a car: its trait is (or is not) among these values, or its figure lies so. */
type Test =
  | { readonly trait: string; readonly among: readonly (string | number)[]; readonly not: boolean }
  | { readonly trait: string; readonly order: Order; readonly than: number };
type Order = '<' | '<=' | '>' | '>=';
type Cars = boolean | Test | { readonly all: readonly Cars[] } | { readonly any: readonly Cars[] };

const TURNED: Record<Order, Order> = { '<': '>', '>': '<', '<=': '>=', '>=': '<=' };
const DENIED: Record<Order, Order> = { '<': '>=', '>=': '<', '>': '<=', '<=': '>' };
const ORDER_WORDS: Record<Order, string> = { '<': 'under', '<=': 'at most', '>': 'over', '>=': 'at least' };

/**
 * On which cars a rule speaks, in trade words: `with rain sensor, and made by Ford or Lincoln`. Undefined: on all; a
 * condition that is never met reads `none at all`. Any JSON Logic that the loader takes has its words.
 */
export function carsText(
  book: Rulebook,
  { if: logic, scope }: { readonly if?: unknown; readonly scope?: Scope | undefined },
): string | undefined {
  const cars = joined('all', [scopeCars(scope), read(logic, false)], book);
  if (cars === true) return undefined;
  return cars === false ? 'none at all' : say(cars, book);
}

function scopeCars({ makers, models, years }: Scope = {}): Cars {
  return {
    all: [
      ...(makers ? [{ trait: 'maker', among: makers, not: false }] : []),
      ...(models ? [{ trait: 'model', among: models, not: false }] : []),
      ...(years
        ? [
            { trait: 'model-year', order: '>=' as const, than: years[0] },
            { trait: 'model-year', order: '<=' as const, than: years[1] },
          ]
        : []),
    ],
  };
}

/** A "not" is carried inwards, so that the words need none for a whole bracket. */
function read(logic: unknown, denied: boolean): Cars {
  if (logic === undefined || typeof logic === 'boolean') return (logic ?? true) !== denied;
  const [operator, argument] = Object.entries(logic as Record<string, unknown>)[0] as [string, unknown];
  if (operator === '!') return read(Array.isArray(argument) ? argument[0] : argument, !denied);
  const parts = argument as unknown[];
  if (operator === 'and' || operator === 'or') {
    const read1 = parts.map((part) => read(part, denied));
    return (operator === 'and') === denied ? { any: read1 } : { all: read1 };
  }
  const [left, right] = parts;
  const swapped = typeof left !== 'object';
  const trait = ((swapped ? right : left) as { var: string }).var;
  const value = swapped ? left : right;
  if (operator === 'in') return { trait, among: value as (string | number)[], not: denied };
  if (operator === '==' || operator === '!=')
    return { trait, among: [value as string | number], not: (operator === '!=') !== denied };
  const order = swapped ? TURNED[operator as Order] : (operator as Order);
  return { trait, order: denied ? DENIED[order] : order, than: value as number };
}

/** Flat, without what changes nothing, with values of one trait said once. */
function joined(how: 'all' | 'any', parts: readonly Cars[], book: Rulebook): Cars {
  const flat = parts
    .map((part) =>
      typeof part === 'boolean' || 'trait' in part
        ? part
        : 'all' in part
          ? joined('all', part.all, book)
          : joined('any', part.any, book),
    )
    .flatMap((part): readonly Cars[] =>
      typeof part === 'object' && how in part ? (part as Record<typeof how, readonly Cars[]>)[how] : [part],
    );
  if (flat.includes(how === 'any')) return how === 'any';
  const merged = flat
    .filter((part) => typeof part !== 'boolean')
    .reduce<Cars[]>((kept, part) => merge(how, kept, part), []);
  const first = merged[0];
  if (first === undefined) return how === 'all';
  const sure = merged.map((part) => settled(part, book));
  if (sure.includes(how === 'any')) return how === 'any';
  const open = sure.filter((part) => typeof part !== 'boolean');
  if (open.length < 2) return open[0] ?? how === 'all';
  return how === 'all' ? { all: inOrder(open) } : { any: open };
}

function merge(how: 'all' | 'any', kept: readonly Cars[], part: Cars): Cars[] {
  const at = kept.findIndex(
    (one) =>
      typeof one === 'object' &&
      'among' in one &&
      typeof part === 'object' &&
      'among' in part &&
      one.trait === part.trait,
  );
  const one = kept[at] as Extract<Test, { among: unknown }> | undefined;
  if (!one) return [...kept, part];
  return kept.with(at, both(how, one, part as typeof one));
}

type Among = Extract<Test, { among: unknown }>;

/** Two tests on one trait as one. */
function both(how: 'all' | 'any', a: Among, b: Among): Among {
  // "a and b" is "not (not a or not b)".
  if (how === 'all') return denied(both('any', denied(a), denied(b)));
  const { trait } = a;
  if (!a.not && !b.not) return { trait, among: [...new Set([...a.among, ...b.among])], not: false };
  if (a.not && b.not) return { trait, among: a.among.filter((v) => b.among.includes(v)), not: true };
  const [out, within] = a.not ? [a, b] : [b, a];
  return { trait, among: out.among.filter((v) => !within.among.includes(v)), not: true };
}

function denied(test: Among): Among {
  return { ...test, not: !test.not };
}

/** Of a trait with few values those that are left are said, rather than those that are not meant. */
function settled(part: Cars, book: Rulebook): Cars {
  if (typeof part === 'boolean' || !('trait' in part)) return part;
  const domain = book.domains.get(part.trait);
  if ('order' in part) return domain?.kind === 'number' && isAlways(part, domain) ? true : part;
  const known = domain?.kind === 'values' ? domain.values : undefined;
  const there = [...new Set(part.among)].filter((v) => known?.includes(String(v)) ?? true);
  if (there.length === 0) return part.not;
  if (known && there.length === known.length) return !part.not;
  const rest = known?.filter((v) => !there.includes(v)) ?? [];
  const having = isHaving(part.trait, book);
  // "with it" says more than a list of all its kinds.
  if (!part.not && having && rest.length === 1 && rest[0] === 'none') return { ...part, among: rest, not: true };
  if (part.not && known && (rest.length < there.length || !having)) return { ...part, among: rest, not: false };
  return { ...part, among: there };
}

/** "Up to 2100" is no bound where no car is younger. */
function isAlways(
  { order, than }: Extract<Test, { order: Order }>,
  { min, max }: { min: number; max: number },
): boolean {
  return { '<': max < than, '<=': max <= than, '>': min > than, '>=': min >= than }[order];
}

const FIRST = ['maker', 'model', 'model-year', 'market'];

/** Whose car it is, then what it has, then what hangs on more than one thing. */
function inOrder(parts: readonly Cars[]): readonly Cars[] {
  const rank = (part: Cars): number => {
    if (typeof part === 'boolean' || !('trait' in part)) return FIRST.length + 1;
    return FIRST.includes(part.trait) ? FIRST.indexOf(part.trait) : FIRST.length;
  };
  return parts.toSorted((a, b) => rank(a) - rank(b));
}

function say(cars: Cars, book: Rulebook): string {
  if (typeof cars === 'boolean') return cars ? 'every car' : 'none at all';
  if ('trait' in cars) return test(cars, book);
  if ('all' in cars) {
    const parts = years(cars.all).map((part) =>
      typeof part === 'string' ? part : 'any' in (part as object) ? `(${say(part, book)})` : say(part, book),
    );
    return parts.join(parts.some((part) => / or |, /.test(part)) ? ', and ' : ' and ');
  }
  return cars.any
    .map((part) => (typeof part === 'object' && 'all' in part ? `(${say(part, book)})` : say(part, book)))
    .join(', or ');
}

/** "from 2013" and "to 2015" are said as one. */
function years(parts: readonly Cars[]): readonly (Cars | string)[] {
  const bound = (order: Order) =>
    parts.find(
      (part): part is Extract<Test, { order: Order }> =>
        typeof part === 'object' && 'order' in part && part.trait === 'model-year' && part.order === order,
    );
  const [from, to] = [bound('>='), bound('<=')];
  if (!from || !to) return parts;
  const text = from.than === to.than ? `model year ${from.than}` : `model years ${from.than} to ${to.than}`;
  return parts.flatMap((part): (Cars | string)[] => (part === from ? [text] : part === to ? [] : [part]));
}

function test(one: Test, book: Rulebook): string {
  const { trait } = one;
  const title = trait === 'model-year' ? 'model year' : lower(book.traits.get(trait)?.title ?? spaced(trait));
  if ('order' in one) {
    if (trait === 'model-year') return yearText(one.order, one.than);
    const domain = book.domains.get(trait);
    return `${title} ${ORDER_WORDS[one.order]} ${one.than}${domain?.kind === 'number' && domain.unit ? ` ${domain.unit}` : ''}`;
  }
  const not = one.not ? 'not ' : '';
  if (trait === 'maker') return `${not}made by ${list(one.among.map((id) => makerName(book, String(id))))}`;
  if (trait === 'model') return `${not}model ${list(one.among.map((id) => modelName(String(id))))}`;
  if (trait === 'model-year') return `${not}model year ${list(one.among.map(String))}`;
  if (trait === 'market') return `${not}built for ${list(one.among.map((id) => String(id).toUpperCase()))}`;
  const row = book.traits.get(trait);
  if (isHaving(trait, book) && one.among.length === 1) {
    const without = (one.among[0] === 'none') !== one.not;
    if (one.among[0] === 'none' || Object.keys(row?.values ?? {}).length === 2)
      return `${without ? 'without' : 'with'} ${title}`;
  }
  const values = one.among.map((value) => row?.values?.[String(value)] ?? String(value));
  return `${one.not ? 'without' : 'with'} "${title}: ${values.join(' / ')}"`;
}

/** A car has it or has it not: "with rain sensor". Others are told by the words of their values. */
function isHaving(trait: string, book: Rulebook): boolean {
  return book.traits.get(trait)?.values?.['none'] === 'not fitted';
}

function yearText(order: Order, year: number): string {
  if (order === '>' || order === '>=') return `from model year ${order === '>' ? year + 1 : year}`;
  return `up to model year ${order === '<' ? year - 1 : year}`;
}

export function makerName(book: Rulebook, id: string): string {
  return book.makers.get(id) ?? capitals(id);
}

/** "versa-note" -> "Versa Note", "cx-5" -> "CX-5": short pieces and those with a figure are capitals. */
export function modelName(id: string): string {
  return capitals(id).replace(/^([A-Z]{1,2}) /, '$1-');
}

function capitals(id: string): string {
  return id
    .split('-')
    .map((piece) =>
      piece.length <= 2 || /\d/.test(piece) || !/[aeiouy]/.test(piece)
        ? piece.toUpperCase()
        : piece.charAt(0).toUpperCase() + piece.slice(1),
    )
    .join(' ');
}
