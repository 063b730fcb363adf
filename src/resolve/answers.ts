import { type Fault, pointer } from '../rulebook/fault.ts';
import { near } from '../rulebook/read.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import { Did } from '../rulebook/schema.ts';
import type { Answer, WorkLine } from './work-line.ts';

/** Answers to questions other than traits: which there are, and what each may be answered with. */

interface QuestionKind {
  readonly names: (work: readonly WorkLine[], rulebook: Rulebook) => Iterable<string>;
  readonly wants: string;
  readonly takes: (value: Answer) => boolean;
}

const yesNo = {
  wants: 'yes, no or null',
  takes: (value: Answer) => value === null || value === 'yes' || value === 'no',
};

const KINDS: Readonly<Record<string, QuestionKind>> = {
  did: {
    ...yesNo,
    names: (_, { parts }) => [...parts.keys()].flatMap((part) => Did.options.map((did) => `${part}/${did}`)),
  },
  done: { ...yesNo, names: (_, { followUps }) => followUps.keys() },
  holds: { ...yesNo, names: (_, { states }) => states.keys() },
  wait: {
    names: (_, { followUps }) => followUps.keys(),
    wants: 'minutes',
    takes: (value) => typeof value === 'number' && value >= 0,
  },
  at: {
    names: (work) => work.map((_, i) => String(i)),
    wants: 'a position',
    takes: (value) => value === null || typeof value === 'string',
  },
};

export function checkAnswers(
  answers: ReadonlyMap<string, Answer>,
  work: readonly WorkLine[],
  rulebook: Rulebook,
  file: string,
  faults: Fault[],
): void {
  for (const [key, value] of answers) {
    const at = { file, pointer: pointer('answers', key) };
    const colon = key.indexOf(':');
    const [kind, name] = [key.slice(0, colon), key.slice(colon + 1)];
    const question = Object.hasOwn(KINDS, kind) ? (KINDS[kind] as QuestionKind) : undefined;
    if (!question) {
      const begins = Object.keys(KINDS).map((known) => `"${known}:"`);
      const hint = `questions begin with ${begins.join(', ')}; traits go under vehicle`;
      faults.push({ ...at, message: 'is no question', value: key, hint });
      continue;
    }
    checkName(kind, name, [...question.names(work, rulebook)], work, rulebook, at, faults);
    if (kind === 'at') checkPlace(name, value, work, rulebook, at, faults);
    if (!question.takes(value)) faults.push({ ...at, message: `wants ${question.wants}`, value });
  }
}

type Place = Pick<Fault, 'file' | 'pointer'>;

function checkName(
  kind: string,
  name: string,
  known: readonly string[],
  work: readonly WorkLine[],
  rulebook: Rulebook,
  at: Place,
  faults: Fault[],
): void {
  const asked = kind === 'at' ? partAt(name, work, rulebook) !== undefined : known.includes(name);
  if (!asked)
    faults.push({ ...at, message: 'answers a question about something unknown', value: name, ...near(name, known) });
}

function checkPlace(
  name: string,
  value: Answer,
  work: readonly WorkLine[],
  rulebook: Rulebook,
  at: Place,
  faults: Fault[],
): void {
  const part = partAt(name, work, rulebook);
  const places = (part !== undefined && rulebook.parts.get(part)?.text.at) || [];
  if (typeof value !== 'string' || places.length === 0 || places.includes(value)) return;
  faults.push({
    ...at,
    message: 'unknown position',
    value,
    hint: `one of ${places.join(', ')}`,
    ...near(value, places),
  });
}

/** The part that an "at:" question is about: line 0 is "0", work that follows from it "0>wheel/refitted/1", work of a step "step-id/0". */
function partAt(name: string, work: readonly WorkLine[], rulebook: Rulebook): string | undefined {
  const [root = '', ...chain] = name.split('>');
  const [step = '', place] = root.split('/');
  const followUp = rulebook.followUps.get(step);
  const stepWork = followUp && [...followUp.does, ...followUp.ways.flatMap((way) => way.does)];
  const part = place === undefined ? work[Number(root)]?.part : stepWork?.[Number(place)]?.part;
  return part === undefined || chain.length === 0 ? part : chain.at(-1)?.split('/')[0];
}
