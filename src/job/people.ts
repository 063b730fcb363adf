import { z } from 'zod';
import type { CommandType } from './commands.ts';
import { Id } from '../rulebook/schema.ts';
import { Word } from './values.ts';

/** Who works here and who may say what. */

export const ROLES = ['technician', 'foreman', 'keeper', 'desk'] as const;
export const Role = z.enum(ROLES);
export type Role = z.infer<typeof Role>;

export const Person = z.strictObject({
  id: Id,
  name: Word,
  roles: z.array(Role).min(1).max(ROLES.length),
  gone: z.literal(true).optional().describe('works here no more; stays, for the record names them'),
});
export type Person = z.infer<typeof Person>;

const HANDS = ['technician', 'foreman'] as const;
const ANYONE = ['technician', 'foreman', 'desk'] as const;
const FOREMAN = ['foreman'] as const;

/** Whose word each command needs. The keeper of the rules has no say over a car. */
export const MAY_SAY: { readonly [T in CommandType]: readonly Role[] } = {
  opened: ANYONE,
  'came-back': ANYONE,
  'vehicle-told': ANYONE,
  'trait-told': ANYONE,
  'line-added': ANYONE,
  'line-struck': ANYONE,
  promised: ANYONE,
  parked: ANYONE,
  'work-done': HANDS,
  'work-not-done': HANDS,
  answered: ANYONE,
  started: HANDS,
  noted: HANDS,
  took: HANDS,
  closed: HANDS,
  'did-not-take': HANDS,
  stuck: HANDS,
  'sent-out': ANYONE,
  returned: ANYONE,
  waiting: ANYONE,
  'not-done': HANDS,
  'answer-chosen': FOREMAN,
  'ruled-out': FOREMAN,
  'photo-attached': ANYONE,
  scanned: HANDS,
  'codes-cleared': HANDS,
  'readiness-read': HANDS,
  lamps: ANYONE,
  explained: HANDS,
  'set-up-left': HANDS,
  'night-passed': HANDS,
  'state-lapsed': HANDS,
  'state-ended': HANDS,
  'outcome-told': HANDS,
  'item-noted': ANYONE,
  'item-note-struck': ANYONE,
  'sent-back': FOREMAN,
  checked: FOREMAN,
  released: FOREMAN,
  'left-unfinished': FOREMAN,
  reopened: FOREMAN,
  'rulebook-changed': FOREMAN,
};

/** Said only with the server in reach: what lets a car go must not wait on a tablet. */
export const SERVER_ONLY: readonly CommandType[] = ['checked', 'released', 'left-unfinished'];

/** Why somebody may not say this, as a sentence; undefined where they may. */
export function mayNotSay(type: CommandType, { name, roles }: Pick<Person, 'name' | 'roles'>): string | undefined {
  const needed = MAY_SAY[type];
  if (needed.some((role) => roles.includes(role))) return undefined;
  const said = type.replaceAll('-', ' ');
  return `${name} is ${roles.join(' and ')}: "${said}" is said by a ${needed.join(' or ')}.`;
}
