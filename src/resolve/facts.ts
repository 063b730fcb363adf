import { z } from 'zod';
import { type Fault, pointer } from '../rulebook/fault.ts';
import { near, shaped } from '../rulebook/read.ts';
import { ANY_PART, type Rulebook } from '../rulebook/rulebook.ts';
import { checkAnswers } from './answers.ts';
import { type KnownTrait, readCar } from './car.ts';
import { JobFile, TraitAnswer, WorkLineText } from './job-file.ts';

import type { Answer, WorkLine } from './work-line.ts';

export type { KnownTrait } from './car.ts';
export type { Answer, WorkLine } from './work-line.ts';
export { JobFile, TraitAnswer, WorkLineText } from './job-file.ts';

/** A job, checked against the rulebook's names. */
export interface Facts {
  readonly ro: string;
  readonly work: readonly WorkLine[];
  /** Traits and the car's facts (maker, model, market, model-year) that were answered, also with "can't tell". */
  readonly car: ReadonlyMap<string, KnownTrait>;
  /** What the VIN and the law say beside that; sentences. */
  readonly remarks: readonly string[];
  readonly answers: ReadonlyMap<string, Answer>;
  readonly codes: readonly string[];
  readonly workDone: boolean;
  readonly tools?: ReadonlySet<string>;
}

/** Checks a job and reports every fault at once; `facts` is there only where there is none. */
export function readFacts(text: unknown, rulebook: Rulebook, file = 'job'): { facts?: Facts; faults: Fault[] } {
  const faults: Fault[] = [];
  const job = shaped(file, text, true, JobFile, faults);
  if (!job) {
    checkNames(text, rulebook, file, faults);
    return { faults };
  }
  const facts: Facts = {
    ro: job.ro,
    work: job.work.map((line, i) => readLine(line, rulebook, file, pointer('work', i), faults)),
    ...readCar(job.vehicle ?? {}, rulebook, file, faults),
    answers: new Map(Object.entries(job.answers ?? {})),
    codes: [...new Set([...(job.codes?.before ?? []), ...(job.codes?.after ?? [])].map((c) => c.toUpperCase()))].sort(),
    workDone: job['work-done'] ?? false,
    ...(job.tools ? { tools: new Set(job.tools) } : {}),
  };
  checkAnswers(facts.answers, facts.work, rulebook, file, faults);
  return faults.length > 0 ? { faults } : { facts, faults };
}

/** A job of the wrong shape still has the names in it checked, so that one round mends all. */
function checkNames(text: unknown, rulebook: Rulebook, file: string, faults: Fault[]): void {
  const job = text as { work?: unknown; vehicle?: { traits?: unknown } } | null;
  const lines: unknown[] = Array.isArray(job?.work) ? job.work : [];
  lines.forEach((line, i) => {
    const at = pointer('work', i);
    const part: unknown = (line as { part?: unknown } | null)?.part;
    const sound = WorkLineText.safeParse(line);
    if (sound.success) readLine(sound.data, rulebook, file, at, faults);
    else if (typeof part === 'string' && !rulebook.parts.has(part)) faults.push(unknownPart(part, rulebook, file, at));
  });
  const traits = z.record(z.string(), TraitAnswer).safeParse(job?.vehicle?.traits);
  if (traits.success) readCar({ traits: traits.data }, rulebook, file, faults);
}

function unknownPart(part: string, { parts }: Rulebook, file: string, at: string): Fault {
  const message = part === ANY_PART ? 'names no part' : 'unknown part';
  return { file, pointer: `${at}/part`, message, value: part, ...near(part, parts.keys()) };
}

function readLine(
  line: JobFile['work'][number],
  rulebook: Rulebook,
  file: string,
  at: string,
  faults: Fault[],
): WorkLine {
  const part = rulebook.parts.get(line.part);
  const positions = typeof line.at === 'string' ? [line.at] : line.at;
  if (!part) {
    faults.push(unknownPart(line.part, rulebook, file, at));
  } else {
    const known = part.text.at ?? [];
    for (const position of positions ?? []) {
      if (known.includes(position)) continue;
      const hint =
        known.length > 0
          ? `\`${line.part}\` can be at ${known.join(', ')}`
          : `there is only one \`${line.part}\`; leave "at" out`;
      faults.push({
        file,
        pointer: `${at}/at`,
        message: 'unknown position',
        value: position,
        hint,
        ...near(position, known),
      });
    }
    const sensible = part.text.did;
    if (sensible && !sensible.includes(line.did)) {
      faults.push({
        file,
        pointer: `${at}/did`,
        message: `makes no sense for \`${line.part}\``,
        value: line.did,
        hint: `it can be ${sensible.join(', ')}`,
        ...near(line.did, sensible),
      });
    }
  }
  return { part: line.part, did: line.did, by: line.by ?? 'us', ...(positions ? { at: positions } : {}) };
}
