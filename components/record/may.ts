import type { CommandType } from '../../src/job/commands.ts';
import { mayNotSay, type Person } from '../../src/job/people.ts';

/** Why whoever is signed in may not say this, as a sentence; '' where they may, or nobody is known to be there. */
export function barredFrom(type: CommandType, person: Pick<Person, 'name' | 'roles'> | undefined): string {
  return person ? (mayNotSay(type, person) ?? '') : '';
}
