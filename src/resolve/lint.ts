import { type Fault, pointer } from '../rulebook/fault.ts';
import type { Lint } from '../rulebook/lint/lint.ts';
import { LINTS } from '../rulebook/lint/lints.ts';
import type { FollowUp, Rulebook } from '../rulebook/rulebook.ts';
import type { Example } from '../rulebook/schema.ts';
import { readFacts } from './facts.ts';
import { type Resolution, resolve } from './resolve.ts';
import { whyNot } from './why.ts';

/** Lints that run the resolver, and with them all lints there are. */

export const examplesHold: Lint = {
  id: 'examples-hold',
  scope: 'examples',
  says: 'every example is a job that can be read, and its verdict and level are what comes out',
  severity: 'fault',
  exceptions: [],
  *check(rulebook) {
    for (const followUp of rulebook.followUps.values()) {
      for (const [i, example] of followUp.text.examples.entries()) yield* tryExample(followUp, example, i, rulebook);
    }
  },
};

export const ALL_LINTS: readonly Lint[] = [...LINTS, examplesHold];

function* tryExample(followUp: FollowUp, example: Example, index: number, rulebook: Rulebook): Iterable<Fault> {
  const at = pointer('examples', index);
  const { facts, faults } = readFacts(jobOf(example), rulebook, followUp.file);
  for (const fault of faults) yield { ...fault, pointer: at + placeInExample(fault.pointer, example) };
  if (!facts) return;
  const resolution = resolve(facts, rulebook);
  const verdict = resolution.verdicts.get(followUp.id);
  const kind = verdict?.kind ?? 'excluded';
  if (kind !== example.verdict) {
    const hint = reason(resolution, followUp, kind);
    yield {
      file: followUp.file,
      pointer: `${at}/verdict`,
      message: `comes out ${kind}`,
      value: example.verdict,
      ...(hint ? { hint } : {}),
    };
  } else if (example.level && verdict && kind !== 'excluded' && verdict.level !== example.level) {
    yield { file: followUp.file, pointer: `${at}/level`, message: `comes out ${verdict.level}`, value: example.level };
  }
}

function reason(resolution: Resolution, followUp: FollowUp, kind: string): string | undefined {
  if (kind === 'excluded') return whyNot(resolution, followUp);
  const open = resolution.verdicts.get(followUp.id)?.decides ?? [];
  return kind === 'undecided' ? `it rests on ${open.join(', ')}` : undefined;
}

/** The job file that an example stands for; "part did position" is one work line. */
function jobOf(example: Example): unknown {
  const { work = [], codes, maker, model, 'model-year': modelYear, traits, answers, 'work-done': workDone } = example;
  return {
    ro: 'example',
    vehicle: { ...given({ maker, model, modelYear, traits }) },
    work: work.map((line) => {
      const [part = '', did = '', ...at] = line.trim().split(/\s+/);
      return { part, did, ...(at.length > 0 ? { at } : {}) };
    }),
    ...given({ answers, 'work-done': workDone }),
    ...(codes ? { codes: { before: codes } } : {}),
  };
}

function given(fields: Readonly<Record<string, unknown>>): Record<string, unknown> {
  return Object.fromEntries(Object.entries(fields).filter(([, value]) => value !== undefined));
}

/** Where in the example a fault of the job stands. */
function placeInExample(at: string, example: Example): string {
  const line = /^\/work\/(\d+)/.exec(at);
  if (line) return `/work/${line[1]}`;
  if (at.startsWith('/codes')) return '/codes';
  const inside = at.replace(/^\/vehicle/, '').replace(/^\/modelYear/, '/model-year');
  const key = inside.split('/')[1] ?? '';
  return key in example ? inside : '';
}
