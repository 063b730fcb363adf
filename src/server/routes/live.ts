import type { Context } from 'hono';
import { type SSEStreamingApi, streamSSE } from 'hono/streaming';
import { z } from 'zod';
import { Here, type Live } from '../../job/exchange.ts';
import type { Doors } from '../doors.ts';
import { No } from '../refusal.ts';
import { type Caller, type Route, route } from '../route.ts';

/** Proxies and browsers give up a line on which nothing comes; a locked session is found as soon. */
const KEEP_ALIVE_MS = 15_000;
/** A tablet that takes nothing in is told no more: it reads anew when it comes back. */
const MOST_WAITING = 1000;

/** What has changed, at once. */
export function liveRoutes(doors: Doors): Route[] {
  return [
    route({
      method: 'get',
      path: '/api/live',
      about: 'Server-sent events, one `Live` each; `event: ended` where the session is over.',
      who: 'signed-in',
      answer: ['text/event-stream'],
      does: async ({ c, caller }) => stream(c, caller, doors),
    }),
    route({
      method: 'post',
      path: '/api/here',
      about: 'Where somebody’s hands are; an empty step: nowhere any more.',
      who: 'signed-in',
      noTouch: true,
      body: { name: 'here', shape: Here, most: 4_000 },
      answer: z.strictObject({ told: z.literal(true) }),
      does: async ({ body, caller }) => {
        const { ro, step } = body;
        const { person, session } = caller;
        doors.hub.tell({ type: 'here', ro, step, person: person.name, gone: step === '' }, session.key);
        return { told: true };
      },
    }),
  ];
}

function stream(c: Context, { session }: Caller, { hub, sessions, settings }: Doors): Response {
  const waiting: Live[] = [];
  let wake = () => {};
  let over = false;
  const listener = {
    session: session.key,
    hear: (message: Live) => {
      if (waiting.push(message) > MOST_WAITING) listener.end();
      wake();
    },
    end: () => {
      over = true;
      hub.leave(listener);
      wake();
    },
  };
  if (!hub.join(listener)) throw new No(503, 'too many tablets listen at once');
  return streamSSE(c, async (out) => {
    out.onAbort(listener.end);
    try {
      await out.write(': listening\n\n');
      while (!over) {
        const woken = await slept(
          (go) => (wake = go),
          () => waiting.length > 0 || over,
        );
        const { shop } = await settings.get();
        // Looked at before anything is told: a locked tablet hears no more.
        if (!(await sessions.byKey(session.key, shop['lock-minutes']))) break;
        await tell(out, waiting);
        if (!woken) await out.write(': still here\n\n');
      }
      if (!out.aborted) await out.writeSSE({ event: 'ended', data: '' });
    } finally {
      hub.leave(listener);
    }
  });
}

async function tell(out: SSEStreamingApi, waiting: Live[]): Promise<void> {
  for (const message of waiting.splice(0)) await out.writeSSE({ data: JSON.stringify(message) });
}

/** Until woken, which gives true, or until the next sign of life is due. */
function slept(wakeBy: (go: () => void) => void, ready: () => boolean): Promise<boolean> {
  return new Promise((done) => {
    if (ready()) return done(true);
    const timer = setTimeout(() => done(false), KEEP_ALIVE_MS);
    wakeBy(() => {
      clearTimeout(timer);
      done(true);
    });
  });
}
