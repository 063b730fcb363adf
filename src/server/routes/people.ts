import { z } from 'zod';
import { ChangedPerson, NewPerson, Shop } from '../../job/exchange.ts';
import { Person } from '../../job/people.ts';
import type { Doors } from '../doors.ts';
import { No } from '../refusal.ts';
import { type Caller, type Route, route } from '../route.ts';

const SMALL = 20_000;
const FOREMAN = ['foreman'] as const;

/** Who works here, and the shop's settings. */
export function peopleRoutes(doors: Doors): Route[] {
  const { people, settings } = doors;
  return [
    route({
      method: 'get',
      path: '/api/people',
      about: 'Who works here, and who did.',
      who: 'signed-in',
      answer: z.strictObject({ people: z.array(Person) }),
      does: async () => ({ people: await people.list() }),
    }),
    route({
      method: 'post',
      path: '/api/people',
      about: 'Adds somebody.',
      who: FOREMAN,
      body: { name: 'person', shape: NewPerson, most: SMALL },
      answer: Person,
      does: ({ body }) => people.add(body),
    }),
    route({
      method: 'patch',
      path: '/api/people/{id}',
      about: 'Changes somebody: a foreman everything, everybody their own PIN. The last foreman stays.',
      refusals: { 423: 'too many wrong PINs; `until` says when the next is tried' },
      who: 'signed-in',
      body: { name: 'person', shape: ChangedPerson, most: SMALL },
      answer: Person,
      does: ({ body, caller, param }) => change(doors, param('id'), body, caller),
    }),
    route({
      method: 'get',
      path: '/api/shop',
      about: 'The settings of the shop.',
      who: 'signed-in',
      answer: Shop,
      does: async () => (await settings.get()).shop,
    }),
    route({
      method: 'put',
      path: '/api/shop',
      about: 'Changes the settings of the shop, all of them at once.',
      who: FOREMAN,
      body: { name: 'shop', shape: Shop, most: SMALL },
      answer: Shop,
      does: ({ body }) => settings.put(body),
    }),
  ];
}

async function change(
  { people, sessions, hub, now }: Doors,
  id: string,
  { old, ...changed }: z.infer<typeof ChangedPerson>,
  { person, session }: Caller,
): Promise<Person> {
  const ownPin = id === person.id && Object.keys(changed).every((field) => field === 'pin' || field === 'old');
  if (!ownPin && !person.roles.includes('foreman'))
    throw new No(
      403,
      `${person.name} is ${person.roles.join(' and ')}: this is for a foreman; one’s own PIN anybody changes`,
    );
  // A tablet that was left signed in must not be enough to take somebody's place.
  if (id === person.id && changed.pin !== undefined) {
    if (old === undefined) throw new No(422, 'person#/old: is missing; one’s own PIN is changed with the PIN so far');
    if (!(await people.signIn(id, old, now()))) throw new No(422, 'the PIN so far is not right');
  }
  const after = await people.change(id, changed);
  if (!after) throw new No(404, 'nobody of this id works here');
  // Whoever still holds a tablet signed in under what was so far signs in again.
  for (const key of await sessions.endAllOf(id, session.key)) hub.endSession(key);
  return after;
}
