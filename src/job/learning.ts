import type { Fate, Lesson, Noted, PassedOver, Taught } from './learning/lesson.ts';

export { type Lesson, lessonOf } from './learning/lesson.ts';

type Counts = { readonly [K in 'asked' | Fate]: number };

/** One trigger of a rule: what called for it. */
export interface TriggerCount extends Counts {
  /** As the rulebook words it; '' where another step of the list asked for it, or an answer was corrected. */
  readonly because: string;
  /** Passed over too often; see `NOISE`. */
  readonly noise: boolean;
}

/** What finished jobs say of one rule. */
export interface RuleCount extends Counts {
  readonly followUp: string;
  readonly title: string;
  /** Its omission can hurt someone: passed over often, it is a danger before it is noise. */
  readonly safety: boolean;
  /** How often for which reason it was passed over. */
  readonly why: Readonly<Partial<Record<PassedOver, number>>>;
  /** Cars that it brought back, by any job's outcome. */
  readonly cameBack: number;
  /** The trigger that is called for most first. */
  readonly triggers: readonly TriggerCount[];
  /** "This item was wrong" and "was missing", in the words of the floor. */
  readonly notes: readonly Omit<Noted, 'followUp'>[];
}

export interface Learned {
  /** In order of id; only rules of which anything is known. */
  readonly rules: readonly RuleCount[];
  /** For the keeper: rules that the floor passes over, and that brought no car back. The most passed over first. */
  readonly noise: readonly (Pick<RuleCount, 'followUp' | 'title' | 'safety'> & { readonly because: string })[];
  /** Noted as missing, in words, where no rule has it. */
  readonly missing: readonly Omit<Noted, 'followUp'>[];
  /** Jobs that could not be counted, each with why. */
  readonly uncounted: readonly { readonly ro: string; readonly because: string }[];
  readonly counted: number;
}

/**
 * A rule is named as noise over this share of passing over, and only with so many finished jobs behind it. Ten, for a
 * rule that is rightly passed over once in ten jobs is passed over in four of ten by chance in one case of 78
 * (binomial: 0.0128); of six jobs it would be two, in one case of nine.
 */
export const NOISE = { share: 0.3, jobs: 10 };

/** Sums up what jobs teach, one after the other: none of them is kept but its counts and its notes. */
export class Learning {
  private readonly tallies = new Map<string, Tally>();
  private readonly missing: Omit<Noted, 'followUp'>[] = [];
  private readonly uncounted: { ro: string; because: string }[] = [];
  private counted = 0;

  add({ ro, finished, because, taught, cameBack, notes }: Lesson): void {
    if (because !== undefined) this.uncounted.push({ ro, because });
    if (finished) this.counted++;
    if (cameBack !== undefined) this.tally(cameBack).cameBack++;
    for (const { followUp, ...note } of notes)
      (followUp === undefined ? this.missing : this.tally(followUp).notes).push(note);
    for (const one of taught) this.count(one);
  }

  private count({ followUp, fate, why, triggers }: Taught): void {
    const tally = this.tally(followUp);
    one(tally, fate);
    if (why) tally.why[why] = (tally.why[why] ?? 0) + 1;
    for (const because of triggers.length > 0 ? triggers : ['']) {
      const trigger = tally.triggers.get(because) ?? { asked: 0, done: 0, skipped: 0, overridden: 0 };
      tally.triggers.set(because, trigger);
      one(trigger, fate);
    }
  }

  /** @param today what today's rules say of a follow-up; undefined where they have it no more */
  learned(today: (followUp: string) => Pick<RuleCount, 'title' | 'safety'> | undefined): Learned {
    const rules = [...this.tallies]
      .sort(([a], [b]) => (a < b ? -1 : 1))
      .map(([followUp, { triggers, ...tally }]): RuleCount => {
        const rows = [...triggers].map(([because, counts]) => ({
          because,
          ...counts,
          noise: tally.cameBack === 0 && isNoise(counts),
        }));
        rows.sort((a, b) => b.asked - a.asked || (a.because < b.because ? -1 : 1));
        const { title = followUp, safety = false } = today(followUp) ?? {};
        return { followUp, title, safety, ...tally, triggers: rows };
      });
    const { missing, uncounted, counted } = this;
    return { rules, noise: noiseOf(rules), missing, uncounted, counted };
  }

  private tally(id: string): Tally {
    const had = this.tallies.get(id);
    if (had) return had;
    const made: Tally = {
      asked: 0,
      done: 0,
      skipped: 0,
      overridden: 0,
      cameBack: 0,
      why: {},
      triggers: new Map(),
      notes: [],
    };
    this.tallies.set(id, made);
    return made;
  }
}

type Counting = { -readonly [K in keyof Counts]: number };
type Tally = Counting & {
  cameBack: number;
  why: Partial<Record<PassedOver, number>>;
  triggers: Map<string, Counting>;
  notes: Omit<Noted, 'followUp'>[];
};

function one(counts: Counting, fate: Fate): void {
  counts.asked++;
  counts[fate]++;
}

function isNoise({ asked, skipped, overridden }: Counts): boolean {
  return asked >= NOISE.jobs && (skipped + overridden) / asked > NOISE.share;
}

function share({ asked, skipped, overridden }: Counts): number {
  return (skipped + overridden) / asked;
}

function noiseOf(rules: readonly RuleCount[]): Learned['noise'] {
  return rules
    .filter((rule) => rule.cameBack === 0 && isNoise(rule))
    .toSorted((a, b) => share(b) - share(a) || (a.followUp < b.followUp ? -1 : 1))
    .map(({ followUp, title, safety, asked, skipped, overridden }) => {
      const how = [
        ...(skipped > 0 ? [`not done on ${skipped}`] : []),
        ...(overridden > 0 ? [`said not to fit on ${overridden}`] : []),
      ].join(' and ');
      return { followUp, title, safety, because: `of ${asked} finished jobs it was ${how}; it brought no car back` };
    });
}
