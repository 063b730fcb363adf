import type { Context } from 'hono';
import { deleteCookie, getCookie, setCookie } from 'hono/cookie';
import { z } from 'zod';
import { Door, FirstForeman, Session, SignIn } from '../../job/exchange.ts';
import type { Person } from '../../job/people.ts';
import { type Signed, tokenOf } from '../../store/shop/sessions.ts';
import { DEMO_PIN } from '../demo/people.ts';
import type { Doors } from '../doors.ts';
import { COOKIE, type Guard } from '../guard.ts';
import { No } from '../refusal.ts';
import { type Caller, type Route, route } from '../route.ts';

const SMALL = 4_000;

/** Coming in and going out. */
export function doorRoutes(doors: Doors, guard: Guard): Route[] {
  return [
    route({
      method: 'get',
      path: '/api/door',
      about: 'What anybody sees before signing in.',
      who: 'anyone',
      answer: Door,
      does: ({ c, caller }) => seen(doors, c, caller),
    }),
    route({
      method: 'post',
      path: '/api/first',
      about: 'Makes the first foreman, with the code that the server printed, and signs them in.',
      who: 'anyone',
      body: { name: 'first foreman', shape: FirstForeman, most: SMALL },
      answer: Session,
      does: ({ c, body }) => makeFirst(doors, c, body),
    }),
    route({
      method: 'post',
      path: '/api/session',
      about: 'Signs in; each time under a new session.',
      who: 'anyone',
      body: { name: 'sign-in', shape: SignIn, most: SMALL },
      answer: Session,
      refusals: { 423: 'too many wrong PINs; `until` says when the next is tried' },
      does: async ({ c, body }) => {
        const person = await doors.people.signIn(body.person, body.pin, doors.now());
        if (!person) throw new No(401, 'this PIN is not right');
        return begin(doors, c, person);
      },
    }),
    route({
      method: 'get',
      path: '/api/session',
      about: 'Whoever is signed in on this tablet.',
      who: 'signed-in',
      answer: Session,
      does: async ({ c, caller }) => sessionOf(c, caller.person, caller.session),
    }),
    route({
      method: 'put',
      path: '/api/session',
      about: 'A touch: the session locks later.',
      who: 'signed-in',
      answer: Session,
      does: async ({ c, caller }) => {
        await guard.touched(caller);
        const again = await guard.callerOf(c);
        if (!again) throw new No(401, 'the session has just ended: sign in');
        return sessionOf(c, again.person, again.session);
      },
    }),
    route({
      method: 'delete',
      path: '/api/session',
      about: 'Signs out.',
      who: 'signed-in',
      answer: z.strictObject({ ended: z.literal(true) }),
      noTouch: true,
      does: async ({ c, caller }) => {
        await endSession(doors, caller.session.key);
        deleteCookie(c, COOKIE, { path: '/api' });
        return { ended: true };
      },
    }),
  ];
}

async function seen({ settings, people }: Doors, c: Context, caller: Caller | undefined): Promise<Door> {
  const { shop, demo } = await settings.get();
  const all = await people.list();
  return {
    shop: shop.name,
    people: all.filter((person) => !person.gone),
    first: all.length === 0,
    session: caller ? sessionOf(c, caller.person, caller.session) : null,
    ...(demo ? { demo: DEMO_PIN } : {}),
    locksAfter: shop['lock-minutes'],
  };
}

async function makeFirst(doors: Doors, c: Context, told: z.infer<typeof FirstForeman>): Promise<Session> {
  if ((await doors.people.list()).length > 0) throw new No(403, 'somebody works here already: a foreman adds people');
  if (!doors.first.is(told.code)) throw new No(401, 'this is not the code that the server printed when it started');
  const { name, pin } = told;
  const person = await doors.people.add({ name, pin, roles: ['foreman'] }, { whereNobodyIs: true });
  const { shop } = await doors.settings.get();
  await doors.settings.put({ ...shop, name: told.shop });
  return begin(doors, c, person);
}

async function begin(doors: Doors, c: Context, person: Person): Promise<Session> {
  const before = getCookie(c, COOKIE);
  const { shop } = await doors.settings.get();
  const had = before ? await doors.sessions.of(before, shop['lock-minutes']) : undefined;
  if (had) await endSession(doors, had.key);
  const id = await doors.sessions.begin(person.id);
  const session = (await doors.sessions.of(id, shop['lock-minutes'])) as Signed;
  setCookie(c, COOKIE, id, { path: '/api', httpOnly: true, sameSite: 'Strict', secure: doors.secure });
  return { person, token: tokenOf(id), until: session.until };
}

function sessionOf(c: Context, person: Person, { until }: Signed): Session {
  return { person, token: tokenOf(getCookie(c, COOKIE) ?? ''), until };
}

/** The session is over, and what it listens to with it. */
export async function endSession({ sessions, hub }: Pick<Doors, 'sessions' | 'hub'>, key: string): Promise<void> {
  await sessions.end(key);
  hub.endSession(key);
}
