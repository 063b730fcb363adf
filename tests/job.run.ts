import { Command } from '../src/job/commands.ts';
import { decide, type Shop } from '../src/job/decide.ts';
import type { JobEvent } from '../src/job/events.ts';
import { evolve } from '../src/job/evolve.ts';
import { type Job, UNOPENED } from '../src/job/state.ts';
import type { Rulebook } from '../src/rulebook/rulebook.ts';

/** A command as tests write it: who, when and its id are filled in where they do not matter. */
export type Told = {
  readonly type: string;
  readonly by?: string;
  readonly at?: string;
  readonly id?: string;
} & Readonly<Record<string, unknown>>;

export class Runner {
  job: Job = UNOPENED;
  readonly events: JobEvent[] = [];
  private minute = 0;

  constructor(
    private readonly books: readonly Rulebook[],
    private readonly alone = false,
  ) {}

  get shop(): Shop {
    return { rulebook: (version) => this.books.find((b) => b.version === version), alone: this.alone };
  }

  get rulebook(): Rulebook {
    return this.books.find((b) => b.version === this.job.rulebook) as Rulebook;
  }

  /** Time goes by and nobody says anything. */
  pass(minutes: number): void {
    this.minute += minutes;
  }

  command(told: Told): Command {
    const at = new Date(Date.UTC(2026, 2, 2, 8, this.minute++)).toISOString().replace('.000Z', 'Z');
    const opens = told.type === 'opened' || told.type === 'came-back';
    const head = opens ? { ro: '4711', rulebook: this.books[0]?.version } : {};
    const to = told.type === 'rulebook-changed' ? { to: this.books[1]?.version } : {};
    return Command.parse({ id: `c${this.minute}`, at, by: 'Ana', ...head, ...to, ...told });
  }

  /** What came of it: the events, or the sentences it was refused with. */
  tell(told: Told): readonly JobEvent[] | readonly string[] {
    const answer = decide(this.command(told), this.job, this.shop);
    if ('refused' in answer) return answer.refused;
    for (const event of answer.events) {
      this.events.push(event);
      this.job = evolve(this.job, event);
    }
    return answer.events;
  }

  /** The same, where it must be taken. */
  must(told: Told): void {
    const answer = this.tell(told);
    const refused = answer.filter((line) => typeof line === 'string');
    if (refused.length > 0) throw new Error(`${JSON.stringify(told)} was refused: ${refused.join(' ')}`);
  }
}
