import type { Context } from 'hono';
import type { z } from 'zod';
import type { Person, Role } from '../job/people.ts';
import type { Signed } from '../store/shop/sessions.ts';

/** Whoever a call comes from. */
export interface Caller {
  readonly person: Person;
  readonly session: Signed;
}

/** One call on the server. The table of them (routes.ts) is what is served, described in OpenAPI and attacked by the tests. */
export interface Route {
  readonly method: 'get' | 'post' | 'put' | 'patch' | 'delete';
  /** As in OpenAPI: parameters in braces. */
  readonly path: string;
  readonly about: string;
  /** `anyone`: without a session. Roles: at least one of them. */
  readonly who: 'anyone' | 'signed-in' | readonly Role[];
  readonly query?: z.ZodObject;
  readonly headers?: z.ZodObject;
  readonly body?: JsonBody | BytesBody;
  /** What comes back with 200; a list of media types where it is no JSON. */
  readonly answer: z.ZodType | readonly string[];
  /** Statuses that this call alone has, beside those of every call. */
  readonly refusals?: Readonly<Record<number, string>>;
  /** A change that is none of a person's doing: it does not keep their session from locking. */
  readonly noTouch?: boolean;
  readonly does: (call: Call) => Promise<object | Response>;
}

interface JsonBody {
  readonly shape: z.ZodType;
  /** What it is called in a refusal. */
  readonly name: string;
  readonly most: number;
}

interface BytesBody {
  readonly types: readonly string[];
  readonly most: number;
}

export interface Call {
  readonly c: Context;
  readonly param: (name: string) => string;
  readonly query: unknown;
  readonly headers: unknown;
  readonly body: unknown;
  readonly caller: Caller | undefined;
}

type Out<S> = S extends z.ZodType ? z.output<S> : undefined;
type ShapeOf<B> = B extends JsonBody ? B['shape'] : undefined;

interface Typed<Q, H, B, W> extends Omit<Call, 'query' | 'headers' | 'body' | 'caller'> {
  readonly query: Out<Q>;
  readonly headers: Out<H>;
  readonly body: B extends BytesBody ? Uint8Array : Out<ShapeOf<B>>;
  readonly caller: W extends 'anyone' ? Caller | undefined : Caller;
}

/** A route whose handler sees what its shapes promise. */
export function route<
  const W extends Route['who'],
  Q extends z.ZodObject | undefined = undefined,
  H extends z.ZodObject | undefined = undefined,
  B extends JsonBody | BytesBody | undefined = undefined,
>(
  told: Omit<Route, 'who' | 'query' | 'headers' | 'body' | 'does'> & {
    readonly who: W;
    readonly query?: Q;
    readonly headers?: H;
    readonly body?: B;
    readonly does: (call: Typed<Q, H, B, W>) => Promise<object | Response>;
  },
): Route {
  return told as unknown as Route;
}

export function changes({ method }: Pick<Route, 'method'>): boolean {
  return method !== 'get';
}

/** Parameters of a path in braces, in order. */
export function paramsOf(path: string): string[] {
  return [...path.matchAll(/\{(\w+)\}/g)].map(([, name]) => name as string);
}
