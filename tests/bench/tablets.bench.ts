import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { Agent, request } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import type { Command } from '../../src/job/commands.ts';
import type { Answered, Served } from '../../src/job/exchange.ts';
import { append } from '../../src/store/log/append.ts';
import { openSqlite } from '../../src/store/log/open.ts';
import { transact } from '../../src/store/log/transact.ts';
import type { RuleBundle } from '../../src/store/shop/rulebooks.ts';
import { BuiltServer, type Child } from '../server.child.ts';
import { headersOf, json, PIN, type SignedIn, signIn, signUp } from '../signed-in.ts';
import { left, line, opened } from '../store.events.ts';
import type { Row } from './run.ts';

export const name = 'tablets';

const TABLETS = 50;
const JOBS = 10_000;
const AT_ONCE = 1_000;
/** What a technician says in a minute of work with a step under the hand (common practice, no source). */
const EACH_MS = 12_000;
const MINUTES = Number(process.env.MINUTES ?? 3);
const BURST = 10;

/** Fifty tablets listen, write and read what the others wrote, on a record of ten thousand jobs; the server is a process of its own. */
export async function run(): Promise<Row[]> {
  const folder = mkdtempSync(join(tmpdir(), 'lastbolt-bench-'));
  const built = await BuiltServer.build('tablets-bench');
  try {
    const data = join(folder, 'data');
    await seed(data);
    const child = await built.start(data);
    const hall = new Hall(child);
    await hall.fill();
    const memory: number[] = [megabytes(child)];
    for (let minute = 0; minute < MINUTES; minute++) {
      await hall.work(60_000);
      memory.push(megabytes(child));
    }
    const human = hall.taken();
    const began = performance.now();
    await hall.burst();
    const seconds = (performance.now() - began) / 1000;
    const burst = hall.taken();
    await hall.quiet();
    await sleep(5_000);
    memory.push(megabytes(child));
    hall.close();
    await child.end('SIGTERM');
    return [
      ...rows(`one word every ${EACH_MS / 1000} s on each of ${TABLETS}`, human),
      ...rows(`${BURST} words at once on each of ${TABLETS}`, burst),
      { what: 'all of the burst answered after, s', figure: seconds },
      ...memory.map((figure, at) => ({
        what:
          at === 0
            ? 'memory with all tablets in, MB'
            : at > MINUTES
              ? 'memory after the burst, MB'
              : `after minute ${at}`,
        figure,
      })),
    ];
  } finally {
    built.clear();
    rmSync(folder, { recursive: true, force: true });
  }
}

/** Cars of earlier years, gone by now. */
async function seed(data: string): Promise<void> {
  const store = await openSqlite(data);
  const day = Date.UTC(2026, 0, 1);
  for (let from = 0; from < JOBS; from += AT_ONCE)
    await transact(store, async (tx) => {
      for (let i = from; i < from + AT_ONCE; i++) {
        const now = new Date(day + i * 60_000).toISOString();
        await append(tx, `${i}`, 0, [opened(`${i}`), line('e2'), left('e3')], now);
      }
    });
  await store.close();
}

interface Times {
  readonly answered: number[];
  /** On every other tablet, read and all. */
  readonly arrived: number[];
}

class Hall {
  private tablets: Station[] = [];
  private times: Times = { answered: [], arrived: [] };
  /** When each word left, by its id. */
  private readonly left = new Map<string, number>();

  constructor(private readonly child: Child) {}

  async fill(): Promise<void> {
    const who = await signUp(this.child.url, this.child.code ?? '');
    const rules = (await (await fetch(`${this.child.url}api/rules`, { headers: headersOf(who) })).json()) as RuleBundle;
    for (let i = 0; i < TABLETS; i++) {
      const answer = await fetch(
        `${this.child.url}api/people`,
        json({ name: `Hand ${i}`, roles: ['technician'], pin: PIN }, headersOf(who)),
      );
      const { id } = (await answer.json()) as { id: string };
      // No more than thirty PINs a minute are tried from one address: these come from as many as there are tablets.
      const hand = await signIn((path, init) => fetchFrom(i, this.child.url, path, init), id);
      this.tablets.push(new Station(i, this.child.url, hand, (ids) => this.arrived(ids)));
    }
    await Promise.all(this.tablets.map((tablet) => tablet.begin(rules.version)));
    await sleep(1_000);
    this.times = { answered: [], arrived: [] };
  }

  /** At a human pace, each by its own clock. */
  async work(ms: number): Promise<void> {
    const until = performance.now() + ms;
    await Promise.all(
      this.tablets.map(async (tablet) => {
        await sleep(Math.random() * EACH_MS);
        while (performance.now() < until) {
          await this.word(tablet);
          await sleep(EACH_MS * (0.5 + Math.random()));
        }
      }),
    );
  }

  async burst(): Promise<void> {
    await Promise.all(
      this.tablets.map(async (tablet) => {
        for (let i = 0; i < BURST; i++) await this.word(tablet);
      }),
    );
    // What was written last is still on its way to the others.
    for (let i = 0; i < 100 && this.tablets.some(({ busy }) => busy); i++) await sleep(100);
  }

  async quiet(): Promise<void> {
    for (let i = 0; i < 100 && this.tablets.some(({ busy }) => busy); i++) await sleep(100);
  }

  taken(): Times {
    const { times } = this;
    this.times = { answered: [], arrived: [] };
    return times;
  }

  close(): void {
    for (const tablet of this.tablets) tablet.close();
  }

  private async word(tablet: Station): Promise<void> {
    const id = tablet.newId();
    const start = performance.now();
    this.left.set(id, start);
    await tablet.say(id);
    this.times.answered.push(performance.now() - start);
  }

  private arrived(ids: readonly string[]): void {
    for (const id of ids) {
      const start = this.left.get(id);
      if (start !== undefined) this.times.arrived.push(performance.now() - start);
    }
  }
}

/** One tablet as the server sees it: a stream, words on a job of its own, and a look at every job that others wrote on. */
class Station {
  private readonly versions = new Map<string, number>();
  private readonly reading = new Set<string>();
  private readonly again = new Set<string>();
  private count = 0;
  private stream: ReturnType<typeof request> | undefined;

  constructor(
    private readonly number: number,
    private readonly url: string,
    private readonly hand: SignedIn,
    private readonly arrived: (ids: readonly string[]) => void,
  ) {}

  get busy(): boolean {
    return this.reading.size > 0;
  }

  async begin(rulebook: string): Promise<void> {
    await this.listen();
    const at = new Date().toISOString();
    const opening = { type: 'opened', ro: this.ro, rulebook, id: this.newId(), at };
    const work = { type: 'line-added', line: { part: 'windscreen', did: 'replaced' }, id: this.newId(), at };
    await this.send([opening, work]);
  }

  newId(): string {
    return `t${this.number}-${++this.count}`;
  }

  async say(id: string): Promise<void> {
    await this.send([{ type: 'set-up-left', setup: {}, note: `word ${id}`, id, at: new Date().toISOString() }]);
  }

  close(): void {
    this.stream?.destroy();
  }

  private get ro(): string {
    return `B${this.number}`;
  }

  private async send(commands: readonly object[]): Promise<void> {
    const by = this.hand.session.person.name;
    const signed = commands.map((command) => ({ ...command, by })) as Command[];
    const version = { 'x-version': `${this.versions.get(this.ro) ?? 0}` };
    const init = json({ commands: signed }, { ...headersOf(this.hand), ...version });
    const answer = await fetchFrom(this.number, this.url, `/api/records/${this.ro}`, init);
    if (answer.status !== 200) throw new Error(`${answer.status}: ${await answer.text()}`);
    const { outcomes, record } = (await answer.json()) as Answered;
    const refused = outcomes.find(({ is }) => is === 'refused');
    if (refused) throw new Error(`refused: ${JSON.stringify(refused)}`);
    if (record) this.versions.set(this.ro, record.version);
  }

  private listen(): Promise<void> {
    return new Promise((ready, failed) => {
      this.stream = request(
        `${this.url}api/live`,
        { localAddress: addressOf(this.number), headers: headersOf(this.hand), agent: false },
        (answer) => {
          answer.setEncoding('utf8');
          // It is cut off when all is measured.
          answer.on('error', () => undefined);
          answer.on('data', (chunk: string) => {
            if (chunk.includes(': listening')) ready();
            for (const [, text] of chunk.matchAll(/data: (\{.*\})/g)) this.heard(JSON.parse(text as string) as Heard);
          });
        },
      );
      this.stream.on('error', failed);
      this.stream.end();
    });
  }

  private heard({ type, ro, version }: Heard): void {
    if (type !== 'record' || ro === this.ro || (this.versions.get(ro) ?? 0) >= version) return;
    if (this.reading.has(ro)) this.again.add(ro);
    else void this.read(ro);
  }

  private async read(ro: string): Promise<void> {
    this.reading.add(ro);
    const from = this.versions.get(ro) ?? 0;
    const answer = await fetchFrom(this.number, this.url, `/api/records/${ro}?from=${from}`, {
      headers: headersOf(this.hand),
    });
    if (answer.status !== 200) throw new Error(`${answer.status}: ${await answer.text()}`);
    const { version, events } = (await answer.json()) as Served;
    this.versions.set(ro, version);
    this.arrived(events.map(({ id }) => id));
    this.reading.delete(ro);
    if (this.again.delete(ro)) await this.read(ro);
  }
}

interface Heard {
  readonly type: string;
  readonly ro: string;
  readonly version: number;
}

/** Each tablet has an address of its own, as on a shop's network. */
function addressOf(tablet: number): string {
  return `127.0.1.${tablet + 1}`;
}

/** As many connections as a browser has. */
function agentOf(tablet: number): Agent {
  const had = agents.get(tablet);
  if (had) return had;
  const agent = new Agent({ keepAlive: true, maxSockets: 6, localAddress: addressOf(tablet) });
  agents.set(tablet, agent);
  return agent;
}

const agents = new Map<number, Agent>();

function fetchFrom(tablet: number, url: string, path: string, init: RequestInit = {}): Promise<Response> {
  return new Promise((done, failed) => {
    const headers = init.headers as Record<string, string> | undefined;
    const call = request(
      url.replace(/\/$/, '') + path,
      { agent: agentOf(tablet), method: init.method ?? 'GET', headers: headers ?? {} },
      (answer) => {
        const chunks: Buffer[] = [];
        answer.on('data', (chunk: Buffer) => chunks.push(chunk));
        answer.on('end', () => {
          const cookie = answer.headers['set-cookie']?.[0];
          done(
            new Response(Buffer.concat(chunks), {
              status: answer.statusCode ?? 500,
              headers: cookie ? { 'set-cookie': cookie } : {},
            }),
          );
        });
      },
    );
    // A connection that the server just closed for standing idle is no answer: asked again, twice said is taken once.
    call.on('error', (error: NodeJS.ErrnoException) => {
      if (error.code !== 'ECONNRESET' || !call.reusedSocket) failed(error);
      else void fetchFrom(tablet, url, path, init).then(done, failed);
    });
    call.end(init.body as string | undefined);
  });
}

function megabytes({ process: { pid } }: Child): number {
  const status = readFileSync(`/proc/${pid}/status`, 'utf8');
  return Number(/VmRSS:\s+(\d+)/.exec(status)?.[1]) / 1000;
}

function rows(what: string, { answered, arrived }: Times): Row[] {
  if (answered.length === 0 || arrived.length === 0) throw new Error(`${what}: nothing was measured`);
  return [
    { what: `${what}: ${answered.length} words answered, p50 ms`, figure: at(answered, 0.5) },
    { what: 'p95 ms', figure: at(answered, 0.95) },
    { what: `read on the others ${arrived.length} times, p50 ms`, figure: at(arrived, 0.5) },
    { what: 'p95 ms', figure: at(arrived, 0.95) },
  ];
}

function at(all: number[], share: number): number {
  return all.sort((a, b) => a - b)[Math.ceil(all.length * share) - 1] as number;
}
