import type { Command } from '../job/commands.ts';

/** What the record did not take, for whoever said it; kept until that person has read it. */
export interface NotTaken {
  /** Of the first of them. */
  readonly id: string;
  readonly ro: string;
  readonly by: string;
  /** When it was said, by the tablet's clock. */
  readonly at: string;
  /** Why, in sentences. */
  readonly says: readonly string[];
  /** The words themselves, so that nothing has to be remembered. */
  readonly commands: readonly Command[];
}

/** Why the record does not take a command, in sentences. */
export interface Refusal {
  readonly id: string;
  readonly says: readonly string[];
}

/** One for each person whose words these were. */
export function notTakenOf(ro: string, commands: readonly Command[], refused: readonly Refusal[]): NotTaken[] {
  const why = new Map(refused.map(({ id, says }) => [id, says]));
  const gone = commands.filter(({ id }) => why.has(id));
  return [...new Set(gone.map(({ by }) => by))].map((by) => {
    const said = gone.filter((command) => command.by === by);
    const says = [...new Set(said.flatMap(({ id }) => why.get(id) ?? []))];
    return { id: said[0]?.id ?? '', ro, by, at: said[0]?.at ?? '', says, commands: said };
  });
}
