import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Hono } from 'hono';
import type { Saying } from '../src/job/commands.ts';
import type { Answered } from '../src/job/exchange.ts';
import type { Role } from '../src/job/people.ts';
import { createApp } from '../src/server/app.ts';
import { Calls } from '../src/server/calls.ts';
import type { Doors } from '../src/server/doors.ts';
import { FirstCode } from '../src/server/first-code.ts';
import { Hub } from '../src/server/hub.ts';
import { LIMITS } from '../src/server/limits.ts';
import { readRules } from '../src/server/rule-files.ts';
import { openShop } from '../src/store/open.ts';
import type { RuleBundle } from '../src/store/shop/rulebooks.ts';
import type { Opening, Sqlite } from '../src/store/log/open.ts';
import { headersOf, json, PIN, type SignedIn, signIn } from './signed-in.ts';

export const rules = readRules(fileURLToPath(new URL('../rules', import.meta.url)));

/** A saying, with what a tablet puts to it where that matters. */
export type Told = Saying & { readonly id?: string; readonly at?: string; readonly by?: string };

/** A server without a port, on a database of its own, at a time that a test may set. */
export class TestShop {
  now = new Date('2026-11-25T09:00:00Z');
  private count = 0;

  private constructor(
    readonly folder: string,
    readonly doors: Doors,
    readonly app: Hono,
    /** Of the log. */
    readonly lines: readonly object[],
    /** The database behind the program's back. */
    readonly bare: Sqlite,
  ) {}

  static async open(
    told: Partial<Doors> & { opening?: Opening; folder?: string; rules?: RuleBundle; at?: Date } = {},
  ): Promise<TestShop> {
    const folder = told.folder ?? mkdtempSync(join(tmpdir(), 'lastbolt-server-'));
    mkdirSync(join(folder, 'page/assets'), { recursive: true });
    writeFileSync(join(folder, 'page/index.html'), '<!doctype html><title>page</title>');
    writeFileSync(join(folder, 'page/assets/index-abc.js'), 'export {};');
    const { opening, folder: _, rules: others, at, ...given } = told;
    const clock = { now: () => at ?? new Date('2026-11-25T09:00:00Z') };
    let bare: Sqlite | undefined;
    const onOpen = (file: Sqlite) => {
      bare = file;
      opening?.onOpen?.(file);
    };
    const kept = await openShop(join(folder, 'data'), others ?? rules, { ...opening, onOpen, now: () => clock.now() });
    const lines: object[] = [];
    const doors: Doors = {
      ...kept,
      hub: new Hub(),
      calls: new Calls(),
      first: new FirstCode(),
      now: () => clock.now(),
      page: join(folder, 'page'),
      hosts: ['localhost'],
      limits: LIMITS,
      secure: false,
      tell: (line) => lines.push(line),
      ...given,
    };
    const shop = new TestShop(folder, doors, createApp(doors), lines, bare as Sqlite);
    shop.now = clock.now();
    clock.now = () => shop.now;
    return shop;
  }

  readonly send = (path: string, init?: RequestInit): Response | Promise<Response> => this.app.request(path, init);

  /** Somebody who works here from now on, signed in. */
  async person(name: string, ...roles: Role[]): Promise<SignedIn> {
    const { id } = await this.doors.people.add({ name, roles, pin: PIN });
    return signIn(this.send, id);
  }

  /** Says things of one job, each a command with an id and the time of its own. */
  async say(who: SignedIn, ro: string, sayings: readonly Told[], had?: number): Promise<Response> {
    const commands = sayings.map((saying) => ({
      id: `c${++this.count}`,
      at: this.now.toISOString(),
      by: who.session.person.name,
      ...saying,
    }));
    const version = had === undefined ? {} : { 'x-version': String(had) };
    return this.send(`/api/records/${encodeURIComponent(ro)}`, json({ commands }, { ...headersOf(who), ...version }));
  }

  /** The same, where it is an answer that is wanted. */
  async said(who: SignedIn, ro: string, ...sayings: readonly Told[]): Promise<Answered> {
    const answer = await this.say(who, ro, sayings);
    const body = (await answer.json()) as Answered;
    if (answer.status !== 200) throw new Error(`${answer.status}: ${JSON.stringify(body)}`);
    return body;
  }

  opened(ro: string): Saying<'opened'> {
    return { type: 'opened', ro, rulebook: rules.version, units: 'metric' };
  }

  rows(table: string): Promise<Record<string, unknown>[]> {
    return Promise.resolve(this.bare.prepare(`select * from ${table}`).all() as Record<string, unknown>[]);
  }

  later(minutes: number): void {
    this.now = new Date(this.now.getTime() + minutes * 60_000);
  }

  async close(): Promise<void> {
    await this.doors.close();
    rmSync(this.folder, { recursive: true, force: true });
  }
}
