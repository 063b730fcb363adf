import type { Rulebook } from '../rulebook/rulebook.ts';
import type { Command } from './commands.ts';
import { faultsOf, kindsOf } from './facts.ts';
import type { Item } from './item.ts';
import type { Answered, Job, Mark, StepRecord } from './state.ts';

/** What tablets said of one thing without knowing of each other. Neither word is lost, and none stands until a person says so. */

/** Whether whoever said it could have known of an event: it was on the tablet by then, or was said on it. */
export function knew({ had, tablet }: Pick<Command, 'had' | 'tablet'>, of: Mark, job: Job): boolean {
  if (tablet === undefined && had === undefined) return true;
  if (of.tablet !== undefined && of.tablet === tablet) return true;
  return had !== undefined && [...job.seen].indexOf(had) + 1 >= of.seq;
}

/** How a step ended, as somebody said. */
export interface Ending {
  readonly word: 'took' | 'did-not-take' | 'not-done';
  readonly mark: Mark;
}

/** How a step ended, as it was said first; undefined while nobody has. */
export function endingOf(record: StepRecord | undefined): Ending | undefined {
  if (record?.stage === 'took' && record.took) return { word: 'took', mark: record.took };
  if (record?.stage === 'not-done') return { word: 'not-done', mark: record };
  if (record?.stage === 'did-not-take' || record?.stage === 'stuck') return { word: 'did-not-take', mark: record };
  return undefined;
}

/** All endings that stand beside each other. */
export function endingsOf(record: StepRecord | undefined): Ending[] {
  const first = endingOf(record);
  const rivals = (record?.rivals ?? []).map(({ word, ...mark }) => ({ word, mark }));
  return first ? [first, ...rivals] : [];
}

/** Whether a word about a safety item was said by somebody who did not know how it had ended by then. */
export function saidApart(command: Pick<Command, 'had' | 'tablet'>, item: Item, job: Job): boolean {
  if (!item.safety || item.was || item.again !== undefined) return false;
  return endingsOf(item.record).some(({ mark }) => !knew(command, mark, job));
}

/** Said apart, it contradicts: one of them says that it took, the other that it did not. */
export function contradicts(word: Ending['word'], item: Item): boolean {
  return endingsOf(item.record).some((other) => (other.word === 'took') !== (word === 'took'));
}

const WORDS: Readonly<Record<Ending['word'], string>> = {
  took: 'it took',
  'did-not-take': 'it did not take',
  'not-done': 'it was not done',
};

/** "by Ana and by Ben", or who said what where they do not say the same; empty where there is one answer. */
export function answersText(record: StepRecord | undefined): string {
  const all = endingsOf(record);
  if (all.length < 2) return '';
  const same = all.every(({ word }) => word === all[0]?.word);
  const told = all.map(({ word, mark }) => (same ? `by ${mark.by}` : `${WORDS[word]} (${mark.by})`));
  return `${count(all.length)} answers, ${told.slice(0, -1).join(', ')} and ${told.at(-1)}`;
}

function count(n: number): string {
  return ['no', 'one', 'two', 'three', 'four'][n] ?? String(n);
}

/** Bars every further word of a step with two answers but the one that settles it. */
export function contested({ title, record }: Item): string[] {
  const answers = answersText(record);
  return answers === ''
    ? []
    : [`${title} has ${answers}: the foreman says which one stands, or sends it back to be done again`];
}

/**
 * What an answer comes to that was given without knowledge of the one there is: 'rival' = it would turn round something
 * that can hurt somebody, so both are kept. Sentences = it is refused; undefined = it is decided like any other.
 */
export function answeredApart(
  { command, question, answer }: { command: Command; question: string; answer: Answered['answer'] },
  first: Answered | undefined,
  other: Job | undefined,
  job: Job,
  rulebook: Rulebook,
): 'rival' | readonly string[] | undefined {
  const there = job.disputed.get(question) ?? (first ? [first] : []);
  const last = there.at(-1);
  if (!last || there.every((one) => knew(command, one, job))) return undefined;
  if (answer === undefined) return [`"${question}" was answered since, by ${last.by} at ${last.at}: look again`];
  if (there.some((one) => same(one.answer, answer))) return undefined;
  if (job.disputed.has(question)) return 'rival';
  if (!other) return undefined;
  const faults = faultsOf(other, rulebook);
  if (faults.length > 0) return faults;
  return turnsSafety(job, other, question, rulebook) ? 'rival' : undefined;
}

/** What was told is the same, however it came to be known. */
function same(a: Answered['answer'], b: Answered['answer']): boolean {
  return answerText(a) === answerText(b);
}

function turnsSafety(job: Job, other: Job, question: string, rulebook: Rulebook): boolean {
  const wait = /^wait:(.+)$/.exec(question)?.[1];
  if (wait !== undefined) return rulebook.followUps.get(wait)?.safety ?? false;
  const [one, two] = [kindsOf(job, rulebook), kindsOf(other, rulebook)];
  const ids = new Set([...one.keys(), ...two.keys()]);
  return [...ids].some((id) => rulebook.followUps.get(id)?.safety === true && one.get(id) !== two.get(id));
}

/** "none (Ana), target (Ben)". */
export function disputeText(answers: readonly Answered[]): string {
  return answers.map(({ answer, by }) => `${answerText(answer)} (${by})`).join(', ');
}

function answerText(answer: Answered['answer']): string {
  if (answer === null || answer === undefined) return "can't tell";
  if (Array.isArray(answer)) return answer.join(' or ');
  return typeof answer === 'object' ? answerText(answer.value) : String(answer).replaceAll('-', ' ');
}
