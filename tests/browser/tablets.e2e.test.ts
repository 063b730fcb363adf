import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type BrowserContext, chromium, type Locator, type Page } from 'playwright';
import { afterEach, expect, test } from 'vitest';
import { chromiumPath, launchArgs } from '../../.ci/chromium.mjs';
import { rulebook } from '../real-rulebook.ts';
import { headersOf, json } from '../signed-in.ts';
import { settled } from './hand.ts';
import { setStage } from './stage.ts';

const stage = setStage('--demo');

const RO = '7300';
const STEP = 'wheel-bolt-torque';
const SENT = 'Every sheet is on the server.';
const HOUR = 3_600_000;

/** A tablet with storage of its own, which outlives its page and its browser. */
class Slate {
  readonly folder = mkdtempSync(join(tmpdir(), 'lastbolt-slate-'));
  context!: BrowserContext;
  page!: Page;

  /** `ahead`: what its clock shows beside the real time. */
  async start(ahead = 0, offline = false): Promise<void> {
    this.context = await chromium.launchPersistentContext(this.folder, {
      executablePath: await chromiumPath(),
      args: launchArgs,
      viewport: { width: 1280, height: 800 },
      offline,
    });
    this.context.setDefaultTimeout(20_000);
    this.page = this.context.pages()[0] ?? (await this.context.newPage());
    if (ahead !== 0) await this.page.clock.install({ time: Date.now() + ahead });
  }
}

const slates: Slate[] = [];
afterEach(async () => {
  for (const { context, folder } of slates.splice(0)) {
    await context.close();
    rmSync(folder, { recursive: true, force: true });
  }
});

async function slate(): Promise<Slate> {
  const made = new Slate();
  slates.push(made);
  await made.start();
  return made;
}

async function signIn(page: Page, name: RegExp): Promise<void> {
  await page.getByRole('button', { name }).click();
  for (const digit of '2468') await page.getByRole('button', { name: digit, exact: true }).click();
  await tap(page, /^Sign in/);
}

async function tap(within: Page | Locator, name: string | RegExp): Promise<void> {
  await within
    .getByRole('button', { name, exact: typeof name === 'string' })
    .first()
    .click();
}

async function torque(page: Page, figure: string): Promise<void> {
  const row = page.locator('lb-reading-row', { hasText: 'Torque set' });
  for (const digit of figure) await tap(row, digit);
  await tap(row, /^Write/);
}

async function turn(page: Page, leaf: string): Promise<void> {
  await page.goto(`${stage.base}#/job/${RO}/${leaf}`);
  await page.locator('lb-leaf-head').waitFor();
}

/** One wheel came off and is on again. */
async function openJob(): Promise<void> {
  const by = stage.who.session.person.name;
  const sayings = [
    { type: 'opened', ro: RO, rulebook: rulebook.version },
    { type: 'line-added', line: { part: 'wheel', did: 'refitted', at: 'front-left' } },
    { type: 'work-done' },
  ];
  const at = new Date().toISOString();
  const commands = sayings.map((saying, i) => ({ ...saying, id: `begin${i}`, at, by }));
  const answer = await fetch(`${stage.base}api/records/${RO}`, json({ commands }, headersOf(stage.who)));
  expect(await answer.json()).toMatchObject({ outcomes: sayings.map(() => ({ is: 'taken' })) });
}

interface Kept {
  readonly type: string;
  readonly by: string;
  readonly rival?: boolean;
}

async function events(): Promise<Kept[]> {
  const answer = await fetch(`${stage.base}api/records/${RO}`, { headers: headersOf(stage.who) });
  return ((await answer.json()) as { events: Kept[] }).events.slice(3);
}

test('two tablets contradict each other, one of them without a signal, killed and with its clock put back; the foreman settles it', {
  timeout: 180_000,
}, async () => {
  await openJob();
  const left = await slate();
  await left.page.goto(stage.base);
  await signIn(left.page, /Tam Orrin/);
  await left.page.getByRole('list', { name: /^Cars/ }).waitFor();
  // From the second time on the page opens from the shelf.
  await left.page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
  await left.page.reload();
  const right = await stage.tablet(undefined, false);
  await right.goto(stage.base);
  await signIn(right, /Rilla Quist/);
  await right.getByRole('list', { name: /^Cars/ }).waitFor();

  // Who has the hands on which step is seen on the other tablet at once.
  await turn(left.page, `route`);
  await left.page.locator('lb-step-row', { hasText: 'orque' }).first().waitFor();
  await turn(left.page, `route/${STEP}`);
  const car = right.locator('lb-bay-sheet').getByRole('listitem').filter({ hasText: RO });
  await car.getByText('Tam Orrin').waitFor();

  // Without a signal it took.
  await left.context.setOffline(true);
  await tap(left.page, 'Start');
  await torque(left.page, '120');
  await tap(left.page, 'It took');
  await left.page.locator('lb-open-step .state', { hasText: 'Took' }).waitFor();
  await left.page.getByText('Kept on this tablet').waitFor();

  // The page is killed; when it is opened again its clock is two hours behind, and there is still no signal.
  await left.context.close();
  await left.start(-2 * HOUR, true);
  await turn(left.page, `route/${STEP}`);
  await left.page.locator('lb-open-step .state', { hasText: 'Took' }).waitFor();
  await left.page.getByText('No signal. Go on').waitFor();

  // Meanwhile somebody else says that it did not.
  await turn(right, `route/${STEP}`);
  await tap(right, 'Start');
  await tap(right, 'Did not take');
  await right.getByLabel(/What was seen/).fill('one bolt turns without end');
  await tap(right, 'It did not take');
  await right.locator('lb-open-step .state', { hasText: 'Did not take' }).waitFor();
  await expect
    .poll(async () => (await events()).map(({ type }) => type), { timeout: 15_000 })
    .toEqual(['started', 'did-not-take']);

  // The signal is back. The browser kept no session over its end: whoever said it signs in to send it.
  await left.context.setOffline(false);
  const lock = left.page.getByRole('button', { name: /Tam Orrin/ });
  await expect
    .poll(async () => (await lock.isVisible()) || left.page.getByText(SENT).isVisible(), { timeout: 30_000 })
    .toBe(true);
  if (await lock.isVisible()) await signIn(left.page, /Tam Orrin/);
  await left.page.getByText(SENT).waitFor({ timeout: 30_000 });
  const said = await events();
  expect(said.filter(({ by }) => by === 'Tam Orrin')).toMatchObject([
    { type: 'started', beside: true },
    { type: 'noted', beside: true },
    { type: 'took', rival: true },
  ]);

  // Both are shown on both, and nobody but the foreman settles it.
  for (const page of [left.page, right]) {
    await turn(page, `route/${STEP}`);
    await page.getByText('They were said without knowing of each other.').waitFor();
    await page.getByRole('group', { name: 'Answer of Tam Orrin' }).getByText('120').waitFor();
    await page.getByRole('group', { name: 'Answer of Rilla Quist' }).getByText('One bolt turns without end').waitFor();
    expect(await page.getByRole('button', { name: 'This one stands' }).count()).toBe(0);
  }
  const foreman = await stage.tablet();
  await turn(foreman, 'check');
  await settled(foreman);
  await foreman
    .getByText(/has two answers, it did not take \(Rilla Quist\) and it took \(Tam Orrin\)/)
    .first()
    .waitFor();
  await foreman.goto(stage.base);
  await foreman
    .locator('lb-bay-sheet')
    .getByRole('listitem')
    .filter({ hasText: RO })
    .getByText('Two answers.')
    .waitFor();
  await turn(foreman, `route/${STEP}`);
  await tap(foreman.getByRole('group', { name: 'Answer of Rilla Quist' }), 'This one stands');
  for (const page of [left.page, right, foreman])
    await page.locator('lb-open-step .state', { hasText: 'Did not take' }).waitFor();
  expect((await events()).at(-1)).toMatchObject({ type: 'answer-chosen', by: stage.who.session.person.name });
  // All of it once.
  const all = (await events()).map(({ type, by }) => `${type} ${by}`);
  expect(new Set(all).size).toBe(all.length);
});

test('a browser that keeps nothing says so, and asks before the page is closed with words that wait', {
  timeout: 120_000,
}, async () => {
  await openJob();
  const page = await stage.tablet();
  await page.addInitScript(() => {
    IDBFactory.prototype.open = () => {
      throw new DOMException('refused by the test', 'QuotaExceededError');
    };
  });
  await turn(page, 'write-up');
  await page.getByText('This browser does not keep the sheets').waitFor();
  await page.getByText(SENT).waitFor();
  const asked: string[] = [];
  page.on('dialog', (dialog) => {
    asked.push(dialog.type());
    void dialog.accept();
  });
  await turn(page, `route/${STEP}`);
  await page.getByRole('button', { name: 'Start', exact: true }).first().waitFor();
  await page.context().setOffline(true);
  await tap(page, 'Start');
  await page.getByText('Kept on this tablet').waitFor();
  await page.close({ runBeforeUnload: true });
  await expect.poll(() => asked, { timeout: 15_000 }).toEqual(['beforeunload']);
});
