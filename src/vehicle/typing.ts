import { VIN_CHARACTERS, VIN_LENGTH, checkDigit } from './check-digit.ts';

/** Something to put right in a VIN as typed. Nothing here is done silently: layout is listed, letters wait for a yes. */
export interface Suggestion {
  readonly kind: 'lower-case' | 'blank' | 'hyphen' | 'bar-code-mark' | 'letter' | 'look-alike' | 'swapped';
  /** Places in the text as typed, counted from 1 in characters. */
  readonly at: readonly number[];
  /** Place in the VIN, 1 to 17; null where the character is no part of it. */
  readonly position: number | null;
  readonly found: string;
  /** What may stand there instead; empty: leave it out. */
  readonly instead: readonly string[];
  /** True for layout, which is read past already; false where a person must say yes. */
  readonly applied: boolean;
  readonly text: string;
}

export interface Typed {
  /** Upper case, without blanks, hyphens and bar code marks; letters as typed. */
  readonly text: string;
  /** For each character of `text` its place in the text as typed, from 1. */
  readonly places: readonly number[];
  readonly suggestions: readonly Suggestion[];
}

const LAYOUT = [
  { kind: 'blank', pattern: /^\s$/u, text: 'blanks are left out (49 CFR 565.13: a VIN has none)' },
  { kind: 'hyphen', pattern: /^[-\u2010-\u2015\u2212]$/u, text: 'hyphens are left out: a VIN has none' },
  { kind: 'bar-code-mark', pattern: /^\*$/u, text: 'the start and stop marks of a Code 39 bar code are left out' },
] as const;

/** Which digit a forbidden letter was meant to be: common practice, the rule only forbids the letters. */
const MEANT: Readonly<Record<string, readonly string[]>> = { I: ['1'], O: ['0'], Q: ['0', '9'] };

/** Characters that are read for each other on plates and in handwriting: common practice, no source. */
const ALIKE = ['S5', 'B8', 'Z2', 'G6', 'D0', 'UV', 'L1', '17', '38', 'A4', 'CG', 'EF', 'MN', 'PR', 'VY', 'KX'] as const;

// The last four of a VIN are digits (ISO 3779 and 49 CFR 565.15(d), from memory): no letter is suggested there.
const FIRST_OF_LAST_FOUR = 13;

/** Reads past the layout of a typed VIN and lists what was read past. */
export function tidy(typed: string): Typed {
  const kept: string[] = [];
  const places: number[] = [];
  const lower: number[] = [];
  const dropped = new Map<(typeof LAYOUT)[number], number[]>();
  Array.from(typed).forEach((character, i) => {
    const layout = LAYOUT.find(({ pattern }) => pattern.test(character));
    if (layout) {
      dropped.set(layout, [...(dropped.get(layout) ?? []), i + 1]);
      return;
    }
    const isLower = /^[a-z]$/.test(character);
    if (isLower) lower.push(i + 1);
    kept.push(isLower ? character.toUpperCase() : character);
    places.push(i + 1);
  });
  const suggestions: Suggestion[] = [...dropped].map(([layout, at]) =>
    applied(layout.kind, typed, at, [], layout.text),
  );
  if (lower.length > 0) suggestions.push(lowerCase(typed, lower));
  return { text: kept.join(''), places, suggestions };
}

/** Forbidden letters with the digits they may stand for, and the I that some labels put before the VIN. */
export function meantLetters(typed: Typed): Suggestion[] {
  const characters = Array.from(typed.text);
  if (characters.length === VIN_LENGTH + 1 && characters[0] === 'I') return [leadingI(typed)];
  return characters.flatMap((found, i) => {
    const instead = Object.hasOwn(MEANT, found) ? MEANT[found] : undefined;
    if (!instead) return [];
    const text = `\`${found}\` in position ${i + 1} may be meant as ${instead.map((c) => `\`${c}\``).join(' or ')}`;
    return [
      { kind: 'letter' as const, at: [typed.places[i] ?? 0], position: i + 1, found, instead, applied: false, text },
    ];
  });
}

/** Whole VINs that follow when the forbidden letters are put right, those with an agreeing check digit first; at most 64. */
export function wholeVins(text: string, letters: readonly Suggestion[]): string[] {
  const choices = letters.reduce((product, { instead }) => product * instead.length, 1);
  if (letters.length === 0 || letters.some(({ instead }) => instead.length === 0) || choices > 64) return [];
  const vins = letters.reduce<string[]>(
    (all, { position, instead }) => all.flatMap((vin) => instead.map((c) => put(vin, (position ?? 0) - 1, c))),
    [text],
  );
  const legal = vins.filter(isVin);
  return [...legal.filter(agrees), ...legal.filter((vin) => !agrees(vin))];
}

/** Single slips that would make the check digit agree: a character read for its look-alike, or two neighbours swapped. */
export function slips(typed: Typed): Suggestion[] {
  const vin = typed.text;
  return Array.from(vin).flatMap((found, i) => {
    const at = typed.places[i] ?? 0;
    const position = i + 1;
    const alike = ALIKE.flatMap((pair) => other(pair, found)).filter(
      (c) => (i < FIRST_OF_LAST_FOUR || /\d/.test(c)) && agrees(put(vin, i, c)),
    );
    const found2 = vin.slice(i, i + 2);
    const swapped = `${found2.charAt(1)}${found2.charAt(0)}`;
    const swapAgrees =
      found2.length === 2 && swapped !== found2 && agrees(vin.slice(0, i) + swapped + vin.slice(i + 2));
    return [
      ...alike.map((c) =>
        slip('look-alike', [at], position, found, c, `\`${found}\` in position ${position} for \`${c}\``),
      ),
      ...(swapAgrees
        ? [
            slip(
              'swapped',
              [at, typed.places[i + 1] ?? 0],
              position,
              found2,
              swapped,
              `\`${found2}\` in positions ${position} and ${position + 1} for \`${swapped}\``,
            ),
          ]
        : []),
    ];
  });
}

export function isVin(text: string): boolean {
  return text.length === VIN_LENGTH && Array.from(text).every((character) => VIN_CHARACTERS.includes(character));
}

function slip(
  kind: 'look-alike' | 'swapped',
  at: number[],
  position: number,
  found: string,
  instead: string,
  what: string,
): Suggestion {
  return {
    kind,
    at,
    position,
    found,
    instead: [instead],
    applied: false,
    text: `${what} would make the check digit agree`,
  };
}

function applied(
  kind: Suggestion['kind'],
  typed: string,
  at: readonly number[],
  instead: readonly string[],
  text: string,
): Suggestion {
  const characters = Array.from(typed);
  const found = at.map((place) => characters[place - 1] ?? '').join('');
  return { kind, at, position: null, found, instead, applied: true, text };
}

function lowerCase(typed: string, at: readonly number[]): Suggestion {
  const characters = Array.from(typed);
  const upper = at.map((place) => (characters[place - 1] ?? '').toUpperCase()).join('');
  const ell = at.some((place) => characters[place - 1] === 'l')
    ? '; a small l is read as `L`, see that it is no `1`'
    : '';
  return applied('lower-case', typed, at, [upper], `small letters are read as capitals${ell}`);
}

// Bar codes on imported vehicles may put an I before the VIN: from memory of label practice, not checked.
function leadingI(typed: Typed): Suggestion {
  const text = 'bar codes on import labels may start with `I`: leave it out';
  return { kind: 'letter', at: [typed.places[0] ?? 1], position: null, found: 'I', instead: [], applied: false, text };
}

function other(pair: string, found: string): string[] {
  const [a = '', b = ''] = pair;
  if (found === a) return [b];
  return found === b ? [a] : [];
}

function put(vin: string, index: number, character: string): string {
  return vin.slice(0, index) + character + vin.slice(index + 1);
}

function agrees(vin: string): boolean {
  return checkDigit(vin).agrees;
}
