import type { Resolution } from '../../resolve/resolve.ts';
import type { FollowUp, Way } from '../../rulebook/rulebook.ts';
import type { Reading } from '../../rulebook/schema.ts';
import { NEVER } from '../../rulebook/condition.ts';
import { limitsFor, speaks } from '../speaks.ts';

/** Something that can be looked at, read or driven before anything is done again. */
export interface Test {
  readonly kind: 'code' | 'reading' | 'eye' | 'road' | 'redo';
  readonly label: string;
  /** What it is compared with, in words. */
  readonly tells: string;
  readonly minutes: number;
}

/** Minutes of hands, common practice, no source: the rulebook gives minutes for doing a step, not for looking. */
const MINUTES = { code: 4, eye: 2, reading: 5 };

/** A cause, its share, and the tests that would confirm it, the cheapest first. */
export interface Testable {
  readonly id: string;
  readonly chance: number;
  readonly tests: readonly Test[];
}

/** The tests that the rulebook has for one follow-up on this car, the cheapest first. */
export function testsOf(followUp: FollowUp, codes: readonly string[], resolution: Resolution): Test[] {
  const way = resolution.ways.get(followUp.id)?.planned ?? followUp.ways[0];
  const proofs = [...(followUp.text.proof ?? []), ...(way?.text.proof ?? [])]
    .filter((reading) => speaks(reading, resolution) !== NEVER && reading.answer !== 'text')
    .map((reading) => proofTest(reading, (way?.tool ?? 'none') !== 'none', resolution));
  const again: Test = {
    kind: 'redo',
    label: `Do it again: ${followUp.title}`,
    tells: 'the complaint is gone: it was missed',
    minutes: Math.max(1, way?.text.minutes?.hands ?? 15),
  };
  return [...codeTest(codes), ...proofs, ...roadTest(followUp, way), again].sort(
    (a, b) => a.minutes - b.minutes || (a.label < b.label ? -1 : 1),
  );
}

function proofTest(reading: Reading, scan: boolean, resolution: Resolution): Test {
  const figures = limitsFor(reading, resolution).flatMap((limit) => limitText(limit, reading.unit));
  const choice = reading.choices?.[0];
  const read = reading.answer === 'number' || (scan && reading.answer !== 'photo');
  return {
    kind: read ? 'reading' : 'eye',
    label: reading.label,
    tells: figures[0] ?? (choice ? `should be: ${choice}` : "the maker's figure"),
    minutes: read ? MINUTES.reading : MINUTES.eye,
  };
}

function codeTest(codes: readonly string[]): Test[] {
  if (codes.length === 0) return [];
  const label = `Read codes: ${codes.slice(0, 4).join(', ')}`;
  return [{ kind: 'code', label, tells: 'there: it was skipped or did not take', minutes: MINUTES.code }];
}

function roadTest({ title }: FollowUp, way: Way | undefined): Test[] {
  if (!way?.text.drive) return [];
  const tells = 'comes right on the drive: it was not finished';
  return [{ kind: 'road', label: `Road test: ${title}`, tells, minutes: way.text.drive.minutes ?? 15 }];
}

function limitText(
  limit: { min?: number | undefined; max?: number | undefined; text?: string | undefined },
  unit?: string,
): string[] {
  const of = unit ? ` ${unit}` : '';
  if (limit.min !== undefined && limit.max !== undefined) return [`should be ${limit.min} to ${limit.max}${of}`];
  if (limit.min !== undefined) return [`should be ${limit.min}${of} or more`];
  if (limit.max !== undefined) return [`should be ${limit.max}${of} or less`];
  return limit.text ? [limit.text] : [];
}

/** The test to begin with. */
export interface Apart {
  readonly test: Test;
  /** Causes that it confirms where it shows, by id. */
  readonly confirms: readonly string[];
  /** Share of the doubt that it settles, 0 to 1. */
  readonly settles: number;
}

/** A test that settles at least this share of what the best one settles is good enough to win by its minutes. */
const NEAR_BEST = 0.6;

/**
 * The cheapest test that tells the causes apart: of those that settle nearly as much doubt as the best, the one of the
 * fewest minutes. What it would settle is the entropy between the causes that it confirms and all others.
 */
export function tellApart(causes: readonly Testable[]): Apart | undefined {
  const tests = causes.flatMap(({ tests: own }) => own.filter((test) => test.kind !== 'redo' || causes.length === 1));
  const all = (tests.length > 0 ? tests : causes.flatMap(({ tests: own }) => own)).map((test): Apart => {
    const confirms = causes.filter(({ tests: own }) => own.some((t) => t.kind === test.kind && t.label === test.label));
    const chance = confirms.reduce((sum, cause) => sum + cause.chance, 0);
    return { test, confirms: confirms.map(({ id }) => id), settles: entropy(chance) };
  });
  const best = Math.max(0, ...all.map(({ settles }) => settles));
  return all
    .filter(({ settles }) => settles >= best * NEAR_BEST)
    .sort(
      (a, b) => a.test.minutes - b.test.minutes || b.settles - a.settles || (a.test.label < b.test.label ? -1 : 1),
    )[0];
}

function entropy(chance: number): number {
  const p = Math.min(1 - 1e-9, Math.max(1e-9, chance));
  return -(p * Math.log2(p) + (1 - p) * Math.log2(1 - p));
}
