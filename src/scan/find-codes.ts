import { isVin } from '../vehicle/typing.ts';
import { checkDigit } from '../vehicle/check-digit.ts';
import { codeOf, formatCode } from './code.ts';
import { firstModule, type NamedModule } from './find-modules.ts';
import { sectionStatus, statusNear } from './find-status.ts';
import type { Kept } from './status.ts';

export interface FoundCode {
  /** `C0529-54` or `P0507` */
  readonly code: string;
  readonly base: string;
  readonly failureType: string | null;
  /** Modules it was reported by, as the report names them. */
  readonly modules: readonly NamedModule[];
  /** What the report says of it; empty where it says nothing. */
  readonly kept: readonly Kept[];
  /** How often it stands in the text. */
  readonly count: number;
  /** Line of its first mention, from 1. */
  readonly line: number;
}

/** Something that may be a code but must not be taken for one without asking. */
export interface MaybeCode {
  readonly typed: string;
  readonly code: string;
  readonly because: string;
  readonly line: number;
}

export interface FoundCodes {
  /** In the order of their first mention. */
  readonly codes: readonly FoundCode[];
  /** At most `MOST_MAYBE`, in the order of their first mention. */
  readonly maybe: readonly MaybeCode[];
  /** How many more there were. */
  readonly moreMaybe: number;
  /** VINs that the text names: labelled as such, or with an agreeing check digit. */
  readonly vins: readonly string[];
}

export const MOST_MAYBE = 50;

/** How far on either side of a code, in characters of its line, words are taken to speak of it. */
const BEFORE = 120;
const AFTER = 160;
/** A longer line is no heading. */
const HEADING = 120;

// Exactly five (with a failure type written on, seven) characters that begin like a code, standing alone. A blank
// behind the letter is read past.
const CANDIDATE = /(?<![\p{L}\p{N}_])[PBCU] ?([0-9A-Z|]{4})([0-9A-F]{2})?(?![\p{L}\p{N}_|])/giu;
// `/36` is no failure type: some makers write the two figures of their blink code so.
const SUFFIX = /^[-:]([0-9A-F]{2})(?![\p{L}\p{N}])/iu;
/** A part number goes on behind a sign, or began before one; a sentence does not, and `P0300-P0304` is two codes. */
const PART_NUMBER_AFTER = /^[-_/.](?![PBCU][0-3][0-9A-F]{3}(?![0-9A-Z]))(?=[0-9A-Z]{0,12}\d)[0-9A-Z]{4,13}(?![a-z])/;
const PART_NUMBER_BEFORE = /(?<![0-9A-Z])(?![PBCU][0-3][0-9A-F]{3}[-_.]$)[0-9A-Z]{0,12}\d[0-9A-Z]{0,12}[-_.]$/;
const LOOKS_LIKE: Readonly<Record<string, string>> = {
  O: '0',
  Q: '0',
  I: '1',
  L: '1',
  '|': '1',
  S: '5',
  Z: '2',
  G: '6',
};

/**
 * Reads trouble codes out of any text: a pasted report, a typed list, a page read by a camera. Case, a blank behind the
 * letter and the failure type's sign are read past. A letter that stands for a figure (O for 0, I for 1) is only ever
 * suggested. Takes time in proportion to the text.
 * @param types failure types that exist; without them a type written on without a sign is only suggested
 */
export function findCodes(text: string, types: ReadonlySet<string> = new Set()): FoundCodes {
  const finder = new Finder(types);
  text.split(/\r\n|[\n\r\f\u0085\u2028\u2029]/).forEach((line, at) => finder.line(line, at + 1));
  return finder.result();
}

interface Mention {
  readonly base: string;
  readonly failureType: string | null;
  readonly start: number;
  readonly end: number;
}

class Finder {
  private readonly codes = new Map<string, { -readonly [K in keyof FoundCode]: FoundCode[K] }>();
  private readonly maybe = new Map<string, MaybeCode>();
  private readonly vins = new Set<string>();
  private module: NamedModule | null = null;
  private section: Kept | null = null;

  constructor(private readonly types: ReadonlySet<string>) {}

  line(text: string, line: number): void {
    this.takeVins(text);
    const mentions = [...text.matchAll(CANDIDATE)].flatMap((match) => this.read(match, text, line));
    if (mentions.length === 0) {
      if (text.length <= HEADING) this.heading(text);
      return;
    }
    let module = this.module;
    mentions.forEach((mention, i) => {
      const before = text.slice(Math.max(mentions[i - 1]?.end ?? 0, mention.start - BEFORE), mention.start);
      const after = text.slice(mention.end, Math.min(mentions[i + 1]?.start ?? text.length, mention.end + AFTER));
      // Between two codes stands the meaning of the first, which names parts: only its last piece may lead to the second.
      const leading = firstModule(i === 0 ? before : lastPiece(before));
      if (leading) module = leading;
      const own =
        firstModule(/^ ?[[(][^\])]{2,40}[\])]/.exec(after)?.[0] ?? '') ?? leading ?? firstModule(labelled(after));
      this.take(mention, statusNear(before, after), own ?? module, line);
    });
  }

  result(): FoundCodes {
    const maybe = [...this.maybe.values()].filter(({ code }) => !this.codes.has(code));
    return {
      codes: [...this.codes.values()],
      maybe: maybe.slice(0, MOST_MAYBE),
      moreMaybe: Math.max(0, maybe.length - MOST_MAYBE),
      vins: [...this.vins],
    };
  }

  /** A line without codes may say which module the next ones belong to, and whether they are stored or pending. */
  private heading(text: string): void {
    const section = sectionStatus(text);
    if (section !== undefined) this.section = section;
    const module = firstModule(text);
    if (!module) return;
    this.module = module;
    if (section === undefined) this.section = null;
  }

  private read(match: RegExpExecArray, text: string, line: number): Mention[] {
    const typed = match[0];
    const start = match.index;
    const end = start + typed.length;
    const [, digits = '', written] = match;
    const plain = digits.toUpperCase();
    const after = text.slice(end, end + 16);
    if (PART_NUMBER_AFTER.test(after) || PART_NUMBER_BEFORE.test(text.slice(Math.max(0, start - 14), start))) return [];
    const meant = plain.replace(/[OQILSZG|]/g, (letter) => LOOKS_LIKE[letter] as string);
    if (!/^[0-3][0-9A-F]{3}$/.test(meant) || (plain.match(/\d/g)?.length ?? 0) < 2) return [];
    const base = typed.charAt(0).toUpperCase() + meant;
    // All zeros fill up a reply; no fault has that number.
    if (base === codeOf(0)) return [];
    const suffix = written ? null : this.suffix(after);
    const failureType = (written ?? suffix)?.toUpperCase() ?? null;
    const doubt = this.doubt(typed, plain, meant, written, text.slice(Math.max(0, start - 24), start));
    if (doubt) {
      this.suggest({ typed, code: formatCode({ base, failureType }), because: doubt, line });
      return [];
    }
    return [{ base, failureType, start, end: end + (suffix ? suffix.length + 1 : 0) }];
  }

  /** `P0507-be careful`: two letters are a failure type only if there is one. */
  private suffix(after: string): string | null {
    const found = SUFFIX.exec(after)?.[1];
    return found && (/\d/.test(found) || this.types.has(found.toUpperCase())) ? found : null;
  }

  private doubt(
    typed: string,
    plain: string,
    meant: string,
    written: string | undefined,
    before: string,
  ): string | null {
    if (plain !== meant) return `has ${lettersIn(plain, meant)}: read by eye before it counts`;
    if (written && !this.types.has(written.toUpperCase()))
      return 'may be a code with its failure type, or a part number';
    // `vitamin C 1000`: a blank is read past only where nothing but a sign or a word for codes stands before.
    if (typed.charAt(1) === ' ' && /[a-z]/.test(typed.charAt(0))) return 'has a blank behind a small letter';
    if (typed.charAt(1) === ' ' && !/(?:^|[^\p{L}\p{N} ]|codes?|dtcs?|faults?|\t| {2})[ ]?$/iu.test(before))
      return 'has a blank behind the letter, in the middle of a sentence';
    return null;
  }

  private suggest(maybe: MaybeCode): void {
    const key = `${maybe.typed} ${maybe.code}`;
    if (!this.maybe.has(key)) this.maybe.set(key, maybe);
  }

  private take(mention: Mention, near: readonly Kept[], module: NamedModule | null, line: number): void {
    const code = formatCode(mention);
    const kept = near.length > 0 ? near : this.section ? [this.section] : [];
    const had = this.codes.get(code);
    if (!had) {
      const { base, failureType } = mention;
      this.codes.set(code, { code, base, failureType, modules: module ? [module] : [], kept, count: 1, line });
      return;
    }
    had.count += 1;
    had.kept = [...new Set([...had.kept, ...kept])];
    if (module && !had.modules.some((other) => sameModule(other, module))) had.modules = [...had.modules, module];
  }

  private takeVins(text: string): void {
    for (const { 0: typed, index } of text.matchAll(/(?<![0-9A-Za-z])[0-9A-HJ-NPR-Za-hj-npr-z]{17}(?![0-9A-Za-z])/g)) {
      const vin = typed.toUpperCase();
      if (!isVin(vin) || !/\d/.test(vin)) continue;
      const labelled = /\bVIN\b|\bFIN\b|vehicle identification|chassis/i.test(
        text.slice(Math.max(0, index - 60), index),
      );
      if (labelled || (/[A-Z]/.test(vin) && checkDigit(vin).agrees)) this.vins.add(vin);
    }
  }
}

function lettersIn(plain: string, meant: string): string {
  const swaps = [...plain].flatMap((letter, i) =>
    letter === meant.charAt(i) ? [] : [`${letter} for ${meant.charAt(i)}`],
  );
  return [...new Set(swaps)].join(', ');
}

/** Behind a code stands its meaning, which names parts: only what is set off as a module counts. */
function labelled(after: string): string {
  return (
    /(?:control unit|control module|module|system|ecu|address)[ \t]{0,3}[:=][^\n]{0,60}|[[(][^\])]{2,40}[\])]/i.exec(
      after,
    )?.[0] ?? ''
  );
}

function lastPiece(before: string): string {
  return before.slice(Math.max(...[';', '|', '\t', '  ', '. '].map((sign) => before.lastIndexOf(sign))) + 1);
}

function sameModule(a: NamedModule, b: NamedModule): boolean {
  return a.id !== null ? a.id === b.id : b.id === null && a.text.toUpperCase() === b.text.toUpperCase();
}
