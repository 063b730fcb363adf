import { VIN_CHARACTERS, VIN_LENGTH, checkDigit, type CheckDigit } from './check-digit.ts';
import { readMaker, type MakerReading } from './maker.ts';
import { modelYears, type YearFacts } from './model-year.ts';
import type { MakerBook } from './schema.ts';
import { isVin, meantLetters, slips, tidy, wholeVins, type Suggestion, type Typed } from './typing.ts';

/** Where a wrong check digit stops: 49 CFR 565.15(c); Canada from memory; GB 16735-2019 Annex A. Elsewhere ISO 3779 leaves position 9 free. */
const CHECKED_MARKETS: readonly string[] = ['US', 'US-CA', 'CA', 'CN'];

/** Beyond this length a text is no mistyped VIN: only its length is spoken of. */
const MOST_SHOWN = 25;

export interface VinOptions extends YearFacts {
  readonly makers: MakerBook;
}

/** A sentence about the VIN; `position` 1 to 17 where it speaks of one. */
export interface VinFinding {
  readonly about: 'length' | 'character' | 'check-digit' | 'model-year' | 'maker';
  readonly position: number | null;
  readonly text: string;
}

export interface VinReading {
  /** The 17 characters, or null while length or characters are wrong. A VIN with a wrong check digit is given, with its fault. */
  readonly vin: string | null;
  /** What must be put right before the VIN can be used in this market. */
  readonly faults: readonly VinFinding[];
  readonly remarks: readonly VinFinding[];
  readonly suggestions: readonly Suggestion[];
  /** Whole VINs that follow from the suggested letters, agreeing check digits first. */
  readonly candidates: readonly string[];
  readonly checkDigit: CheckDigit | null;
  /** All model years still possible; empty: the VIN does not tell. */
  readonly modelYears: readonly number[];
  /** Maker ids: one is an answer, several are undecided, none is unknown. */
  readonly makers: readonly string[];
  readonly makersBasis: MakerReading['basis'];
  /** Class under which the maker code is filed in the United States. */
  readonly filedClass: MakerReading['class'];
  readonly region: MakerReading['region'];
  readonly country: MakerReading['country'];
}

/**
 * Reads a VIN as typed or scanned. Only layout (case, blanks, hyphens, bar code marks) is read past, and listed;
 * a forbidden letter is never replaced, only suggested.
 */
export function readVin(text: string, options: VinOptions): VinReading {
  const typed = tidy(text);
  return isVin(typed.text) ? readWhole(typed, options) : readBroken(typed);
}

function readBroken(typed: Typed): VinReading {
  const letters = meantLetters(typed);
  const faults = [...lengthFaults(typed), ...characterFaults(typed)];
  const candidates = wholeVins(typed.text, letters);
  const extra =
    letters.some(({ position }) => position === null) && isVin(typed.text.slice(1)) ? [typed.text.slice(1)] : [];
  return {
    vin: null,
    faults,
    remarks: [],
    suggestions: [...typed.suggestions, ...letters],
    candidates: [...candidates, ...extra],
    checkDigit: null,
    modelYears: [],
    makers: [],
    makersBasis: null,
    filedClass: null,
    region: null,
    country: null,
  };
}

function readWhole(typed: Typed, options: VinOptions): VinReading {
  const vin = typed.text;
  const digit = checkDigit(vin);
  const maker = readMaker(vin, options.makers);
  const years = modelYears(vin, { ...options, class: options.class ?? maker.class ?? undefined });
  const digitFinding = checkDigitFinding(digit, options.market);
  const stops = digitFinding !== null && isChecked(options.market);
  const yearRemark: VinFinding[] =
    years.years.length === 1 ? [] : [{ about: 'model-year', position: 10, text: years.because }];
  return {
    vin,
    faults: digitFinding && stops ? [digitFinding] : [],
    remarks: [
      ...(digitFinding && !stops ? [digitFinding] : []),
      ...yearRemark,
      ...makerRemarks(vin, maker, options.makers),
    ],
    suggestions: [...typed.suggestions, ...(stops ? slips(typed) : [])],
    candidates: [],
    checkDigit: digit,
    modelYears: years.years,
    makers: maker.makers,
    makersBasis: maker.basis,
    filedClass: maker.class,
    region: maker.region,
    country: maker.country,
  };
}

function lengthFaults({ text }: Typed): VinFinding[] {
  const length = Array.from(text).length;
  if (length === VIN_LENGTH) return [];
  const shown = length > MOST_SHOWN ? `${text.slice(0, MOST_SHOWN)}...` : text;
  const gap = length < VIN_LENGTH ? `${VIN_LENGTH - length} missing` : `${length - VIN_LENGTH} too many`;
  return [
    {
      about: 'length',
      position: null,
      text: `a VIN has 17 characters, \`${shown}\` has ${length}: ${gap} (49 CFR 565.13(b))`,
    },
  ];
}

function characterFaults({ text }: Typed): VinFinding[] {
  if (text.length > MOST_SHOWN) return [];
  return Array.from(text).flatMap((character, i) => {
    if (VIN_CHARACTERS.includes(character)) return [];
    const why = /[IOQ]/.test(character) ? 'a VIN has no I, O or Q' : 'a VIN has only capital letters and digits';
    return [
      {
        about: 'character' as const,
        position: i + 1,
        text: `\`${character}\` in position ${i + 1}: ${why} (49 CFR 565.13(g))`,
      },
    ];
  });
}

function isChecked(market: VinOptions['market']): boolean {
  return market !== undefined && CHECKED_MARKETS.includes(market);
}

function checkDigitFinding(digit: CheckDigit, market: VinOptions['market']): VinFinding | null {
  if (digit.agrees) return null;
  const differs = `check digit in position 9 is \`${digit.found}\`, the other characters ask for \`${digit.expected}\``;
  const means = isChecked(market)
    ? 'a character is wrong or two have changed places'
    : market === undefined
      ? 'wrong if the vehicle was built for the US, Canada or China, without meaning elsewhere: name the market'
      : `market ${market} asks for none (ISO 3779), so this proves nothing`;
  return { about: 'check-digit', position: 9, text: `${differs}: ${means}` };
}

function makerRemarks(vin: string, maker: MakerReading, book: MakerBook): VinFinding[] {
  const remark = (text: string): VinFinding[] => [{ about: 'maker', position: 1, text }];
  if (maker.code === null)
    return remark(`maker code \`${vin.slice(0, 3)}\` is not in the list: say who made the vehicle`);
  if (maker.makers.length === 1) return [];
  const names = maker.makers.map((id) => book.makers[id]?.name ?? id);
  return remark(`maker code \`${maker.code}\` stands for ${names.join(', ')}: say which`);
}
