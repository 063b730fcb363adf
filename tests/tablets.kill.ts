import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { pathToFileURL } from 'node:url';
import type { Served } from '../src/job/exchange.ts';
import { rulebook } from './real-rulebook.ts';
import { BuiltServer, type Child } from './server.child.ts';
import { headersOf, json, PIN, type SignedIn, signIn, signUp } from './signed-in.ts';
import { Tablet } from './tablets.ts';

/**
 * Tablets send as fast as they can, the page's own code; the server is killed (SIGKILL) in the middle of it and started
 * again on the same record, over and over. At the end every word is on record once, each tablet's in its order.
 * `npx tsx tests/tablets.kill.ts 50`
 */
export interface Outcome {
  readonly rounds: number;
  readonly said: number;
  /** Taken by a server that was killed before it could say so. */
  readonly unanswered: number;
  readonly lost: readonly string[];
  readonly twice: readonly string[];
  readonly disordered: readonly string[];
}

const TABLETS = 6;
const JOBS = 3;

export async function killRounds(rounds: number, say: (text: string) => void = () => {}): Promise<Outcome> {
  const folder = mkdtempSync(join(tmpdir(), 'lastbolt-tablets-'));
  const built = await BuiltServer.build('tablets-kill');
  try {
    return await new Rounds(built, join(folder, 'data')).run(rounds, say);
  } finally {
    built.clear();
    rmSync(folder, { recursive: true, force: true });
  }
}

class Rounds {
  private child!: Child;
  private who!: SignedIn;
  private tablets: Tablet[] = [];
  /** By tablet and job, the notes of all that was said, in their order. */
  private readonly said = new Map<string, string[]>();
  private unanswered = 0;
  private count = 0;

  constructor(
    private readonly built: BuiltServer,
    private readonly data: string,
  ) {}

  async run(rounds: number, say: (text: string) => void): Promise<Outcome> {
    await this.begin();
    for (let round = 1; round <= rounds; round++) {
      await this.round();
      say(`round ${round}: ${this.count} words said, ${this.unanswered} answers died with the server`);
    }
    await this.calm();
    const outcome = { rounds, said: this.count, unanswered: this.unanswered, ...(await this.found()) };
    await this.child.end('SIGTERM');
    return outcome;
  }

  private async begin(): Promise<void> {
    this.child = await this.built.start(this.data);
    this.who = await signUp(this.child.url, this.child.code ?? '');
    for (let i = 0; i < JOBS; i++) await this.openJob(`K${i}`);
    this.tablets = await Promise.all(
      Array.from({ length: TABLETS }, async (_, i) => {
        const name = `tablet${i}`;
        const person = await this.person(`Hand ${i}`);
        const tablet = new Tablet(
          name,
          (path, init) => this.call(path, init),
          () => new Date(),
          [rulebook],
        );
        tablet.cookie = (await signIn(this.child.url, person)).cookie;
        await tablet.start();
        await tablet.records.sync();
        return tablet;
      }),
    );
  }

  /** Words on all tablets at once; from some moment on there is no server any more. */
  private async round(): Promise<void> {
    const killed = sleep(50 + Math.random() * 400).then(() => this.child.end());
    let over = false;
    void killed.then(() => (over = true));
    const working = this.tablets.map(async (tablet) => {
      while (!over) {
        this.word(tablet);
        await sleep(Math.random() * 30);
      }
    });
    await Promise.all([killed, ...working]);
    const { port } = new URL(this.child.url);
    this.child = await this.built.start(this.data, Number(port));
    // Some tablets are not opened again before they send, some are.
    for (const tablet of this.tablets.filter((_, i) => i % 2 === 0)) {
      tablet.kill(false);
      await tablet.start();
    }
    await Promise.all(this.tablets.map((tablet) => tablet.records.sync()));
  }

  private word(tablet: Tablet): void {
    const ro = `K${this.count % JOBS}`;
    const note = `${tablet.name}-${++this.count}`;
    tablet.records.say(ro, [{ type: 'set-up-left', setup: {}, note }]);
    const key = `${tablet.name}/${ro}`;
    this.said.set(key, [...(this.said.get(key) ?? []), note]);
  }

  private async call(path: string, init: RequestInit = {}): Promise<Response> {
    try {
      return await fetch(this.child.url.replace(/\/$/, '') + path, init);
    } catch (error) {
      if (init.method === 'POST') this.unanswered++;
      throw error;
    }
  }

  private async calm(): Promise<void> {
    for (let i = 0; i < 10 && this.tablets.some(({ records }) => !records.allSent); i++) {
      await Promise.all(this.tablets.map((tablet) => tablet.records.sync()));
      await sleep(50);
    }
  }

  private async found(): Promise<Pick<Outcome, 'lost' | 'twice' | 'disordered'>> {
    const lost: string[] = [];
    const twice: string[] = [];
    const disordered: string[] = [];
    // The session of the beginning may have ended meanwhile.
    this.who = await signIn(this.child.url);
    for (let i = 0; i < JOBS; i++) {
      const answer = await fetch(`${this.child.url}api/records/K${i}`, { headers: headersOf(this.who) });
      const { events } = (await answer.json()) as Served;
      const notes = events.flatMap((event) => (event.type === 'set-up-left' && event.note ? [event.note] : []));
      for (const { name } of this.tablets) {
        const said = this.said.get(`${name}/K${i}`) ?? [];
        const there = notes.filter((note) => note.startsWith(`${name}-`));
        lost.push(...said.filter((note) => !there.includes(note)));
        twice.push(...there.filter((note, at) => there.indexOf(note) !== at));
        if (there.join() !== said.filter((note) => there.includes(note)).join()) disordered.push(`${name}/K${i}`);
      }
    }
    return { lost, twice, disordered };
  }

  private async openJob(ro: string): Promise<void> {
    const by = this.who.session.person.name;
    const command = {
      type: 'opened',
      id: `open${ro}`,
      at: new Date().toISOString(),
      by,
      ro,
      rulebook: rulebook.version,
    };
    const answer = await fetch(
      `${this.child.url}api/records/${ro}`,
      json({ commands: [command] }, headersOf(this.who)),
    );
    if (answer.status !== 200) throw new Error(`${answer.status}: ${await answer.text()}`);
  }

  private async person(name: string): Promise<string> {
    const body = { name, roles: ['technician'], pin: PIN };
    const answer = await fetch(`${this.child.url}api/people`, json(body, headersOf(this.who)));
    if (answer.status !== 200) throw new Error(`${answer.status}: ${await answer.text()}`);
    return ((await answer.json()) as { id: string }).id;
  }
}

if (process.argv[1] && import.meta.url === pathToFileURL(process.argv[1]).href) {
  const { rounds, said, unanswered, lost, twice, disordered } = await killRounds(
    Number(process.argv[2] ?? 50),
    (text) => console.log(text),
  );
  console.log(
    `${rounds} kills, ${said} words said, ${unanswered} calls died with the server, ${lost.length} lost, ${twice.length} twice, ${disordered.length} out of order`,
  );
  process.exitCode = lost.length + twice.length + disordered.length > 0 || said === 0 ? 1 : 0;
}
