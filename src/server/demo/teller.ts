import type { Command, Saying } from '../../job/commands.ts';
import type { Asked } from '../../job/asked.ts';
import { decide } from '../../job/decide.ts';
import type { JobEvent } from '../../job/events.ts';
import { evolve } from '../../job/evolve.ts';
import { finalCheck } from '../../job/final-check.ts';
import { refusals } from '../../job/gate.ts';
import { mayNotSay } from '../../job/people.ts';
import { type Plan, plan } from '../../job/plan.ts';
import type { Settle } from '../../job/refusal.ts';
import { sayingsOf } from '../../job/rewrite.ts';
import { type Job, UNOPENED } from '../../job/state.ts';
import type { ReadingValue, Values } from '../../job/values.ts';
import type { JobFile } from '../../resolve/facts.ts';
import type { Question } from '../../resolve/result.ts';
import type { Rulebook } from '../../rulebook/rulebook.ts';
import { DEMO_TECHNICIAN, demoPeople } from './people.ts';

/** Minutes that an invented wait is told to last. */
const WAIT = 60;
/** Things to settle on one job; more than this and it never ends. */
const MOST = 300;

/** Figures by unit where no rule gives a limit: invented, as the cars are. */
const INVENTED: Readonly<Record<string, number>> = { N·m: 115, km: 64_210, deg: 0.1, V: 12.6, '%': 80 };

/**
 * Tells the record of an invented job as people would have: everything is a command and goes through `decide`; one that
 * is refused is a fault of the story and throws.
 */
export class Teller {
  job: Job = UNOPENED;
  readonly events: JobEvent[] = [];

  constructor(
    readonly rulebook: Rulebook,
    /** Milliseconds of the clock. */
    private clock: number,
    /** Of the picture that proves whatever wants one. */
    private readonly picture: string,
  ) {}

  get plan(): Plan {
    return plan(this.job, this.rulebook);
  }

  pass(minutes: number): void {
    this.clock += minutes * 60_000;
  }

  /** Nobody says anything until then, which is milliseconds of the clock. */
  to(then: number): void {
    this.clock = Math.max(this.clock, then);
  }

  say(by: string, ...sayings: readonly Saying[]): void {
    for (const saying of sayings) {
      this.pass(1);
      const id = `demo-${this.events.length + 1}`;
      const at = new Date(this.clock).toISOString().replace(/\.\d+Z$/, 'Z');
      const command = { ...saying, id, at, by } as Command;
      const roles = demoPeople.find(({ name }) => name === by)?.roles ?? [];
      const unfit = mayNotSay(command.type, { name: by, roles: [...roles] });
      const decided = unfit === undefined ? decide(command, this.job, this.shop) : { refused: [unfit] };
      if ('refused' in decided) throw new Error(`the invented job ${this.job.ro}: ${decided.refused.join(' ')}`);
      this.events.push(...decided.events);
      this.job = decided.events.reduce(evolve, this.job);
    }
  }

  open(by: string, file: JobFile, back?: Pick<Saying<'came-back'>, 'old' | 'complaint'>): void {
    const opening = { rulebook: this.rulebook.version, units: 'metric' } as const;
    const [opened, ...rest] = sayingsOf(file, opening) as [Saying<'opened'>, ...Saying[]];
    this.say(by, back ? { ...opened, ...back, type: 'came-back' } : opened, ...rest);
    this.say(by, { type: 'photo-attached', hash: this.picture, shows: 'the tool’s screen' });
    this.say(DEMO_TECHNICIAN, { type: 'lamps', when: 'intake', lit: [] });
  }

  /** Answers what is asked as most cars like this one would have it, the first answer where nobody can say. */
  answerAll(by: string): void {
    for (let left = MOST; left > 0; left--) {
      const open = this.plan.checklist.questions.find(
        (one) => one.answered === undefined && one.kind !== 'car' && one.answers.length > 0,
      );
      if (!open) return;
      this.say(by, answerTo(open));
    }
    throw new Error(`the invented job ${this.job.ro} asks without end`);
  }

  /** Steps that somebody could begin now, in their order. */
  get ready(): readonly string[] {
    const early = (phase: string) => (phase === 'after') === (this.job.workDone !== undefined);
    return this.plan.items
      .filter((item) => item.kind === 'step' && item.stage === 'open' && !item.was && !item.owner)
      .filter((item) => item.waitsFor.length === 0 && early(item.followUp.phase))
      .map((item) => item.id);
  }

  /** The first of them of a kind. */
  readyOf(kind: string): string {
    const found = this.plan.items.find((item) => item.followUp.text.kind === kind && this.ready.includes(item.id));
    if (!found) throw new Error(`the invented job ${this.job.ro} has no ${kind} that could be begun`);
    return found.id;
  }

  do(by: string, step: string): void {
    const item = this.plan.items.find(({ id }) => id === step);
    if (!item) throw new Error(`the invented job ${this.job.ro} has no step ${step}`);
    const asked = item.level === 'required' || item.safety ? item.confirms : [];
    for (const { question } of asked) this.say(by, { type: 'answered', question, answer: 'yes' });
    if (item.followUp.text.kind === 'wait') this.pass(this.begin(by, step));
    this.say(by, { type: 'took', step, values: this.values(item.asked) });
    this.close(by, step);
  }

  /** A step that is a wait: how long, and that it runs; gives its minutes. */
  begin(by: string, step: string): number {
    const item = this.plan.items.find(({ id }) => id === step);
    const wait = item?.followUp.ways.find(({ id }) => id === item.way)?.text.minutes?.wait;
    const question = `wait:${item?.followUp.id}`;
    if (typeof wait === 'object' && !this.job.answers.has(question))
      this.say(by, { type: 'answered', question, answer: WAIT });
    if (item?.stage !== 'running') this.say(by, { type: 'started', step });
    return typeof wait === 'number' ? wait : WAIT;
  }

  private close(by: string, step: string): void {
    const closing = this.plan.items.find(({ id }) => id === step)?.closing;
    if (!closing?.open) return;
    this.pass(closing.seconds / 60);
    this.say(by, { type: 'closed', step });
  }

  private values(asked: readonly Asked[]): Values {
    return Object.fromEntries(asked.map((one) => [one.key, this.good(one)]));
  }

  private good({ answer, choices, limits, unit }: Asked): ReadingValue {
    if (answer === 'choice') return { kind: 'choice', value: choices[0] as string };
    if (answer === 'photo') return { kind: 'photo', hash: this.picture };
    if (answer === 'text') return { kind: 'text', value: 'as the maker’s procedure says, seen on the tool' };
    const [least, most] = [limits.flatMap(({ min }) => min ?? []), limits.flatMap(({ max }) => max ?? [])];
    const [min, max] = [
      least.length > 0 ? Math.max(...least) : undefined,
      most.length > 0 ? Math.min(...most) : undefined,
    ];
    const between =
      min !== undefined && max !== undefined ? (min + max) / 2 : (min ?? max ?? INVENTED[unit ?? ''] ?? 1);
    return { kind: 'number', value: Number(between.toPrecision(4)) };
  }

  /** Everything but the foreman's check. */
  finish(by: string, foreman: string): void {
    for (let left = MOST; left > 0; left--) {
      const next = refusals(this.plan).find(({ rule }) => rule !== 'unchecked');
      if (!next) return;
      // Nobody made these cars: what hangs on the maker is done anyway.
      const car = (one: Settle) => one.type === 'answered' && ['maker', 'model'].includes(one.question);
      const settle = next.settle.find((one) => !car(one));
      if (!settle) throw new Error(`the invented job ${this.job.ro}: nothing settles "${next.text}"`);
      this.settle(by, foreman, settle);
    }
    throw new Error(`the invented job ${this.job.ro} can not be finished`);
  }

  private settle(by: string, foreman: string, settle: Settle): void {
    switch (settle.type) {
      case 'took':
        return this.do(by, this.firstOf(settle.step));
      case 'closed':
        return this.close(by, settle.step);
      case 'scanned':
        return this.say(by, { type: 'scanned', when: 'after', codes: [] });
      case 'lamps':
        return this.say(by, { type: 'lamps', when: settle.when, lit: [] });
      case 'work-done':
        return this.say(by, { type: 'work-done' });
      case 'answered': {
        const asked = this.plan.checklist.questions.find(({ id }) => id === settle.question);
        const yes: Saying = { type: 'answered', question: settle.question, answer: 'yes' };
        return this.say(by, asked ? answerTo(asked) : yes);
      }
      case 'ruled-out':
        return this.say(foreman, {
          type: 'ruled-out',
          step: settle.step,
          photo: this.picture,
          because: 'seen on the car: it has none',
        });
      default:
        throw new Error(`the invented job ${this.job.ro} does not know how to be ${settle.type}`);
    }
  }

  /** The step, or what has to come before it. */
  private firstOf(step: string): string {
    const waits = this.plan.items.find(({ id }) => id === step)?.waitsFor.find(({ never }) => !never);
    return waits ? this.firstOf(waits.step) : step;
  }

  check(foreman: string): void {
    for (const item of finalCheck(this.plan).flat())
      this.say(foreman, { type: 'checked', item: item.id, value: this.good(item.asked) });
  }

  private get shop() {
    return { rulebook: (version: string) => (version === this.rulebook.version ? this.rulebook : undefined) };
  }
}

function answerTo({ id, kind, answers, likely }: Question): Saying {
  const yes = kind === 'done' || kind === 'holds' ? answers.find(({ value }) => value === 'yes') : undefined;
  const value = likely?.value ?? yes?.value ?? answers[0]?.value ?? 'yes';
  if (kind === 'trait' || kind === 'way') return { type: 'trait-told', trait: id, answer: { value, by: 'looked' } };
  return { type: 'answered', question: id, answer: value };
}
