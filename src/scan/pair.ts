import { readCode, type TroubleCode } from './code.ts';

/**
 * When two readings are of one fault. By SAE J2012 (DEC2007, format structure) the first two bytes of a code say what is
 * wrong and the third, the failure type, how; so the same number is never enough where both readings tell a type:
 * `C0529-54` (calibration missing) is not `C0529-13` (circuit open). A tool that shows no type and one that shows `00`
 * ("no further detail") say the same: nothing of it. Only such an open reading may stand for one with a type, and only
 * where it can be no other. The neighbour of a code, or its like in another system, is never the same fault.
 */

interface Coded {
  readonly code: TroubleCode;
}

/** Each reading after the work to the one before it that is the same fault; on either side each fault once. Independent of order. */
export function pairReadings<T extends Coded>(before: readonly T[], after: readonly T[]): Map<T, T> {
  const pairs = new Map<T, T>();
  const was = new Map(before.map((seen) => [faultOf(seen.code), seen]));
  const left = new Map(was);
  for (const now of after) {
    const same = was.get(faultOf(now.code));
    if (!same) continue;
    pairs.set(now, same);
    left.delete(faultOf(now.code));
  }
  const fresh = after.filter((now) => !pairs.has(now));
  for (const now of fresh) {
    const mayBe = [...left.values()].filter((seen) => seen.code.base === now.code.base && isOpen(seen) !== isOpen(now));
    // An open reading after the work is one of those before, whichever. One before stands for no two after it.
    const rivals = fresh.filter((other) => other.code.base === now.code.base);
    const first = mayBe.toSorted((a, b) => (faultOf(a.code) < faultOf(b.code) ? -1 : 1))[0];
    if (first && (isOpen(now) || rivals.length === 1)) pairs.set(now, first);
  }
  return pairs;
}

/**
 * Whether `text` is named by one of these. A name without a failure type speaks of all of them; a reading without one
 * may be any.
 */
export function namesCode(codes: readonly string[], text: string): boolean {
  const code = readCode(text);
  return code !== null && codes.some((name) => isNamed(readCode(name), code));
}

function isNamed(name: TroubleCode | null, code: TroubleCode): boolean {
  if (!name || name.base !== code.base) return false;
  return isOpen({ code: name }) || isOpen({ code }) || name.failureType === code.failureType;
}

/** One word for a fault, whether its tool writes no failure type or `00`. */
export function faultOf(code: TroubleCode): string {
  return isOpen({ code }) ? code.base : `${code.base}-${code.failureType}`;
}

function isOpen({ code: { failureType } }: Coded): boolean {
  return failureType === null || failureType === '00';
}
