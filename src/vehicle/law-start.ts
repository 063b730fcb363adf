import { every, type LawFacts, type Missing, type Verdict } from './law-conditions.ts';
import type { LawStart } from './schema.ts';

/**
 * Whether the vehicle came late enough for a row to bind; one start that holds is enough. A model year holds
 * 1 January of its own calendar year and no other, so its vehicles are built from 2 January of the year before to
 * 31 December of the year itself (40 CFR 85.2303, 85.2304): between model year and build date one bounds the other.
 * A type is approved before its vehicles are built, and they are built before they are registered.
 */
export function startHolds(from: LawStart, facts: LawFacts): Verdict {
  for (const fact of ['builtDate', 'registeredDate', 'typeApprovedDate'] as const) refuseBadDate(fact, facts[fact]);
  const starts = [
    ...(from.built === undefined ? [] : [builtSince(from.built, from.modelYear, facts)]),
    ...(from.built === undefined && from.modelYear !== undefined ? [ofModelYear(from.modelYear, facts)] : []),
    ...(from.registered === undefined ? [] : [registeredSince(from.registered, facts)]),
    ...(from.newTypes === undefined ? [] : [approvedSince(from.newTypes, facts)]),
  ];
  if (starts.some(({ holds }) => holds === true)) return { holds: true, missing: [] };
  const undecided = starts.filter(({ holds }) => holds === undefined);
  if (undecided.length === 0) return { holds: false, missing: [] };
  return { holds: undefined, missing: [...new Set(undecided.flatMap(({ missing }) => missing))] };
}

function builtSince(day: string, safeYear: number | undefined, facts: LawFacts): Verdict {
  if (isDate(facts.builtDate)) return answer(facts.builtDate >= day);
  if (isDate(facts.registeredDate) && facts.registeredDate < day) return answer(false);
  if (safeYear === undefined) return unknown('builtDate');
  const first = Number(day.slice(0, 4));
  if (every(facts.modelYear, (year) => year >= safeYear) === true) return answer(true);
  if (every(facts.modelYear, (year) => year < first) === true) return answer(false);
  // One of several years may still tell; a single year that spans the day leaves only the date.
  const spans = every(facts.modelYear, (year) => year >= first && year < safeYear) === true;
  return unknown(spans ? 'builtDate' : 'modelYear');
}

function ofModelYear(year: number, facts: LawFacts): Verdict {
  const known = every(facts.modelYear, (own) => own >= year);
  if (known !== undefined) return answer(known);
  if (!isDate(facts.builtDate)) return unknown('modelYear');
  const built = Number(facts.builtDate.slice(0, 4));
  if (built >= year) return answer(true);
  return built + 1 < year ? answer(false) : unknown('modelYear');
}

function registeredSince(day: string, facts: LawFacts): Verdict {
  if (isDate(facts.registeredDate)) return answer(facts.registeredDate >= day);
  return isDate(facts.builtDate) && facts.builtDate >= day ? answer(true) : unknown('registeredDate');
}

function approvedSince(day: string, facts: LawFacts): Verdict {
  if (isDate(facts.typeApprovedDate)) return answer(facts.typeApprovedDate >= day);
  const later = [facts.builtDate, facts.registeredDate].filter(isDate);
  return later.some((date) => date < day) ? answer(false) : unknown('typeApprovedDate');
}

function answer(holds: boolean): Verdict {
  return { holds, missing: [] };
}

function unknown(fact: Missing): Verdict {
  return { holds: undefined, missing: [fact] };
}

function isDate(date: string | null | undefined): date is string {
  return date !== null && date !== undefined;
}

function refuseBadDate(fact: string, date: string | null | undefined): void {
  if (!isDate(date) || /^\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])$/.test(date)) return;
  throw new RangeError(`${fact} is no date: \`${date}\`; write it as 2011-09-01`);
}
