import type { Person, Role } from '../../src/job/people.ts';

export const ROLE_WORDS: Readonly<Record<Role, { readonly name: string; readonly may: string }>> = {
  technician: { name: 'Technician', may: 'works on cars' },
  foreman: { name: 'Foreman', may: 'checks, releases, settles, says who works here' },
  desk: { name: 'Desk', may: 'writes jobs up' },
  keeper: { name: 'Rule keeper', may: 'looks after the rulebook' },
};

/** "foreman and technician" */
export function rolesText({ roles }: Pick<Person, 'roles'>): string {
  return roles.map((role) => ROLE_WORDS[role].name.toLowerCase()).join(' and ');
}
