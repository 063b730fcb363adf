import type { Context } from 'hono';
import { HTTPException } from 'hono/http-exception';
import type { ContentfulStatusCode } from 'hono/utils/http-status';
import { Overtaken as LogOvertaken, Refused, Tampered, Unavailable } from '../store/log/contract.ts';
import { OnRecord, Overtaken } from '../store/jobs.ts';
import { LockedOut } from '../store/shop/people.ts';

/** The server will not do this, and says why in a sentence. */
export class No extends Error {
  constructor(
    readonly status: ContentfulStatusCode,
    message: string,
    readonly headers: Readonly<Record<string, string>> = {},
  ) {
    super(message);
  }
}

/** Whatever was thrown, as an answer: always a sentence under `error`, never what the program says of itself. */
export function answerTo(error: unknown, c: Context, tell: (error: unknown) => void): Response {
  if (error instanceof No) return c.json({ error: error.message }, error.status, { ...error.headers });
  if (error instanceof Overtaken) return c.json({ error: error.message, current: error.current }, 409);
  if (error instanceof OnRecord) return c.json({ error: error.message, onRecord: true }, 409);
  if (error instanceof LockedOut)
    return c.json({ error: error.message, until: error.until }, 423, { 'retry-after': String(error.seconds) });
  if (error instanceof Refused) return c.json({ error: error.message }, 422);
  if (error instanceof Tampered || error instanceof LogOvertaken) return c.json({ error: error.message }, 409);
  if (error instanceof Unavailable) {
    tell(error);
    return c.json({ error: error.message }, 503);
  }
  if (error instanceof HTTPException) return c.json({ error: error.message }, error.status);
  tell(error);
  return c.json({ error: 'the server failed at this; its log says where' }, 500);
}
