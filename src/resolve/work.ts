import { NEVER, SURELY } from '../rulebook/condition.ts';
import { ANY_PART, type Applies, type Call, type FollowUp, type Implied, type Rulebook, reaches, type StepWork } from '../rulebook/rulebook.ts';
import type { WorkMatch } from '../rulebook/schema.ts';
import type { Facts } from './facts.ts';
import type { Known } from './known.ts';
import type { Line } from './result.ts';

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
    const answered = facts.answers.get(`at:${index}`);
    const at = work.at ?? (typeof answered === 'string' ? [answered] : undefined);
    const line: KeyedLine = { part: work.part, did: work.did, by: work.by, ...(at ? { at } : {}), origin: { kind: 'order', index }, key: String(index), guard: [], flags: [] };
    lines.push(line, ...impliedBy(line, facts, rulebook, known));
  });
  return lines.filter((line) => !spokenFor(line, lines));
}

/** Work that a step does, with what follows from it. `when` is unsure where the step itself is undecided. */
export function workOfStep(step: FollowUp, work: StepWork, key: string, more: Applies, undecided: boolean, facts: Facts, rulebook: Rulebook, known: Known): KeyedLine[] {
  const line: KeyedLine = {
    part: work.part,
    did: work.did,
    by: 'us',
    ...(work.at ? { at: work.at } : {}),
    origin: { kind: 'step', step },
    key,
    guard: [...work.applies, ...more],
    flags: undecided ? [`step:${step.id}`] : [],
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
    const at = row.at === 'same' ? parent.at : row.at;
    const line: KeyedLine = {
      part: row.part,
      did: row.did,
      by: parent.by,
      ...(at ? { at } : {}),
      origin: { kind: 'implied', parent, because: row.because, maybe: answer !== 'yes', sources: row.sources },
      key: row.at === 'same' && !at ? `${parent.key}` : `${parent.key}>${row.part}/${row.did}/${i}`,
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

/** A "maybe" that the repair order already says in its own right needs no question. */
function spokenFor(line: KeyedLine, lines: readonly KeyedLine[]): boolean {
  if (line.flags.length === 0) return false;
  return lines.some((other) => other.origin.kind === 'order' && other.part === line.part && reaches(other.did, line.did) && covers(other.at, line.at));
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
    if (line.origin.kind === 'step' && line.origin.step === call.followUp) return [];
    return match(line, call, rulebook);
  });
}

function match(line: KeyedLine, call: Call, rulebook: Rulebook): Hit[] {
  const asks = call.match as WorkMatch;
  const anyWork = asks.part === ANY_PART && asks.did === 'inspected';
  if (!anyWork && !reaches(line.did, asks.did, asks.exactly)) return [];
  if (!asks.at) return [{ call, line }];
  if (line.at) return line.at.some((position) => asks.at?.includes(position)) ? [{ call, line }] : [];
  const choices = rulebook.parts.get(line.part)?.text.at ?? [];
  if (choices.length === 0) return [{ call, line }];
  return [{ call, line, where: { variable: `at:${line.key}`, choices } }];
}

/** Whether every condition of a line's presence is met for sure. */
export function surelyDone(line: KeyedLine, known: Known): boolean {
  return line.flags.length === 0 && known.all(line.guard) === SURELY;
}
