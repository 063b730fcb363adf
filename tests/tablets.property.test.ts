import { existsSync, mkdtempSync } from 'node:fs';
import fc from 'fast-check';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { NotTaken } from '../src/app/not-taken.ts';
import type { Saying } from '../src/job/commands.ts';
import type { JobEvent } from '../src/job/events.ts';
import { fold } from '../src/job/evolve.ts';
import { NOTHING_LEFT } from '../src/job/final-check.ts';
import { gate } from '../src/job/gate.ts';
import type { Role } from '../src/job/people.ts';
import { jobRuleFiles, rules } from './job.rulebook.ts';
import { TestShop } from './server.shop.ts';
import { type SignedIn, signIn } from './signed-in.ts';
import { settle, Tablet } from './tablets.ts';

/**
 * Two tablets and a server, whatever happens between them: what somebody said is on record once, or he is told why not,
 * or it waits for him; nothing else. The model knows only who said what where, and in which order.
 */

const RUNS = Number(process.env.RUNS ?? 500);
const PEOPLE: readonly (readonly [string, Role])[] = [
  ['Ana', 'technician'],
  ['Ben', 'technician'],
  ['Cleo', 'foreman'],
];
const HOUR = 3_600_000;
const MORNING = new Date('2026-11-25T09:00:00Z');

interface Word {
  readonly id: string;
  readonly tablet: string;
  readonly by: string;
  readonly ro: string;
  readonly type: string;
  /** What it says that no other one does. */
  readonly tag: string;
  readonly ahead: number;
  /** How the step had ended by all that was on the tablet then. */
  readonly knew: ReadonlySet<string>;
  /** The page was killed before it was kept. */
  unkept: boolean;
}

type Act = readonly [what: string, tablet: 0 | 1, n: number];

let shop: TestShop;
const sessions = new Map<string, SignedIn>();
const met = new Map<string, Set<number>>();
let run = 0;

beforeAll(async () => {
  const much = { calls: 1e9, seconds: 1 };
  // Where there is memory to write to: a real disk would only make five hundred runs wait.
  const folder = existsSync('/dev/shm') ? mkdtempSync('/dev/shm/lastbolt-') : undefined;
  shop = await TestShop.open({
    ...(folder ? { folder } : {}),
    rules: { version: rules.version, files: jobRuleFiles() },
    limits: { address: much, door: much, person: much },
  });
  for (const [name, role] of PEOPLE) {
    const signed = await shop.person(name, role);
    sessions.set(`left/${name}`, signed);
    sessions.set(`right/${name}`, await signIn(shop.send, signed.session.person.id));
  }
}, 60_000);
afterAll(() => shop.close());

/** What is tried, with its share of all. */
const WEIGHTS: readonly (readonly [string, number])[] = [
  ['say', 12],
  ['say-both', 3],
  ['end', 5],
  ['off', 4],
  ['on', 5],
  ['lose', 3],
  ['slow', 2],
  ['let-through', 4],
  ['reload', 2],
  ['kill', 3],
  ['person', 4],
  ['clock-back', 1],
  ['clock-ahead', 1],
  ['clock-right', 1],
  ['sync', 5],
  ['plan', 5],
  ['read', 2],
  ['check', 4],
  ['open', 2],
  ['turn', 4],
];

const acts = fc.array(
  fc.tuple(
    fc.oneof(...WEIGHTS.map(([value, weight]) => ({ arbitrary: fc.constant(value), weight }))),
    fc.constantFrom<0 | 1>(0, 1),
    fc.nat(99),
  ),
  { minLength: 8, maxLength: 40 },
);

test(`${RUNS} interleavings of two tablets and a server lose nothing, double nothing and hide nothing`, async () => {
  await fc.assert(
    fc.asyncProperty(acts, async (script: readonly Act[]) => {
      const world = new World(++run);
      await world.begin();
      for (const act of script) await world.act(act);
      await world.end();
      await world.holds();
      world.clear();
    }),
    { numRuns: RUNS, endOnFailure: true, ...(process.env.RUN_PATH ? { path: process.env.RUN_PATH } : {}) },
  );
  console.log(
    `${run} interleavings; met in: ${[...met]
      .map(([kind, runs]) => `${kind} ${runs.size}`)
      .sort()
      .join(', ')}`,
  );
  for (const kind of EVENTS) expect(met.get(kind)?.size ?? 0, kind).toBeGreaterThanOrEqual(RUNS / 50);
}, 300_000);

const EVENTS = [
  'said without a signal',
  'answer lost behind what the server did',
  'page reloaded with words waiting',
  'page killed between keeping and sending',
  'page killed before it was kept',
  'clock put back',
  'clock put ahead',
  'one step worked by both',
  'person changed with words waiting',
  'calls overtaking each other',
  'refused and told',
  'refused for the clock',
  'final check refused without a signal',
  'final check taken',
  'opened by both',
  'two answers to one step',
];

function meet(kind: string): void {
  met.set(kind, (met.get(kind) ?? new Set()).add(run));
}

/** Two tablets on one shop, and what was said on them. */
class World {
  readonly tablets = ['left', 'right'].map((name) => new Tablet(name, shop.send, () => shop.now, [rules])) as [
    Tablet,
    Tablet,
  ];
  readonly words: Word[] = [];
  /** Read by whoever said it. */
  readonly read: NotTaken[] = [];
  /** The page that opened the job says so; what the server answered to what lets a car go. */
  readonly atOnce: { tag: string; taken: boolean | undefined; on: boolean }[] = [];
  private readonly asked: { answered: Promise<void>; tablet: Tablet; page: number }[] = [];
  private tag = 0;
  private readonly ro: string;

  constructor(private readonly number: number) {
    this.ro = `J${number}`;
  }

  async begin(): Promise<void> {
    // Sessions end after some time; each run has the same morning.
    shop.now = MORNING;
    for (const [i, tablet] of this.tablets.entries()) {
      tablet.cookie = this.cookieOf(tablet, PEOPLE[(i + this.number) % PEOPLE.length]?.[0] as string);
      await tablet.start();
    }
    // One job in four is opened by whoever says the first word, which may be both.
    if (this.number % 4 === 0) return;
    this.open(this.tablets[0]);
    for (const tablet of this.tablets) await tablet.records.sync();
  }

  async act([what, which, n]: Act): Promise<void> {
    const tablet = this.tablets[which];
    const { air } = tablet;
    shop.now = new Date(shop.now.getTime() + 1000);
    switch (what) {
      case 'say':
        return this.say(tablet, n);
      case 'end':
        return this.say(tablet, ENDINGS[n % ENDINGS.length] as number);
      case 'say-both':
        for (const one of this.tablets) this.say(one, n);
        return meet('one step worked by both');
      case 'open':
        return this.open(tablet);
      case 'off':
        air.on = false;
        return air.letThrough();
      case 'on':
        air.on = true;
        air.slow = false;
        return air.letThrough();
      case 'lose':
        air.loses = 1 + (n % 2);
        return;
      case 'slow':
        air.slow = true;
        return;
      case 'let-through':
        air.letThrough(1 + (n % 2));
        return settle(1 + (n % 4));
      case 'reload':
        return this.restart(tablet, false);
      case 'kill':
        return this.restart(tablet, n % 2 === 0);
      case 'person':
        return this.change(tablet, PEOPLE[n % PEOPLE.length]?.[0] as string);
      case 'clock-back':
        tablet.ahead = -2 * HOUR;
        return meet('clock put back');
      case 'clock-ahead':
        tablet.ahead = n % 2 === 0 ? 2 * HOUR : 3 * 60_000;
        return meet('clock put ahead');
      case 'clock-right':
        tablet.ahead = 0;
        return;
      case 'sync':
        void tablet.records.sync();
        return settle(n % 5);
      case 'plan':
        return tablet.plan();
      case 'read':
        return this.readAll(tablet);
      case 'check':
        return this.check(tablet, n);
      default:
        return settle(1 + (n % 6));
    }
  }

  private open(tablet: Tablet): void {
    if (!tablet.at.session || tablet.records.get(this.ro)) return;
    const note = this.newTag();
    tablet.records.openJob({ ro: this.ro, work: [{ part: 'tie-rod', did: 'replaced', note }] }, [
      { type: 'photo-attached', hash: SHEET.hash },
      { type: 'work-done' },
    ]);
    this.heard(tablet, note);
    if (new Set(this.words.filter(({ type }) => type === 'opened').map((one) => one.tablet)).size > 1)
      meet('opened by both');
  }

  private say(tablet: Tablet, n: number): void {
    if (!tablet.records.get(this.ro)) this.open(tablet);
    // Under the lock nobody says anything.
    if (!tablet.at.session) return;
    const tag = this.newTag();
    tablet.records.say(this.ro, [sayingOf(n, tag)]);
    this.heard(tablet, tag);
    if (!tablet.air.on) meet('said without a signal');
    if (tablet.air.slow) meet('calls overtaking each other');
  }

  /** Notes down what has just come into the queue. */
  private heard(tablet: Tablet, tag: string): void {
    const known = new Set(this.words.map(({ id }) => id));
    const knew = new Set(tablet.records.get(this.ro)?.state.events.map(({ id }) => id));
    for (const { id } of tablet.queue(this.ro)) knew.add(id);
    for (const { id, type, by } of tablet.queue(this.ro))
      if (!known.has(id))
        this.words.push({
          id,
          type,
          by,
          tag,
          tablet: tablet.name,
          ro: this.ro,
          ahead: tablet.ahead,
          knew,
          unkept: false,
        });
  }

  private async restart(tablet: Tablet, lost: boolean): Promise<void> {
    const waiting = tablet.queue(this.ro);
    tablet.kill(lost);
    const { held } = tablet.drawer;
    for (const word of this.words) if (word.tablet === tablet.name && !held.has(word.id)) word.unkept = true;
    if (waiting.some(({ id }) => !held.has(id))) meet('page killed before it was kept');
    else if (waiting.length > 0)
      meet(lost ? 'page killed between keeping and sending' : 'page reloaded with words waiting');
    tablet.air.slow = false;
    tablet.air.letThrough();
    await tablet.start();
  }

  /** Somebody else signs in, which takes the server. */
  private async change(tablet: Tablet, name: string): Promise<void> {
    if (!tablet.air.on || tablet.air.slow) return;
    if (tablet.queue(this.ro).length > 0) meet('person changed with words waiting');
    tablet.cookie = this.cookieOf(tablet, name);
    await tablet.at.look();
    void tablet.records.sync();
  }

  private cookieOf(tablet: Tablet, name: string): string {
    return sessions.get(`${tablet.name}/${name}`)?.cookie ?? '';
  }

  private check(tablet: Tablet, n: number): void {
    if (!tablet.records.get(this.ro) || !tablet.at.session) return;
    const told = { tag: this.newTag(), taken: undefined as boolean | undefined, on: tablet.air.on };
    this.atOnce.push(told);
    const value = { kind: 'choice', value: 'nothing is left' } as const;
    const saying: Saying = n % 4 === 0 ? { type: 'released' } : { type: 'checked', item: NOTHING_LEFT, value };
    const answered = tablet.records.sayNow(this.ro, [saying]).then((says) => {
      if (!says) told.taken = true;
      else if (!says.some((text) => text.startsWith('No answer came'))) told.taken = false;
      if (says?.some((text) => text.startsWith('The server cannot be reached')))
        meet('final check refused without a signal');
    });
    this.asked.push({ answered, tablet, page: tablet.page });
  }

  private readAll(tablet: Tablet): void {
    const name = tablet.at.session?.person.name;
    for (const one of tablet.records.notTaken.filter(({ by }) => by === name)) {
      this.read.push(one);
      tablet.records.read(one);
    }
  }

  /** The signal is back, and everybody signs in once more on each tablet. */
  async end(): Promise<void> {
    for (const { air } of this.tablets) {
      Object.assign(air, { on: true, slow: false, loses: 0 });
      air.letThrough();
    }
    // A page that is gone hears no answer any more.
    await Promise.all(this.asked.flatMap(({ answered, tablet, page }) => (page === tablet.page ? [answered] : [])));
    for (const tablet of this.tablets) {
      await tablet.records.sync();
      // Whoever left words here comes back to it.
      for (const name of new Set(tablet.queue(this.ro).map(({ by }) => by))) {
        await this.change(tablet, name);
        await tablet.records.sync();
      }
    }
    for (const tablet of this.tablets) await tablet.records.sync();
    await settle(10);
    if (this.tablets.some(({ air }) => air.lost > 0)) meet('answer lost behind what the server did');
  }

  async holds(): Promise<void> {
    const record = await shop.doors.log.read(this.ro);
    const events = record?.events ?? [];
    const place = new Map(events.map(({ id }, at) => [id, at]));
    // Nothing twice.
    expect(place.size).toBe(events.length);
    // Both tablets and the server are one.
    for (const tablet of this.tablets) {
      const state = tablet.records.get(this.ro)?.state;
      const stands = JSON.stringify([
        tablet.name,
        tablet.at.session?.person.name,
        tablet.at.offline,
        tablet.at.locked,
        tablet.records.allSent,
        tablet.air,
        state?.version,
        record?.version,
      ]);
      expect(state?.queue ?? [], stands).toEqual([]);
      expect(
        (state?.events ?? []).map(({ id }) => id),
        stands,
      ).toEqual(events.map(({ id }) => id));
      if (record) expect(fold(state?.events ?? [])).toEqual(fold(events));
      expect(state?.hash ?? '').toBe(record?.hash ?? '');
      // And so is what a reload would show.
      await settle(1);
      expect(tablet.drawer.records.get(this.ro)?.queue ?? []).toEqual([]);
      expect(tablet.drawer.records.get(this.ro)?.hash ?? '').toBe(record?.hash ?? '');
    }
    this.holdsForEachWord(place);
    this.holdsInOrder(place);
    this.holdsForWhatLetsGo(events);
    this.holdsForTheFold(events);
    this.holdsForContradictions(events);
  }

  /** The next run's tablets have this job no more to fetch. */
  clear(): void {
    for (const table of ['record_events', 'record_heads', 'record_personal'])
      shop.bare.prepare(`delete from ${table} where job = ?`).run(this.ro);
  }

  /** On record once, or told to whoever said it, with the reason, and on the tablet where it was said. */
  private holdsForEachWord(place: ReadonlyMap<string, number>): void {
    for (const word of this.words) {
      const told = this.tablets.flatMap((tablet) =>
        [...tablet.records.notTaken, ...(tablet.name === word.tablet ? this.read : [])]
          .filter(({ commands }) => commands.some(({ id }) => id === word.id))
          .map((one) => ({ one, tablet: tablet.name })),
      );
      const found = (place.has(word.id) ? 1 : 0) + told.length;
      const where = `${word.type} ${word.tag} by ${word.by} on ${word.tablet}`;
      if (word.unkept) expect(found, where).toBeLessThanOrEqual(1);
      else expect(found, where).toBe(1);
      for (const { one, tablet } of told) {
        expect([one.by, tablet, one.ro], where).toEqual([word.by, word.tablet, word.ro]);
        expect(
          one.says.every((text) => /^[A-Z`"0-9].*[.!?]$/.test(text)) && one.says.length > 0,
          one.says.join('|'),
        ).toBe(true);
        meet('refused and told');
        if (one.says.some((text) => text.includes('clock of this tablet'))) meet('refused for the clock');
      }
      // What nobody can object to is on record, unless the clock was wrong or the job was opened by it.
      if (word.type === 'line-added' && word.ahead < HOUR && !word.unkept && place.size > 0 && told.length > 0)
        expect(told.map(({ one }) => one.says.join(' ')).join(' '), where).toMatch(/not opened yet|is released/);
    }
  }

  private holdsInOrder(place: ReadonlyMap<string, number>): void {
    for (const { name } of this.tablets)
      for (const [by] of PEOPLE) {
        const said = this.words.filter((word) => word.tablet === name && word.by === by && place.has(word.id));
        const at = said.map(({ id }) => place.get(id) as number);
        expect(at, `${by} on ${name}`).toEqual(at.toSorted((a, b) => a - b));
      }
  }

  private holdsForWhatLetsGo(events: readonly { type: string; id: string }[]): void {
    const there = events.filter(({ type }) => type === 'checked' || type === 'released').map(({ id }) => id);
    const sent = new Set(this.tablets.flatMap(({ atOnce }) => atOnce));
    expect(there.filter((id) => !sent.has(id))).toEqual([]);
    const sure = this.atOnce.filter(({ taken }) => taken === true).length;
    if (sure > 0) meet('final check taken');
    expect(there.length).toBeLessThanOrEqual(this.atOnce.filter(({ taken }) => taken !== false).length);
    if (this.atOnce.every(({ taken }) => taken === false)) expect(there).toEqual([]);
  }

  /** What stands on the sheet is what was said, the last word of it, in the order of the record. */
  private holdsForTheFold(events: readonly JobEvent[]): void {
    const job = fold(events);
    const said = events.flatMap(({ id }) => this.words.find((word) => word.id === id) ?? []);
    const of = (type: string) => said.filter((word) => word.type === type).map(({ tag }) => tag);
    expect(job.itemNotes.map(({ note }) => note)).toEqual(of('item-noted'));
    expect(job.lines.map(({ text }) => text.note)).toEqual(of('line-added'));
    const done = said.findLast(({ type }) => ['work-done', 'work-not-done', 'line-added'].includes(type));
    expect(job.workDone !== undefined).toBe(done?.type === 'work-done');
  }

  /** Who says how a step ended without knowing that somebody said otherwise takes nothing away, and is not lost. */
  private holdsForContradictions(events: readonly JobEvent[]): void {
    let standing: { id: string; took: boolean }[] = [];
    for (const event of events) {
      // More of that work makes it a round that this does not tell of.
      if (event.type === 'line-added' && event.line.part === 'tie-rod' && standing.length > 0) return;
      if (event.type === 'started' && !event.beside) standing = [];
      if (event.type !== 'took' && event.type !== 'did-not-take' && event.type !== 'not-done') continue;
      const took = event.type === 'took';
      const knew = this.words.find(({ id }) => id === event.id)?.knew ?? new Set();
      const apart = standing.some(({ id }) => !knew.has(id)) && standing.some((one) => one.took !== took);
      if (apart) expect(event.rival, `${event.type} said apart`).toBe(true);
      if (event.rival && !took) expect(apart, `${event.type} beside another`).toBe(true);
      if (apart) meet('two answers to one step');
      standing = event.rival ? [...standing, { id: event.id, took }] : [{ id: event.id, took }];
    }
    if (standing.length > 1 && fold(events).status === 'open')
      expect(gate(fold(events), rules).map(({ rule }) => rule)).toContain('two-answers');
  }

  private newTag(): string {
    return `w${this.number}-${++this.tag}`;
  }
}

/** Sayings that tell how the step ended. */
const ENDINGS = [7, 7, 8, 9];
const SHEET = { kind: 'photo', hash: 'a'.repeat(64) } as const;

function sayingOf(n: number, tag: string): Saying {
  const toe = { kind: 'number', value: ((n * 7) % 40) / 100 - 0.2 } as const;
  const sayings: Saying[] = [
    { type: 'line-added', line: { part: 'radio', did: 'refitted', note: tag } },
    { type: 'item-noted', step: 'alignment', was: 'wrong', note: tag },
    { type: 'line-added', line: { part: 'windscreen', did: 'refitted', note: tag } },
    { type: 'work-done' },
    { type: 'work-not-done', because: tag },
    { type: 'trait-told', trait: 'camera', answer: (['none', 'target', 'road'] as const)[n % 3] as string },
    { type: 'started', step: 'alignment' },
    { type: 'took', step: 'alignment', values: { 'proof/alignment/Toe': toe, 'proof/alignment/Sheet': SHEET } },
    { type: 'did-not-take', step: 'alignment', why: tag },
    { type: 'not-done', step: 'alignment', reason: 'declined', note: tag },
    { type: 'photo-attached', hash: String(n % 10).repeat(64) },
  ];
  return sayings[n % sayings.length] as Saying;
}
