import { createHash } from 'node:crypto';
import { setTimeout as pause } from 'node:timers/promises';

/** As many of the server's answers as a drill needs. */
interface Record_ {
  readonly ro: string;
  readonly version: number;
  readonly hash: string;
  readonly events: readonly { readonly id: string; readonly type: string; readonly rulebook?: string }[];
}

interface Outcome {
  readonly is: 'taken' | 'refused';
  readonly id: string;
  readonly refused?: readonly string[];
}

export interface Said {
  readonly ro: string;
  readonly id: string;
  readonly command: object;
}

export const PIN = '2468';
const FOREMAN = 'Ona Brandt';

/** Makes the first foreman of a shop in which nobody works. */
export async function signUp(url: string, code: string | undefined): Promise<void> {
  const answer = await post(`${url}api/first`, { code, name: FOREMAN, pin: PIN, shop: 'Shop of a drill' });
  if (answer.status !== 200) throw new Error(`no foreman: ${await answer.text()}`);
}

/**
 * Somebody with a tablet: what is said waits in its queue until the server has answered for it, and is sent again as
 * often as it takes, as the page does.
 */
export class Tablet {
  readonly queue: Said[] = [];
  /** What the server said it has. */
  readonly acknowledged: Said[] = [];
  readonly refused: { readonly said: Said; readonly because: string }[] = [];
  private count = 0;
  private session: { readonly cookie: string; readonly token: string } | undefined;

  constructor(
    readonly name: string,
    private url: string,
  ) {}

  /** Finds the server, perhaps another one than before, and signs in. */
  async signIn(url = this.url): Promise<void> {
    this.url = url;
    const { people } = (await (await fetch(`${url}api/door`)).json()) as { people: { id: string; name: string }[] };
    const person = people.find(({ name }) => name === FOREMAN)?.id;
    const answer = await post(`${url}api/session`, { person, pin: PIN });
    const cookie = /^lastbolt=[^;]+/.exec(answer.headers.get('set-cookie') ?? '')?.[0];
    const { token } = (await answer.json()) as { token?: string };
    if (!cookie || token === undefined) throw new Error(`no sign-in: ${answer.status}`);
    this.session = { cookie, token };
  }

  /** Says something; it is sent with the next `send`. */
  say(ro: string, saying: { readonly type: string } & Readonly<Record<string, unknown>>): Said {
    const id = `${this.name}-${++this.count}${saying.type === 'opened' ? '-o' : ''}`;
    const said = { ro, id, command: { id, at: new Date().toISOString(), by: FOREMAN, ...saying } };
    this.queue.push(said);
    return said;
  }

  open(ro: string, rulebook: string): Said {
    return this.say(ro, { type: 'opened', ro, rulebook, units: 'metric' });
  }

  line(ro: string, part = 'windscreen'): Said {
    return this.say(ro, { type: 'line-added', line: { part, did: 'replaced', note: `said as number ${this.count}` } });
  }

  /** Sends what waits, job by job; false where the server did not answer. */
  async send(): Promise<boolean> {
    for (const ro of new Set(this.queue.map((said) => said.ro))) {
      const sent = this.queue.filter((said) => said.ro === ro).slice(0, 50);
      const outcomes = await this.sent(ro, sent);
      if (!outcomes) return false;
      for (const outcome of outcomes) this.settle(outcome);
    }
    return this.queue.length === 0 || this.send();
  }

  /** The same words once more, as after an answer that was lost on its way; gives what became of each. */
  async again(said: readonly Said[]): Promise<readonly Outcome[]> {
    const all: Outcome[] = [];
    for (const ro of new Set(said.map((one) => one.ro)))
      all.push(...((await this.sent(ro, said.filter((one) => one.ro === ro).slice(0, 200))) ?? []));
    return all;
  }

  async record(ro: string): Promise<Record_ | undefined> {
    const answer = await fetch(`${this.url}api/records/${encodeURIComponent(ro)}`, { headers: this.headers() });
    if (answer.status === 404) return undefined;
    if (answer.status !== 200) throw new Error(`job ${ro}: ${answer.status} ${await answer.text()}`);
    return (await answer.json()) as Record_;
  }

  async get(path: string): Promise<Response> {
    return fetch(`${this.url}${path}`, { headers: this.headers() });
  }

  private settle({ is, id, refused = [] }: Outcome): void {
    const at = this.queue.findIndex((said) => said.id === id);
    const [said] = this.queue.splice(at, 1);
    if (!said) throw new Error(`an answer to ${id}, which was not sent`);
    if (is === 'taken') this.acknowledged.push(said);
    else this.refused.push({ said, because: refused.join(' ') });
  }

  private async sent(ro: string, said: readonly Said[]): Promise<readonly Outcome[] | undefined> {
    try {
      const commands = said.map((one) => one.command);
      const answer = await post(`${this.url}api/records/${encodeURIComponent(ro)}`, { commands }, this.headers());
      if (answer.status === 429) {
        // Too much at once: the server says when it takes more.
        await pause(Number(answer.headers.get('retry-after') ?? 1) * 1000);
        return await this.sent(ro, said);
      }
      if (answer.status === 503) return undefined;
      const body = (await answer.json()) as { outcomes?: Outcome[]; error?: string };
      if (!body.outcomes) throw new No(`job ${ro}: ${answer.status} ${body.error}`);
      return body.outcomes;
    } catch (error) {
      if (error instanceof No) throw error;
      return undefined;
    }
  }

  private headers(): Record<string, string> {
    if (!this.session) throw new Error(`${this.name} is not signed in`);
    return { cookie: this.session.cookie, 'x-token': this.session.token };
  }
}

class No extends Error {}

/** Of what was acknowledged, what a server does not have. */
export async function missing(tablet: Tablet, said: readonly Said[]): Promise<string[]> {
  const lost: string[] = [];
  for (const ro of new Set(said.map((one) => one.ro))) {
    const ids = new Set((await tablet.record(ro))?.events.map(({ id }) => id));
    lost.push(...said.filter((one) => one.ro === ro && !ids.has(one.id)).map(({ id }) => `${ro}/${id}`));
  }
  return lost;
}

/** One figure for all that stands in some jobs. */
export async function ends(tablet: Tablet, ros: readonly string[]): Promise<string> {
  const hash = createHash('sha256');
  for (const ro of [...ros].sort()) hash.update(`${ro} ${(await tablet.record(ro))?.hash}\n`);
  return hash.digest('hex');
}

function post(url: string, body: object, headers: Record<string, string> = {}): Promise<Response> {
  return fetch(url, {
    method: 'POST',
    headers: { 'content-type': 'application/json', ...headers },
    body: JSON.stringify(body),
  });
}
