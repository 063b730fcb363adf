import type { Asked } from './asked.ts';
import { converted, likeUnits, shown, unitNamed, withUnit } from './units.ts';
import { type ReadingValue, sentence } from './values.ts';

/** What a value says of its reading. */
export interface Judged {
  /** passes; fails: outside a limit, or not the choice that passes; doubted: looks like a slip; unfit: no answer to what is asked. */
  readonly verdict: 'passes' | 'fails' | 'doubted' | 'unfit';
  /** What is wrong, as a sentence with what was perhaps meant; empty where it passes. */
  readonly text: string;
  /** What was perhaps meant, as it can be put in by one tap. */
  readonly perhaps: readonly { readonly value: number; readonly unit: string | undefined }[];
}

export type Units = 'metric' | 'us';

const PASSES: Judged = { verdict: 'passes', text: '', perhaps: [] };

/** Judges an answer to a reading against what this car allows. `units` decides only how figures are shown. */
export function judgeReading(asked: Asked, value: ReadingValue, units: Units): Judged {
  if (value.kind === 'not-supported') return PASSES;
  if (asked.key.endsWith('/shown')) return PASSES;
  // A photo shows a figure, a choice or a word as well as it can be written down.
  if (value.kind === 'photo' && asked.answer !== 'number') return PASSES;
  if (value.kind !== asked.answer) return unfit(`${asked.label} is answered with ${WANTED[asked.answer]}`);
  if (value.kind === 'text')
    return bareOk(value.value)
      ? unfit(`${asked.label}: "${value.value}" says nothing that can be checked; write what was seen`)
      : PASSES;
  if (value.kind === 'choice') return judgeChoice(asked, value.value);
  return value.kind === 'number' ? judgeNumber(asked, value, units) : PASSES;
}

const WANTED = { number: 'a figure', choice: 'one of its choices', text: 'words', photo: 'a photo' } as const;

/** What people write to get past a field. */
function bareOk(text: string): boolean {
  return /^(ok(ay)?|done|yes|y|good|fine|checked|n\/?a|x|[-.✓✔👍]+)[.!]?$/iu.test(text.trim());
}

function judgeChoice(asked: Asked, value: string): Judged {
  if (!asked.choices.includes(value)) return unfit(`${asked.label}: "${value}" is none of ${asked.choices.join(', ')}`);
  return value === asked.choices[0]
    ? PASSES
    : { verdict: 'fails', text: sentence(`${asked.label}: "${value}", not "${asked.choices[0]}"`), perhaps: [] };
}

type NumberValue = Extract<ReadingValue, { kind: 'number' }>;

function judgeNumber(asked: Asked, value: NumberValue, units: Units): Judged {
  const unit = value.unit === undefined || value.unit === asked.unit ? asked.unit : unitNamed(value.unit);
  if (value.unit !== undefined && unit === undefined)
    return unfit(`${asked.label}: unit "${value.unit}" is not known; it is asked in ${asked.unit ?? 'a bare figure'}`);
  const figure = unit === asked.unit ? value.value : converted(value.value, unit ?? '', asked.unit ?? '');
  if (figure === undefined)
    return unfit(`${asked.label} is asked in ${asked.unit ?? 'a bare figure'}, and ${unit} measures something else`);
  if (asked.limits.length === 0) return PASSES;
  const told = withUnit(value.value, unit);
  const inside = fits(figure, asked);
  const perhaps = slips(value.value, figure, unit, asked);
  const meant = perhaps.map((p) => `${withUnit(p.value, p.unit)}?`).join(' ');
  if (!inside) {
    const hint = meant ? ` Or a slip: ${told}? ${meant}` : '';
    return {
      verdict: 'fails',
      text: `${sentence(`${asked.label}: ${told} is ${outside(figure, asked, units)}`)}${hint}`,
      perhaps,
    };
  }
  if (value.sure || perhaps.length === 0) return PASSES;
  return { verdict: 'doubted', text: `${asked.label}: ${told}? ${meant} Say which it is.`, perhaps };
}

/** Several limits that hold at once must all be kept. */
function fits(figure: number, { limits }: Asked): boolean {
  return limits.every(({ min, max }) => (min === undefined || figure >= min) && (max === undefined || figure <= max));
}

function outside(figure: number, { limits, unit }: Asked, units: Units): string {
  const over = limits.find(({ max }) => max !== undefined && figure > max);
  if (over?.max !== undefined) return `over the ${shown(over.max, unit, units)} allowed`;
  const under = limits.find(({ min }) => min !== undefined && figure < min);
  return `under the ${shown(under?.min ?? 0, unit, units)} asked for`;
}

/**
 * What was perhaps meant: a figure with its point elsewhere, with the other sign, or read in another unit. Beside a
 * figure that passes an open-ended limit it counts only where the figure lies far off the limit (common practice, no
 * source): 131 V is over the 12.9 V asked for, and still no car's voltage.
 */
function slips(
  typed: number,
  figure: number,
  unit: string | undefined,
  asked: Asked,
): { value: number; unit: string | undefined }[] {
  const { limits } = asked;
  const far = fits(figure, asked);
  if (far && !farOff(figure, asked)) return [];
  const beyond =
    far ||
    limits.some(({ min, max }) => (max !== undefined && figure > 3 * max) || (min !== undefined && figure * 3 < min));
  const moved = beyond
    ? [10, 100]
        .flatMap((by) => [typed / by, typed * by])
        .map((value) => ({ value: Number(value.toPrecision(12)), unit }))
    : [];
  const turned = typed === 0 || far ? [] : [{ value: -typed, unit }];
  const others =
    asked.unit === undefined
      ? []
      : likeUnits(asked.unit).filter((other) => other !== unit && !SAME.has(`${other}/${unit}`));
  const read = [asked.unit, ...others]
    .filter((other) => other !== unit)
    .map((other) => ({ value: typed, unit: other }));
  const sound = [...moved, ...turned, ...read].filter((slip) => {
    const meant = slip.unit === asked.unit ? slip.value : converted(slip.value, slip.unit ?? '', asked.unit ?? '');
    return meant !== undefined && meant !== figure && fits(meant, asked) && !farOff(meant, asked);
  });
  return sound.slice(0, 3);
}

// One measures the other's thing in words only: nobody types one for the other.
const SAME = new Set(['deg/s/rpm', 'rpm/deg/s', '° before TDC/deg', 'deg/° before TDC']);

/** Five times beyond an open-ended minimum; or so far under a largest current that it was read in ampere. */
function farOff(figure: number, { limits, unit }: Asked): boolean {
  if (limits.length !== 1 || unit === undefined || unit.startsWith('°') || unit === '%') return false;
  const { min, max } = limits[0] as { min?: number; max?: number };
  if (min !== undefined && max === undefined) return min > 0 && POINTED.has(unit) && figure >= 5 * min;
  return max !== undefined && min === undefined && unit === 'mA' && figure !== 0 && Math.abs(figure) * 200 < max;
}

/** Units whose figures have a usual size on a car; a count, a distance or an insulation may well be many times its minimum. */
const POINTED = new Set(['V', 'mA', 'A', 'bar', 'kPa', 'psi', 'N·m']);

/** A figure as typed: decimal comma or point, either minus, perhaps with its unit behind it. A sentence where it cannot be read. */
export function readTyped(text: string): { value: number; unit?: string } | string {
  const plain = text.trim().replaceAll('−', '-').replace(/^\+/, '');
  const parts = /^(-?(?:\d+(?:[.,]\d+)?|[.,]\d+))\s*([^\d.,].*)?$/.exec(plain);
  if (!parts) return `"${text.trim()}" is no figure.`;
  const [, figure = '', word] = parts;
  if (/^-?[1-9]\d{0,2},\d{3}$/.test(figure))
    return `${figure}: ${figure.replace(',', '.')} or ${figure.replace(',', '')}? Write it without the comma.`;
  const unit = word === undefined ? undefined : unitNamed(word);
  if (word !== undefined && unit === undefined) return `"${word}" is no unit that is known here.`;
  return { value: Number(figure.replace(',', '.')), ...(unit ? { unit } : {}) };
}

function unfit(text: string): Judged {
  return { verdict: 'unfit', text: sentence(text), perhaps: [] };
}
