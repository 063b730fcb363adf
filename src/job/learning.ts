import type { Rulebook } from '../rulebook/rulebook.ts';
import type { Item } from './item.ts';
import { plan } from './plan.ts';
import { isRuledOut, type ItemNote, type Job } from './state.ts';

/** What finished jobs say of one rule. */
export interface RuleCount {
  readonly followUp: string;
  readonly title: string;
  /** Finished jobs on whose list it was. */
  readonly asked: number;
  readonly done: number;
  /** Not done: declined, no tool, a part missing, or left open when the car went. */
  readonly skipped: number;
  /** Said not to fit, or settled with evidence as not on this car. */
  readonly overridden: number;
  /** Cars that it brought back, by any job's outcome. */
  readonly cameBack: number;
  /** "This item was wrong" and "was missing", in the words of the floor. */
  readonly notes: readonly Pick<ItemNote, 'was' | 'note'>[];
}

export interface Learned {
  /** In order of id; only rules of which anything is known. */
  readonly rules: readonly RuleCount[];
  /** For the keeper: rules that the floor passes over, and that brought no car back. The most passed over first. */
  readonly noise: readonly (RuleCount & { readonly because: string })[];
  /** Jobs that could not be counted, each with why. */
  readonly uncounted: readonly { readonly ro: string; readonly because: string }[];
  readonly counted: number;
}

/** A rule is named as noise over this share of passing over, and only with so many finished jobs behind it. */
export const NOISE = { share: 0.3, jobs: 10 };

type Fate = 'done' | 'skipped' | 'overridden';
type Tally = { -readonly [K in 'asked' | Fate | 'cameBack']: number } & { notes: RuleCount['notes'][number][] };

/**
 * Counts over records what became of each rule. A job counts once it is finished; its outcome and its notes count at
 * once. Jobs whose rulebook is not at hand are named, never guessed.
 */
export function learn(jobs: Iterable<Job>, rulebook: (version: string) => Rulebook | undefined): Learned {
  const tallies = new Map<string, Tally>();
  const titles = new Map<string, string>();
  const uncounted: { ro: string; because: string }[] = [];
  let counted = 0;
  for (const job of jobs) {
    const book = rulebook(job.rulebook);
    if (!book) uncounted.push({ ro: job.ro, because: `rulebook ${job.rulebook} is not at hand` });
    else for (const { id, title } of book.followUps.values()) titles.set(id, title);
    said(job, tallies);
    if (job.status !== 'released' && job.status !== 'left-unfinished') continue;
    if (!book) continue;
    counted++;
    for (const [id, fate] of fates(job, book)) {
      const tally = tallyOf(tallies, id);
      tally.asked++;
      tally[fate]++;
    }
  }
  const rules = [...tallies]
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(([followUp, tally]): RuleCount => ({ followUp, title: titles.get(followUp) ?? followUp, ...tally }));
  return { rules, noise: noiseOf(rules), uncounted, counted };
}

/** Outcomes and notes, whatever became of the job; the last outcome is the one that stands. */
function said(job: Job, tallies: Map<string, Tally>): void {
  const outcome = job.outcomes.at(-1)?.followUp;
  if (outcome !== undefined) tallyOf(tallies, outcome).cameBack++;
  for (const { step, was, note } of job.itemNotes)
    if (step) tallyOf(tallies, step.split('#')[0] as string).notes.push({ was, note });
}

/** Each follow-up once a job, though it may have several steps: one that was skipped anywhere was skipped. */
function fates(job: Job, book: Rulebook): Map<string, Fate> {
  const fate = new Map<string, Fate>();
  const worse = { done: 0, overridden: 1, skipped: 2 };
  for (const item of plan(job, book).items) {
    const now = fateOf(item, job);
    const had = fate.get(item.followUp.id);
    if (now && (had === undefined || worse[now] > worse[had])) fate.set(item.followUp.id, now);
  }
  return fate;
}

/** An undecided one that nobody settled says nothing of the rule; one that ends with the owner is not the shop's to do. */
function fateOf(item: Item, job: Job): Fate | undefined {
  if (isRuledOut(job, item.id) || item.record?.notDone?.reason === 'does-not-fit') return 'overridden';
  if (item.stage === 'took') return 'done';
  if (item.kind === 'undecided' || (item.owner && item.stage === 'open')) return undefined;
  return item.was === 'cannot-tell' || item.was === 'open' ? undefined : 'skipped';
}

function noiseOf(rules: readonly RuleCount[]): Learned['noise'] {
  return rules
    .flatMap((rule) => {
      const passed = rule.skipped + rule.overridden;
      if (rule.asked < NOISE.jobs || rule.cameBack > 0 || passed / rule.asked <= NOISE.share) return [];
      const how = [
        ...(rule.skipped > 0 ? [`not done on ${rule.skipped}`] : []),
        ...(rule.overridden > 0 ? [`said not to fit on ${rule.overridden}`] : []),
      ].join(' and ');
      return [{ ...rule, because: `of ${rule.asked} finished jobs it was ${how}; it brought no car back` }];
    })
    .sort(
      (a, b) =>
        (b.skipped + b.overridden) / b.asked - (a.skipped + a.overridden) / a.asked ||
        (a.followUp < b.followUp ? -1 : 1),
    );
}

function tallyOf(tallies: Map<string, Tally>, id: string): Tally {
  const had = tallies.get(id);
  if (had) return had;
  const made: Tally = { asked: 0, done: 0, skipped: 0, overridden: 0, cameBack: 0, notes: [] };
  tallies.set(id, made);
  return made;
}
