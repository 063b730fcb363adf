import { type Facts, type JobFile, readFacts } from '../resolve/facts.ts';
import { type Resolution, resolve } from '../resolve/resolve.ts';
import type { Kind } from '../resolve/result.ts';
import { printFault } from '../rulebook/fault.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import { isRuledOut, type Job, type Line, type StepRecord } from './state.ts';
import type { Difference, Flip } from './values.ts';

/** The lines that still stand, in the order that questions count them. */
export function standingLines(job: Job): Line[] {
  return job.lines.filter((line) => !line.struck);
}

/** The job as the file that planning reads. */
export function jobFile(job: Job, rulebook: Rulebook): JobFile {
  return {
    ro: job.ro,
    vehicle: { ...job.vehicle, traits: Object.fromEntries(job.traits) },
    work: standingLines(job).map((line) => line.text),
    'work-done': job.workDone !== undefined,
    ...(job.promised ? { promised: job.promised } : {}),
    ...(job.parked ? { parked: job.parked } : {}),
    codes: { before: [...job.codes] },
    answers: answersOf(job, rulebook),
    ...(job.tools ? { tools: [...job.tools] } : {}),
  };
}

/** Faults of a job against a rulebook, as sentences; none where it can be planned. */
export function faultsOf(job: Job, rulebook: Rulebook): string[] {
  return readFacts(jobFile(job, rulebook), rulebook, `RO ${job.ro}`).faults.map((fault) => printFault(fault));
}

/** Throws where the events name what the rulebook does not: `decide` lets none such in. */
export function factsOf(job: Job, rulebook: Rulebook): Facts {
  const { facts, faults } = readFacts(jobFile(job, rulebook), rulebook);
  if (!facts)
    throw new Error(`job ${job.ro} does not fit rulebook ${rulebook.version}: ${faults.map(printFault).join('; ')}`);
  return facts;
}

function answersOf(job: Job, rulebook: Rulebook): NonNullable<JobFile['answers']> {
  const told = [...job.answers].flatMap(([question, { answer }]) => {
    const asked = withPlace(job, question);
    return asked === undefined ? [] : [[asked, answer] as const];
  });
  return Object.fromEntries([...doneAnswers(job, rulebook), ...told]);
}

/** A before-step on record answers "was it done?" by itself, unless somebody answered later. */
function doneAnswers(job: Job, rulebook: Rulebook): [string, 'yes' | 'no'][] {
  return [...job.steps].flatMap(([step, record]): [string, 'yes' | 'no'][] => {
    const answer = doneAnswer(job, step, record, rulebook);
    const told = job.answers.get(`done:${step}`);
    return answer && !step.includes('#') && !(told && told.seq > record.seq) ? [[`done:${step}`, answer]] : [];
  });
}

function doneAnswer(job: Job, step: string, record: StepRecord, { followUps }: Rulebook): 'yes' | 'no' | undefined {
  if (record.rivals) return undefined;
  if (record.stage === 'took') return 'yes';
  if (record.stage !== 'not-done') return undefined;
  if (record.notDone?.reason !== 'does-not-fit') return 'no';
  // What this car has not leaves nothing missing; where it can hurt someone the foreman has to have seen it.
  return isRuledOut(job, step) || !followUps.get(step)?.safety ? 'yes' : undefined;
}

/** "at:LINE-ID>..." as planning asks it, by place; undefined where the line was struck. */
export function withPlace(job: Job, question: string): string | undefined {
  const named = /^at:line-([^>/]+)(.*)$/.exec(question);
  if (!named) return question;
  const place = standingLines(job).findIndex((line) => line.id === named[1]);
  return place < 0 ? undefined : `at:${place}${named[2]}`;
}

/** The same question naming the line by its id, which stays when another line is struck. */
export function withLineId(job: Job, question: string): string {
  const counted = /^at:(\d+)(>.*)?$/.exec(question);
  const line = counted && standingLines(job)[Number(counted[1])];
  return line ? `at:line-${line.id}${counted[2] ?? ''}` : question;
}

/** The verdict on every follow-up; what is not in it is excluded. */
export function kinds(resolution: Resolution): Map<string, Kind> {
  return new Map([...resolution.verdicts].map(([id, { kind }]) => [id, kind]));
}

export function kindsOf(job: Job, rulebook: Rulebook): Map<string, Kind> {
  return kinds(resolve(factsOf(job, rulebook), rulebook));
}

/** Settled verdicts that came out the other way round. */
export function flipsBetween(before: ReadonlyMap<string, Kind>, after: ReadonlyMap<string, Kind>): Flip[] {
  return differences(before, after).filter((d): d is Flip => d.from !== 'undecided' && d.to !== 'undecided');
}

export function differences(before: ReadonlyMap<string, Kind>, after: ReadonlyMap<string, Kind>): Difference[] {
  const ids = [...new Set([...before.keys(), ...after.keys()])].sort();
  return ids
    .map(
      (followUp) =>
        ({ followUp, from: before.get(followUp) ?? 'excluded', to: after.get(followUp) ?? 'excluded' }) as const,
    )
    .filter(({ from, to }) => from !== to);
}
