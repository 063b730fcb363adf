import type { JobFile } from '../resolve/facts.ts';

/** Changes to a job file; each gives a new one. */

type Vehicle = NonNullable<JobFile['vehicle']>;
type Line = JobFile['work'][number];
type Answers = NonNullable<JobFile['answers']>;
type Trait = NonNullable<Vehicle['traits']>[string];

export function newJob(ro: string, market?: string, tools?: readonly string[]): JobFile {
  return { ro, ...(market ? { vehicle: { market } } : {}), work: [], ...(tools ? { tools: [...tools] } : {}) };
}

/** Fields of the vehicle; an empty one is taken out. */
export function setVehicle(job: JobFile, fields: { [K in keyof Vehicle]?: Vehicle[K] | undefined }): JobFile {
  const vehicle = Object.entries({ ...job.vehicle, ...fields }).filter(
    ([, value]) => value !== undefined && value !== '',
  );
  return { ...job, vehicle: Object.fromEntries(vehicle) as Vehicle };
}

export function addLine(job: JobFile, line: Line): JobFile {
  return { ...job, work: [...job.work, line] };
}

/** Changes a line, or strikes it; places answered by its number belong to the lines that stay. */
export function changeLine(job: JobFile, index: number, line: Line | undefined): JobFile {
  return { ...job, work: job.work.flatMap((old, i) => (i !== index ? [old] : line ? [line] : [])) };
}

/** Codes read before the work; those read after it stay. */
export function setCodes(job: JobFile, before: readonly string[]): JobFile {
  const { before: _, ...after } = job.codes ?? {};
  const codes = { ...(before.length > 0 ? { before: [...before] } : {}), ...after };
  const { codes: _codes, ...rest } = job;
  return Object.keys(codes).length > 0 ? { ...rest, codes } : rest;
}

export function setWorkDone(job: JobFile, done: boolean): JobFile {
  const { 'work-done': _, ...rest } = job;
  return done ? { ...rest, 'work-done': true } : rest;
}

/**
 * Answers a question of the plan: a trait, a fact of the car, or "kind:name". `null` = looked and can't tell,
 * undefined = taken back.
 */
export function answer(job: JobFile, question: string, value: string | null | undefined, number = false): JobFile {
  if (question.startsWith('at:')) return answerPlace(job, question, value);
  if (question.startsWith('wait:'))
    return { ...job, answers: put<Answers[string]>(job.answers ?? {}, question, value ? Number(value) : undefined) };
  if (question.includes(':')) return { ...job, answers: put<Answers[string]>(job.answers ?? {}, question, value) };
  if (question === 'model-year') return setVehicle(job, { modelYear: value ? Number(value) : undefined });
  if (isCarFact(question)) return setVehicle(job, { [question]: value ?? undefined });
  const told: Trait | undefined =
    value === undefined ? undefined : value === null ? null : { value: number ? Number(value) : value, by: 'looked' };
  return setVehicle(job, { traits: put<Trait>(job.vehicle?.traits ?? {}, question, told) });
}

/** What was answered: undefined = nothing yet, null = can't tell. */
export function answerOf(job: JobFile, question: string): string | null | undefined {
  if (question.includes(':')) return text(job.answers?.[question]);
  if (question === 'model-year') return job.vehicle?.modelYear?.toString();
  if (isCarFact(question)) return job.vehicle?.[question]?.toLowerCase();
  const trait = job.vehicle?.traits?.[question];
  return text(isTold(trait) ? trait.value : trait);
}

/** A place goes onto its line, where it stays when another line is struck. */
function answerPlace(job: JobFile, question: string, value: string | null | undefined): JobFile {
  const index = Number(question.slice('at:'.length));
  const line = job.work[index];
  if (!line || !value) return job;
  return changeLine(job, index, { ...line, at: value });
}

function put<T>(all: Readonly<Record<string, T>>, key: string, value: T | undefined): Record<string, T> {
  const { [key]: _, ...rest } = all;
  return value === undefined ? rest : { ...rest, [key]: value };
}

function isCarFact(question: string): question is 'maker' | 'model' | 'market' {
  return question === 'maker' || question === 'model' || question === 'market';
}

function isTold(trait: Trait | undefined): trait is Exclude<Trait, string | number | boolean | null | unknown[]> {
  return typeof trait === 'object' && trait !== null && !Array.isArray(trait);
}

/** Has and has not, and lists of what is still possible, are no answer that stands on one key. */
function text(value: unknown): string | null | undefined {
  if (value === null) return null;
  return typeof value === 'string' || typeof value === 'number' ? String(value) : undefined;
}
