import { getConnInfo } from '@hono/node-server/conninfo';
import type { Context, Hono } from 'hono';
import { bodyLimit } from 'hono/body-limit';
import { getCookie } from 'hono/cookie';
import type { z } from 'zod';
import { type Fault, printFault } from '../rulebook/fault.ts';
import { parseJson, shaped } from '../rulebook/read.ts';
import { tokenOf } from '../store/shop/sessions.ts';
import type { Doors } from './doors.ts';
import { Meter } from './limits.ts';
import { No } from './refusal.ts';
import { type Call, type Caller, changes, type Route } from './route.ts';

declare module 'hono' {
  interface ContextVariableMap {
    /** Method and path as in the table of routes. */
    route: string;
  }
}

export const COOKIE = 'lastbolt';

/** Sets up one route: who may call it is settled before a byte of its body is read. */
export function mount(app: Hono, route: Route, guard: Guard): void {
  const path = route.path.replaceAll(/\{(\w+)\}/g, ':$1');
  const most = route.body?.most ?? 0;
  const limit = bodyLimit({ maxSize: most, onError: () => tooLong(most) });
  app.on([route.method.toUpperCase()], [path], limit, async (c) => {
    c.set('route', `${route.method.toUpperCase()} ${route.path}`);
    const call = await guard.let(c, route);
    const done = await route.does(call);
    if (changes(route) && call.caller && !route.noTouch) await guard.touched(call.caller);
    return done instanceof Response ? done : c.json(done);
  });
}

/** Lets a call in, or throws No. */
export class Guard {
  private readonly persons: Meter;
  private readonly tries: Meter;

  constructor(private readonly doors: Doors) {
    this.persons = new Meter(doors.limits.person, doors.now);
    this.tries = new Meter(doors.limits.door, doors.now);
  }

  async let(c: Context, route: Route): Promise<Call> {
    const caller = await this.callerOf(c);
    if (changes(route)) mustBeFromHere(c);
    if (route.who === 'anyone') {
      if (route.method === 'post') this.tries.count(addressOf(c, this.doors.proxies));
    } else await this.mustMay(c, route, caller);
    return {
      c,
      caller,
      param: (name) => paramOf(c, name),
      query: route.query && told('query', c.req.query(), route.query),
      headers: route.headers && told('headers', headersOf(c, route.headers), route.headers),
      body: await bodyOf(c, route),
    };
  }

  async touched({ session }: Caller): Promise<void> {
    await this.doors.sessions.touch(session.key);
  }

  /** Undefined without a session, or where it has locked. */
  async callerOf(c: Context): Promise<Caller | undefined> {
    const id = getCookie(c, COOKIE);
    if (!id || id.length > 200) return undefined;
    const { shop } = await this.doors.settings.get();
    const session = await this.doors.sessions.of(id, shop['lock-minutes']);
    const person = session && (await this.doors.people.get(session.person));
    return session && person && !person.gone ? { session, person } : undefined;
  }

  private async mustMay(c: Context, route: Route, caller: Caller | undefined): Promise<void> {
    if (!caller) throw new No(401, 'nobody is signed in on this tablet, or it has locked: sign in');
    if (changes(route)) {
      if (c.req.header('x-token') !== tokenOf(getCookie(c, COOKIE) ?? ''))
        throw new No(403, 'the header x-token is not that of this session: sign in again');
      this.persons.count(caller.person.id);
    }
    const { who } = route;
    if (who === 'signed-in' || who === 'anyone') return;
    const { name, roles } = caller.person;
    if (!who.some((role) => roles.includes(role)))
      throw new No(403, `${name} is ${roles.join(' and ')}: this is for a ${who.join(' or ')}`);
  }
}

/** A page elsewhere can send to here; a browser then names that page. */
function mustBeFromHere(c: Context): void {
  const origin = c.req.header('origin');
  const from = c.req.header('sec-fetch-site');
  const foreign = origin !== undefined && hostOf(origin) !== hostAsked(c);
  if (foreign || (from !== undefined && from !== 'same-origin' && from !== 'none'))
    throw new No(403, 'this was sent by a page of another address: changes are made from this server’s own page only');
}

/** Name and port that a call was made to, in small letters. */
export function hostAsked(c: Context): string {
  return (c.req.header('host') ?? new URL(c.req.url).host).toLowerCase();
}

function hostOf(origin: string): string | undefined {
  try {
    return new URL(origin).host;
  } catch {
    return undefined;
  }
}

/** Without the port. */
export function hostNameAsked(c: Context): string {
  return hostAsked(c)
    .replace(/:\d+$/, '')
    .replace(/^\[(.*)\]$/, '$1');
}

/** Where a call came from; behind a proxy, what the nearest to us that is none of ours was told to be. */
export function addressOf(c: Context, proxies?: Doors['proxies']): string {
  const told = (c.req.header('x-forwarded-for') ?? '').split(',').map((one) => plain(one.trim()));
  let address = peerOf(c);
  while (proxies?.(address) && told.length > 0) address = told.pop() || address;
  return address;
}

function peerOf(c: Context): string {
  try {
    return plain(getConnInfo(c).remote.address ?? 'unknown');
  } catch {
    // Called without a connection, as tests do.
    return 'none';
  }
}

/** Where both versions are listened to, an address of version 4 comes as one of version 6. */
function plain(address: string): string {
  return address.replace(/^::ffff:(?=\d+\.)/i, '');
}

function paramOf(c: Context, name: string): string {
  const value = c.req.param(name);
  if (value === undefined || value.length > 200) throw new No(404, `there is nothing of this name`);
  return value;
}

function headersOf(c: Context, shape: z.ZodObject): Record<string, string | undefined> {
  return Object.fromEntries(Object.keys(shape.shape).map((name) => [name, c.req.header(name)]));
}

async function bodyOf(c: Context, { body }: Route): Promise<unknown> {
  if (!body) return undefined;
  const type = c.req.header('content-type')?.split(';')[0]?.trim().toLowerCase() ?? '';
  if ('types' in body) {
    if (!body.types.includes(type))
      throw new No(415, `this is sent as ${body.types.join(', ')}, not as ${type || 'nothing'}`);
    return new Uint8Array(await c.req.arrayBuffer());
  }
  // A form on another site can send text, but never this type without asking first.
  if (type !== 'application/json') throw new No(415, `a ${body.name} is sent as application/json`);
  const faults: Fault[] = [];
  const value = parseJson(body.name, utf8(await c.req.arrayBuffer(), body.name), faults);
  if (faults.length > 0) throw new No(400, faults.map(printFault).join('\n'));
  return told(body.name, value, body.shape);
}

function utf8(bytes: ArrayBuffer, name: string): string {
  try {
    return new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(bytes);
  } catch {
    throw new No(400, `${name}: is not UTF-8`);
  }
}

function told(name: string, value: unknown, shape: z.ZodType): unknown {
  const faults: Fault[] = [];
  const read = shaped(name, value, false, shape, faults);
  if (faults.length > 0) throw new No(422, faults.map(printFault).join('\n'));
  return read;
}

function tooLong(most: number): never {
  throw new No(413, `this holds at most ${most} bytes`);
}
