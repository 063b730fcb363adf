import { expect } from 'vitest';
import type { Door, Session } from '../src/job/exchange.ts';

/** Somebody signed in, as a script or a browser needs it. */
export interface SignedIn {
  /** For the header `cookie`. */
  readonly cookie: string;
  /** For the header `x-token`. */
  readonly token: string;
  readonly session: Session;
}

export const PIN = '2468';

type Send = (path: string, init?: RequestInit) => Response | Promise<Response>;

/** Signs in over http, or through `app.request`; the foreman who comes first, and the PIN of invented shops, when left out. */
export async function signIn(to: string | Send, person?: string, pin: string = PIN): Promise<SignedIn> {
  const send = sender(to);
  return signed(await send('/api/session', json({ person: person ?? (await foreman(send)), pin })));
}

/** Makes the first foreman of a shop in which nobody works. */
export async function signUp(to: string | Send, code: string, name = 'Ona Brandt'): Promise<SignedIn> {
  return signed(await sender(to)('/api/first', json({ code, name, pin: PIN, shop: 'Shop of a test' })));
}

/** For `context.addCookies` of a browser. */
export function cookies(
  { cookie }: SignedIn,
  base: string,
): { name: string; value: string; domain: string; path: string; httpOnly: true; sameSite: 'Strict' }[] {
  const [name, value] = cookie.split('=') as [string, string];
  // As the server sets it: of another path it would stand beside the next one.
  return [{ name, value, domain: new URL(base).hostname, path: '/api', httpOnly: true, sameSite: 'Strict' }];
}

/** Headers of a change. */
export function headersOf({ cookie, token }: SignedIn): Record<string, string> {
  return { cookie, 'x-token': token };
}

export function json(body: unknown, headers: Record<string, string> = {}, method = 'POST'): RequestInit {
  return { method, headers: { 'content-type': 'application/json', ...headers }, body: JSON.stringify(body) };
}

function sender(to: string | Send): Send {
  if (typeof to !== 'string') return to;
  return (path, init) => fetch(to.replace(/\/$/, '') + path, init);
}

async function foreman(send: Send): Promise<string> {
  const { people } = (await (await send('/api/door')).json()) as Door;
  const found = people.find((one) => one.roles.includes('foreman'));
  if (!found) throw new Error('there is no foreman to sign in');
  return found.id;
}

async function signed(answer: Response): Promise<SignedIn> {
  const body = (await answer.json()) as Session;
  expect([answer.status, body]).toMatchObject([200, { person: {} }]);
  const cookie = /^lastbolt=[^;]+/.exec(answer.headers.get('set-cookie') ?? '')?.[0];
  if (!cookie) throw new Error('the answer to a sign-in sets no cookie');
  return { cookie, token: body.token, session: body };
}
