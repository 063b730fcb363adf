import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Answered, Served } from '../src/job/exchange.ts';
import { noPostgres, type Postgres, startPostgres } from './postgres.ts';
import { type Child, startChild } from './server.child-process.ts';
import { rules } from './server.shop.ts';
import { headersOf, json, PIN, type SignedIn, signIn, signUp } from './signed-in.ts';

/** What came down a stream so far, and a wait for more. */
class Ears {
  heard = '';
  over = false;

  constructor(stream: Response) {
    void this.listen(stream.body as ReadableStream<Uint8Array>);
  }

  async until(what: string | RegExp): Promise<void> {
    const there = () => (typeof what === 'string' ? this.heard.includes(what) : what.test(this.heard));
    for (let left = 400; left > 0 && !there(); left--) await new Promise((done) => setTimeout(done, 50));
    expect(this.heard).toMatch(what);
  }

  private async listen(body: ReadableStream<Uint8Array>): Promise<void> {
    const text = new TextDecoder();
    try {
      for await (const chunk of body) this.heard += text.decode(chunk, { stream: true });
    } catch {
      // The server behind it was killed.
    }
    this.over = true;
  }
}

describe.skipIf(noPostgres)('two servers on one database', () => {
  let postgres: Postgres;
  let folder: string;
  let [one, two]: Child[] = [];
  let who: SignedIn;

  const start = () =>
    startChild({ port: 0, data: join(folder, 'data'), page: join(folder, 'page'), database: postgres.url });
  const first = () => one as Child;
  const second = () => two as Child;

  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'lastbolt-several-'));
    mkdirSync(join(folder, 'page'));
    writeFileSync(join(folder, 'page/index.html'), '<!doctype html>');
    postgres = await startPostgres();
    [one, two] = await Promise.all([start(), start()]);
  }, 180_000);
  afterAll(async () => {
    await Promise.all([one?.end('SIGKILL'), two?.end('SIGKILL')]);
    await postgres.stop();
    rmSync(folder, { recursive: true, force: true });
  });

  let sent = 0;
  const said = (ro: string, ...tell: object[]) => {
    const by = who.session.person.name;
    const commands = tell.map((told) => ({ id: `c${++sent}`, at: new Date().toISOString(), by, ...told }));
    return { path: `api/records/${ro}`, init: json({ commands }, headersOf(who)) };
  };
  const opened = (ro: string) => ({ type: 'opened', ro, rulebook: rules.version, units: 'metric' });
  async function say(child: Child, ro: string, ...tell: object[]): Promise<Answered> {
    const { path, init } = said(ro, ...tell);
    const answer = await fetch(child.url + path, init);
    const body = (await answer.json()) as Answered;
    expect([answer.status, body.outcomes.map(({ is }) => is)]).toEqual([200, tell.map(() => 'taken')]);
    return body;
  }
  const listen = async (child: Child, as = who) => {
    const ears = new Ears(await fetch(`${child.url}api/live`, { headers: headersOf(as) }));
    await ears.until('listening');
    return ears;
  };

  test('have one code at the door, whichever printed it', async () => {
    expect(first().firstCode).toMatch(/^[A-HJ-NP-Z2-9]{8}$/);
    expect(second().firstCode).toBe(first().firstCode);
    who = await signUp(second().url, first().firstCode ?? '');
    const again = json({ code: first().firstCode, name: 'Y', pin: PIN, shop: 'Y' });
    expect((await fetch(`${first().url}api/first`, again)).status).toBe(403);
  });

  test('serve one tablet in turn, call by call, without being told which', async () => {
    const children = [first(), second()];
    const turn = (i: number) => children[i % 2] as Child;
    await say(turn(0), 'turn', opened('turn'));
    for (let i = 1; i < 9; i++)
      await say(turn(i), 'turn', { type: 'line-added', line: { part: 'windscreen', did: 'replaced', note: `${i}` } });
    const photo = new Uint8Array(Buffer.from('\x89PNG\r\n\x1a\nx', 'latin1'));
    const headers = { ...headersOf(who), 'content-type': 'image/png' };
    const put = await fetch(`${turn(0).url}api/photos`, { method: 'POST', headers, body: photo });
    const { hash } = (await put.json()) as { hash: string };
    expect((await fetch(`${turn(1).url}api/photos/${hash}`, { headers })).status).toBe(200);
    const read = async (child: Child) =>
      (await (await fetch(`${child.url}api/records/turn`, { headers: headersOf(who) })).json()) as Served;
    const [here, there] = [await read(turn(0)), await read(turn(1))];
    expect([here.version, here]).toEqual([9, there]);
  });

  test('tell their tablets what was said on the other: jobs, drafts, and where somebody’s hands are', async () => {
    const ears = await listen(second());
    await say(first(), 'across', opened('across'));
    await ears.until('"type":"record","ro":"across"');
    await fetch(`${first().url}api/jobs/draft-1`, json({ ro: 'draft-1', work: [] }, headersOf(who), 'PUT'));
    await ears.until('"type":"draft","ro":"draft-1"');
    await fetch(`${first().url}api/here`, json({ ro: 'across', step: 'clear-codes' }, headersOf(who)));
    await ears.until(/"type":"here","ro":"across","step":"clear-codes","person":"Ona Brandt","gone":false/);
  });

  test('end a session wherever it listens, whichever was told', async () => {
    const ona = who;
    const added = await fetch(
      `${first().url}api/people`,
      json({ name: 'Tess', roles: ['technician'], pin: '1357' }, headersOf(who)),
    );
    const { id } = (await added.json()) as { id: string };
    const tess = await signIn(first().url, id, '1357');
    const ears = await listen(second(), tess);
    await fetch(`${first().url}api/people/${id}`, json({ pin: '7531' }, headersOf(ona), 'PATCH'));
    await ears.until('event: ended');
    for (const child of [first(), second()])
      expect((await fetch(`${child.url}api/session`, { headers: headersOf(tess) })).status).toBe(401);
  });

  test('take each word once, though many are said on both at the same moment', async () => {
    await say(first(), 'race', opened('race'));
    const all = Array.from({ length: 12 }, (_, i) => i);
    const line = (i: number) => ({ type: 'line-added', line: { part: 'windscreen', did: 'replaced', note: `n${i}` } });
    const answers = await Promise.all(
      all.map(async (i) => {
        const { path, init } = said('race', line(i));
        // The same word to both, as a tablet does that never got an answer.
        const both = await Promise.all([first(), second()].map((child) => fetch(child.url + path, init)));
        return both.map(({ status }) => status);
      }),
    );
    // 503: others wrote to this job all the time; it is sent again.
    expect(new Set(answers.flat())).toEqual(new Set(answers.flat().includes(503) ? [200, 503] : [200]));
    const read = await fetch(`${second().url}api/records/race`, { headers: headersOf(who) });
    const notes = ((await read.json()) as Served).events.flatMap((event) =>
      'line' in event && typeof event.line === 'object' ? [event.line.note] : [],
    );
    expect(new Set(notes).size).toBe(notes.length);
    const taken = all.filter((i) => answers[i]?.includes(200));
    expect(new Set(notes)).toEqual(new Set(taken.map((i) => `n${i}`)));
  });

  test('go on when one of them is killed, and its tablets find everything on the other', async () => {
    const ears = await listen(second());
    await say(first(), 'killed', opened('killed'));
    await ears.until('"ro":"killed"');
    await first().end('SIGKILL');
    await expect(fetch(`${first().url}api/health`)).rejects.toThrow();
    const done = await say(second(), 'killed', { type: 'line-added', line: { part: 'windscreen', did: 'replaced' } });
    expect([done.record?.version, ears.over]).toEqual([2, false]);
    await ears.until(/"ro":"killed","version":2/);
    one = await start();
    await say(first(), 'killed', { type: 'line-added', line: { part: 'battery-12v', did: 'replaced' } });
    await ears.until(/"ro":"killed","version":3/);
    expect([first().firstCode, await second().end('SIGTERM'), ears.heard.includes('event: ended')]).toEqual([
      undefined,
      0,
      true,
    ]);
    await say(first(), 'killed', { type: 'work-done' });
  });
});
