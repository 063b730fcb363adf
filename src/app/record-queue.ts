import type { Command } from '../job/commands.ts';
import { decide } from '../job/decide.ts';
import { fold } from '../job/evolve.ts';
import type { Job } from '../job/state.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import type { Refusal } from './not-taken.ts';
import type { RecordState } from './record-state.ts';

/** A job with what waits on this tablet, as the record would take it. */
interface Through {
  readonly job: Job;
  /** What it would not take. */
  readonly refused: readonly Refusal[];
  /** Version of the rules without which nothing more can be judged; '' = all are here. */
  readonly lacks: string;
}

/** Says what waits behind the events that the server has. Where rules are wanting nobody judges, and nothing is refused. */
export function throughQueue(
  from: Job,
  { queue, alone }: Pick<RecordState, 'queue' | 'alone'>,
  books: ReadonlyMap<string, Rulebook>,
): Through {
  const shop = { rulebook: (version: string) => books.get(version), alone };
  let job = from;
  const refused: Refusal[] = [];
  for (const command of queue) {
    const lacks = neededBy(command, job).find((version) => !books.has(version));
    if (lacks !== undefined) return { job, refused, lacks };
    const decision = decide(command, job, shop);
    if ('refused' in decision) refused.push({ id: command.id, says: decision.refused });
    else job = fold(decision.events, job);
  }
  return { job, refused, lacks: books.has(job.rulebook) || job.rulebook === '' ? '' : job.rulebook };
}

function neededBy(command: Command, job: Job): string[] {
  if ('rulebook' in command) return [command.rulebook];
  const pinned = job.rulebook === '' ? [] : [job.rulebook];
  return command.type === 'rulebook-changed' ? [...pinned, command.to] : pinned;
}
