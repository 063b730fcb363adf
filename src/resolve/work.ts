import { NEVER, SURELY } from '../rulebook/condition.ts';
import {
  ANY_PART,
  type Applies,
  type Call,
  type FollowUp,
  type Implied,
  type Rulebook,
  reaches,
  type StepWork,
} from '../rulebook/rulebook.ts';
import type { WorkMatch } from '../rulebook/schema.ts';
import type { Facts } from './facts.ts';
import type { Known } from './known.ts';
import type { CallLevel, Line } from './result.ts';

/** A line with what its presence rests on: conditions on the car, and questions not yet answered ("was that done too?"). */
export interface KeyedLine extends Line {
  readonly key: string;
  readonly guard: Applies;
  readonly flags: readonly string[];
}

/** A line meeting a work match or a code meeting a trigger; `where` must be answered first if the line says no position. */
export interface Hit {
  readonly call: Call;
  readonly line?: KeyedLine;
  readonly where?: { readonly variable: string; readonly choices: readonly string[] };
}

/** The repair order's lines and all work that follows from them, to the end of every chain. */
export function closeWork(facts: Facts, rulebook: Rulebook, known: Known): KeyedLine[] {
  const lines: KeyedLine[] = [];
  facts.work.forEach((work, index) => {
    const at = work.at ?? answeredPlace(String(index), facts);
    const line: KeyedLine = {
      part: work.part,
      did: work.did,
      by: work.by,
      ...(at ? { at } : {}),
      origin: { kind: 'order', index },
      key: String(index),
      guard: [],
      flags: [],
    };
    lines.push(line, ...impliedBy(line, facts, rulebook, known));
  });
  return lines.filter((line) => !spokenFor(line, lines));
}

/** Work that a step does, with what follows from it; `flags` where the step, or its way, is not decided. */
export function workOfStep(
  step: FollowUp,
  work: StepWork,
  key: string,
  more: Applies,
  flags: readonly string[],
  level: CallLevel,
  facts: Facts,
  rulebook: Rulebook,
  known: Known,
): KeyedLine[] {
  const at = work.at ?? answeredPlace(key, facts);
  const line: KeyedLine = {
    part: work.part,
    did: work.did,
    by: 'us',
    ...(at ? { at } : {}),
    origin: { kind: 'step', step, level },
    key,
    guard: [...work.applies, ...more],
    flags,
  };
  return [line, ...impliedBy(line, facts, rulebook, known)];
}

function impliedBy(parent: KeyedLine, facts: Facts, rulebook: Rulebook, known: Known): KeyedLine[] {
  const rows = rulebook.parts.get(parent.part)?.implies ?? [];
  return rows.flatMap((row, i) => {
    if (!reaches(parent.did, row.when) || known.all(row.applies) === NEVER || inChain(parent, row)) return [];
    const question = `did:${row.part}/${row.did}`;
    const answer = row.maybe ? facts.answers.get(question) : 'yes';
    if (answer === 'no') return [];
    // Not told where the line itself is: both are asked for with one question.
    const together = row.at === 'same' && !parent.at && placesOf(parent, rulebook).length > 0;
    const key = together ? parent.key : `${parent.key}>${row.part}/${row.did}/${i}`;
    const at =
      row.at === 'same' && (parent.at || together)
        ? parent.at
        : row.at === 'same'
          ? answeredPlace(key, facts)
          : (row.at ?? answeredPlace(key, facts));
    const line: KeyedLine = {
      part: row.part,
      did: row.did,
      by: parent.by,
      ...(at ? { at } : {}),
      origin: { kind: 'implied', parent, because: row.because, maybe: answer !== 'yes', sources: row.sources },
      key,
      guard: [...parent.guard, ...row.applies],
      flags: answer === 'yes' ? parent.flags : [...new Set([...parent.flags, question])],
    };
    return [line, ...impliedBy(line, facts, rulebook, known)];
  });
}

function inChain(line: Line, row: Implied): boolean {
  if (line.part === row.part && line.did === row.did) return true;
  return line.origin.kind === 'implied' && inChain(line.origin.parent, row);
}

/** A "maybe" that the repair order already says in its own right needs no question, and nor does what follows from it. */
function spokenFor(line: KeyedLine, lines: readonly KeyedLine[]): boolean {
  if (line.flags.length === 0) return false;
  if (line.origin.kind === 'implied' && spokenFor(line.origin.parent as KeyedLine, lines)) return true;
  return lines.some(
    (other) =>
      other.origin.kind === 'order' &&
      other.part === line.part &&
      reaches(other.did, line.did) &&
      covers(other.at, line.at),
  );
}

function covers(wide: readonly string[] | undefined, narrow: readonly string[] | undefined): boolean {
  return wide === undefined || (narrow?.every((position) => wide.includes(position)) ?? false);
}

/** Every trigger that a line may set off. */
export function hitsOf(line: KeyedLine, rulebook: Rulebook): Hit[] {
  const named = rulebook.callsByPart.get(line.part) ?? [];
  const whatever = line.origin.kind === 'order' ? (rulebook.callsByPart.get(ANY_PART) ?? []) : [];
  return [...named, ...whatever].flatMap((call) => {
    if (call.trigger.index < 0 && line.origin.kind !== 'order') return [];
    if (stepOf(line) === call.followUp) return [];
    return match(line, call, rulebook);
  });
}

/** Work of a step that is only recommended calls for nothing more than that. */
export function mostLevel(line: Line | undefined): CallLevel {
  if (line?.origin.kind === 'implied') return mostLevel(line.origin.parent);
  return line?.origin.kind === 'step' ? line.origin.level : 'required';
}

function stepOf(line: Line): FollowUp | undefined {
  if (line.origin.kind === 'step') return line.origin.step;
  return line.origin.kind === 'implied' ? stepOf(line.origin.parent) : undefined;
}

/** Positions that a line without one can have; a line at the same place as its parent shares the parent's key and question. */
export function placesOf(line: KeyedLine, rulebook: Rulebook): readonly string[] {
  const parent = line.origin.kind === 'implied' ? (line.origin.parent as KeyedLine) : undefined;
  return parent?.key === line.key ? placesOf(parent, rulebook) : (rulebook.parts.get(line.part)?.text.at ?? []);
}

function answeredPlace(key: string, facts: Facts): readonly string[] | undefined {
  const answer = facts.answers.get(`at:${key}`);
  return typeof answer === 'string' ? [answer] : undefined;
}

function match(line: KeyedLine, call: Call, rulebook: Rulebook): Hit[] {
  const asks = call.match as WorkMatch;
  const anyWork = asks.part === ANY_PART && asks.did === 'inspected';
  if (!anyWork && !reaches(line.did, asks.did, asks.exactly)) return [];
  if (!asks.at) return [{ call, line }];
  if (line.at) return line.at.some((position) => asks.at?.includes(position)) ? [{ call, line }] : [];
  const choices = placesOf(line, rulebook);
  if (choices.length === 0) return [{ call, line }];
  return [{ call, line, where: { variable: `at:${line.key}`, choices } }];
}

/** Whether every condition of a line's presence is met for sure. */
export function surelyDone(line: KeyedLine, known: Known): boolean {
  return line.flags.length === 0 && known.all(line.guard) === SURELY;
}
