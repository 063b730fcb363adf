import { spawn, type ChildProcess } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import AxeBuilder from '@axe-core/playwright';
import type { Browser, BrowserContext, Page } from 'playwright';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { launch } from './launch.ts';

// An invented VIN: its maker code belongs to nobody, its check digit is right (49 CFR 565.15(c)).
const VIN = '7ZHAB3C59K0900418';

let browser: Browser;
let context: BrowserContext;
let page: Page;
let server: ChildProcess;
let data: string;
let base: string;
let troubles: string[];

beforeAll(async () => {
  browser = await launch();
});

afterAll(async () => {
  await browser.close();
});

beforeEach(async () => {
  data = mkdtempSync(join(tmpdir(), 'lastbolt-'));
  ({ server, base } = await serve(data));
  context = await browser.newContext({ viewport: { width: 1280, height: 800 } });
  context.setDefaultTimeout(15_000);
  page = await context.newPage();
  troubles = [];
  page.on('pageerror', (error) => troubles.push(error.message));
  page.on('console', (message) => {
    if (message.type() === 'error') troubles.push(message.text());
  });
});

afterEach(async () => {
  await context.close();
  await stop(server);
  rmSync(data, { recursive: true, force: true });
});

describe('a job written up by hand', () => {
  test('comes to its list in at most 25 taps, with a why on every step', async () => {
    const hand = new Hand(page);
    await writeUp(hand);
    await hand.tap('What has this car?');
    await hand.tap('Before you start');
    await hand.tap('Route');
    await page.getByRole('list', { name: 'Route' }).waitFor();

    // Typed letters are counted apart: a scanner or a paste brings the VIN in one go.
    console.log(`VIN and three lines to the list: ${hand.taps} taps, ${hand.letters} letters typed`);
    expect(hand.taps).toBeLessThanOrEqual(25);

    const steps = await rows(page);
    expect(steps.length).toBeGreaterThan(3);
    expect(steps.some((name) => /wheel alignment/i.test(name))).toBe(true);
    expect(steps.some((name) => /adhesive/i.test(name))).toBe(true);
    for (const link of await page.locator('lb-step-row').all()) {
      await link.getByRole('link').click();
      await expect.poll(() => page.locator('lb-open-step .why').textContent()).toMatch(/Why it is here:\s+\S+/);
    }
    expect(troubles).toEqual([]);
  });

  test('asks what the car has, takes answers, and lets them be corrected', async () => {
    const hand = new Hand(page);
    await writeUp(hand);
    await hand.tap('What has this car?');
    const card = page.locator('lb-question-card', { hasText: 'camera behind the windscreen' });
    await page.locator('lb-question-card').first().waitFor();

    await card.getByRole('button', { name: 'Aimed on targets', exact: true }).click();
    expect(await pressed(card)).toEqual(['Aimed on targets']);
    // One maker spares one model the aim after new glass: until the maker is known, it is only perhaps needed.
    await page.goto(`${base}#/job/7001/route`);
    await page.locator('lb-route-leaf .perhaps', { hasText: 'camera aim' }).waitFor();

    await page.goto(`${base}#/job/7001/car`);
    await page.locator('lb-question-card', { hasText: 'Who made the car?' }).getByRole('combobox').selectOption('honda');
    await page.goto(`${base}#/job/7001/route`);
    expect((await rows(page)).some((name) => /camera aim/i.test(name))).toBe(true);

    await page.goto(`${base}#/job/7001/car`);
    await card.getByRole('button', { name: 'Not fitted' }).click();
    expect(await pressed(card)).toEqual(['Not fitted']);
    await page.goto(`${base}#/job/7001/route`);
    expect((await rows(page)).some((name) => /camera aim/i.test(name))).toBe(false);
    expect(troubles).toEqual([]);
  });

  test('is there after a reload, on another tablet, and while the server is away', async () => {
    await writeUp(new Hand(page));
    await page.getByText('Every sheet is on the server.').waitFor();
    await page.reload();
    await expect.poll(() => page.locator('lb-work-line').count()).toBe(3);

    const other = await browser.newPage();
    await other.goto(`${base}#/job/7001/write-up`);
    await expect.poll(() => other.locator('lb-work-line').count()).toBe(3);
    await other.close();

    // The page itself comes from the browser here: what is tested is that its data needs no server.
    await context.route('**/api/**', (route) => route.abort());
    await page.reload();
    await expect.poll(() => page.locator('lb-work-line').count()).toBe(3);
    await page.getByRole('button', { name: 'Strike 12 V battery' }).click();
    await page.getByText('Kept on this tablet').waitFor();
    await page.reload();
    await expect.poll(() => page.locator('lb-work-line').count()).toBe(2);

    await context.unroute('**/api/**');
    await page.getByText('Every sheet is on the server.').waitFor({ timeout: 15_000 });
    const kept = (await (await fetch(`${base}api/jobs/7001`)).json()) as { job: { work: unknown[] } };
    expect(kept.job.work).toHaveLength(2);
  });

  test('lets a person choose when two tablets changed it', async () => {
    await writeUp(new Hand(page));
    await page.getByText('Every sheet is on the server.').waitFor();
    const { job, revision } = (await (await fetch(`${base}api/jobs/7001`)).json()) as Kept;
    await put(base, { ...job, work: job.work.slice(0, 1) }, revision);

    await page.getByRole('button', { name: 'Strike 12 V battery' }).click();
    await page.getByText('was changed on another tablet too').waitFor();
    await page.getByRole('button', { name: 'Take the other sheet' }).click();
    await expect.poll(() => page.locator('lb-work-line').count()).toBe(1);
    await page.getByText('Every sheet is on the server.').waitFor();
  });

  test('asks whether the before-steps were done, once the work is', async () => {
    await writeUp(new Hand(page));
    await page.goto(`${base}#/job/7001/before`);
    await page.getByRole('button', { name: 'The work is done' }).click();
    const first = page.getByRole('group', { name: /was it done\?/ }).first();
    await first.getByRole('button', { name: 'No', exact: true }).click();
    expect(await pressed(first)).toEqual(['No']);
  });

  test('says why a step is not on the sheet', async () => {
    await writeUp(new Hand(page));
    await page.goto(`${base}#/job/7001/route`);
    await page.getByLabel('The step you miss').fill('injector');
    await expect.poll(() => page.locator('lb-why-not lb-part-search').getByRole('list').innerText()).toMatch(/nothing on this job calls for it|would call for it/i);
  });

  test('prints on A4 and Letter: every step, with RO, VIN, rulebook and page numbers', async () => {
    await writeUp(new Hand(page));
    await page.goto(`${base}#/job/7001/route`);
    const steps = await rows(page);
    for (const format of ['A4', 'Letter'] as const) {
      const pdf = await page.pdf({ format, preferCSSPageSize: false });
      expect(pdf.subarray(0, 5).toString()).toBe('%PDF-');
      expect(pdf.length).toBeGreaterThan(20_000);
    }
    await page.emulateMedia({ media: 'print' });
    const paper = await page.locator('lb-printed-sheet article').innerText();
    for (const name of steps) expect(paper).toContain(name);
    expect(paper).toContain('7001');
    expect(paper).toContain(VIN);
    const rules = ((await (await fetch(`${base}api/health`)).json()) as { rules: string }).rules;
    const frame = await page.evaluate(() => document.adoptedStyleSheets.map((one) => [...one.cssRules].map((rule) => rule.cssText).join()).join());
    expect(frame).toContain(`Rules ${rules}, page `);
    expect(frame).toContain('counter(pages)');
    expect(await page.locator('button:visible').count()).toBe(0);
  });
});

describe('every leaf', () => {
  const leaves = ['', 'new', 'job/7001/write-up', 'job/7001/car', 'job/7001/before', 'job/7001/route'];
  const sizes = [
    { width: 1280, height: 800 },
    { width: 800, height: 1280 },
    { width: 390, height: 844 },
    // 1280 x 800 at 200 %
    { width: 640, height: 400 },
  ];

  test.for(['light', 'dark'] as const)('is free of findings of an accessibility checker, %s', async (colorScheme) => {
    await writeUp(new Hand(page));
    await page.emulateMedia({ colorScheme });
    for (const leaf of leaves) {
      await page.goto(`${base}#/${leaf}`);
      await settled(page);
      const { violations } = await new AxeBuilder({ page }).withTags(['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']).analyze();
      expect(violations.map(({ id, nodes }) => `${leaf}: ${id} ${nodes.map(({ target }) => target.join(' ')).join(', ')}`)).toEqual([]);
    }
  });

  test('has text of 7:1, targets of 48 px, and no sideways scrolling', async () => {
    await writeUp(new Hand(page));
    for (const colorScheme of ['light', 'dark'] as const) {
      await page.emulateMedia({ colorScheme });
      for (const size of sizes) {
        await page.setViewportSize(size);
        for (const leaf of leaves) {
          await page.goto(`${base}#/${leaf}`);
          await settled(page);
          const where = `${leaf} ${size.width} ${colorScheme}`;
          expect(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth), where).toBeLessThanOrEqual(0);
          if (size.width === 1280) {
            const { violations } = await new AxeBuilder({ page }).withRules(['color-contrast-enhanced']).options({ rules: { 'color-contrast-enhanced': { enabled: true } } }).analyze();
            expect(violations.flatMap(({ nodes }) => nodes.map(({ target }) => target.join(' '))), where).toEqual([]);
          }
          expect(await page.evaluate(smallTargets), where).toEqual([]);
        }
      }
    }
  });

  test('is used with the keyboard alone', async () => {
    await page.goto(`${base}#/new`);
    await settled(page);
    await page.keyboard.type('7002');
    await page.keyboard.press('Enter');
    await page.getByRole('heading', { name: /Write-up/ }).waitFor();
    await tabTo(page, 'What was worked on?');
    await page.keyboard.type('windscreen');
    await page.locator('.hit').first().waitFor();
    await page.keyboard.press('Enter');
    await tabTo(page, 'Replaced');
    await page.keyboard.press('Space');
    await expect.poll(() => page.locator('lb-work-line').count()).toBe(1);
  });
});

describe('the built server', () => {
  test('says that its port is taken, and exits with 2', async () => {
    const { port } = new URL(base);
    const second = spawn(process.execPath, ['dist/cli/main.js', 'serve', '--port', port, '--data', join(data, 'second')]);
    let errors = '';
    second.stderr.on('data', (chunk: Buffer) => (errors += chunk.toString()));
    const [code] = (await once(second, 'close')) as [number];
    expect([code, errors.trim()]).toEqual([2, `port ${port} is taken by another program; choose another with --port N`]);
  });

  test('ends by itself when it is told to, with a page still open', async () => {
    await page.goto(base);
    const started = performance.now();
    const ended = once(server, 'exit');
    server.kill('SIGTERM');
    expect(await ended).toEqual([0, null]);
    expect(performance.now() - started).toBeLessThan(5_000);
  });
});

/** Taps and typed letters, as a person makes them. */
class Hand {
  taps = 0;
  letters = 0;

  constructor(readonly page: Page) {}

  async tap(name: string | RegExp): Promise<void> {
    this.taps++;
    const target = typeof name === 'string' ? new RegExp(`^${escape(name)}$`) : name;
    await this.page.getByRole('button', { name: target }).or(this.page.getByRole('link', { name: target })).first().click();
  }

  /** Putting the finger into a field is a tap, unless the page did it. */
  async type(label: string, text: string, given = false): Promise<void> {
    if (!given) {
      this.taps++;
      await this.page.getByLabel(label).click();
    }
    this.letters += text.length;
    await this.page.keyboard.type(text);
  }
}

/** Windscreen, tie rod end and 12 V battery, on repair order 7001. */
async function writeUp(hand: Hand): Promise<void> {
  await hand.page.goto(base);
  await hand.tap('Write up a car');
  await settled(hand.page);
  await hand.type('Number of the repair order', '7001', true);
  await hand.tap('Write it up');
  await hand.type('VIN', VIN);
  await hand.type('What was worked on?', 'windscreen');
  await hand.tap(/^Windscreen/);
  await hand.tap('Replaced');
  await hand.type('What was worked on?', 'tie rod', true);
  await hand.tap(/rod end/i);
  await hand.tap('Replaced');
  await hand.tap('Front right');
  await hand.tap('Put on the sheet');
  await hand.type('What was worked on?', 'battery', true);
  await hand.tap(/^12 V battery/);
  await hand.tap('Replaced');
  await expect.poll(() => hand.page.locator('lb-work-line').count()).toBe(3);
}

async function rows(on: Page): Promise<string[]> {
  await on.locator('lb-step-row').first().waitFor();
  const names = await on.locator('lb-step-row .name').allTextContents();
  return names.map((name) => name.replace(/^\d+\s+/, '').trim());
}

async function pressed(within: ReturnType<Page['locator']>): Promise<string[]> {
  return within.locator('button[aria-pressed="true"]').allTextContents();
}

async function settled(on: Page): Promise<void> {
  await on.locator('lb-leaf-head').waitFor();
  await on.waitForLoadState('networkidle');
  await on.evaluate(() => document.fonts.ready.then(() => undefined));
}

/** Keys, fields and stand-alone links lower or narrower than 48 px; runs in the page. */
function smallTargets(): string[] {
  const found: string[] = [];
  const visit = (root: Document | ShadowRoot) => {
    for (const element of root.querySelectorAll('*')) {
      if (element.shadowRoot) visit(element.shadowRoot);
      if (!element.matches('button, input, select, summary, a.key, a.alone, a.t, a.brand')) continue;
      const { width, height } = element.getBoundingClientRect();
      if (width > 0 && height > 0 && (width < 48 || height < 48)) found.push(`${element.localName}.${element.className} ${width}x${height}`);
    }
  };
  visit(document);
  return found;
}

async function tabTo(on: Page, name: string): Promise<void> {
  for (let i = 0; i < 60; i++) {
    const focused = await on.evaluate(() => {
      let active = document.activeElement;
      while (active?.shadowRoot?.activeElement) active = active.shadowRoot.activeElement;
      return active instanceof HTMLInputElement ? (active.labels?.[0]?.textContent?.trim() ?? '') : (active?.textContent?.trim() ?? '');
    });
    if (focused === name) return;
    await on.keyboard.press('Tab');
  }
  throw new Error(`sixty times Tab did not come to ${name}`);
}

interface Kept {
  readonly job: { readonly ro: string; readonly work: readonly unknown[] };
  readonly revision: number;
}

async function put(to: string, job: Kept['job'], revision: number): Promise<void> {
  const answer = await fetch(`${to}api/jobs/${job.ro}`, {
    method: 'PUT',
    headers: { 'content-type': 'application/json', 'if-match': `"${revision}"` },
    body: JSON.stringify(job),
  });
  expect(answer.status).toBe(200);
}

/** The built command line, on a port of the system's choice. */
async function serve(folder: string): Promise<{ server: ChildProcess; base: string }> {
  const child = spawn(process.execPath, ['dist/cli/main.js', 'serve', '--port', '0', '--data', folder], { stdio: ['ignore', 'pipe', 'inherit'] });
  const url = await new Promise<string>((resolve, reject) => {
    let said = '';
    child.stdout.on('data', (chunk: Buffer) => {
      said += chunk.toString();
      const found = /http:\S+/.exec(said)?.[0];
      if (found) resolve(found);
    });
    child.once('exit', (code) => reject(new Error(`the server ended with ${code}: ${said}`)));
  });
  return { server: child, base: url };
}

async function stop(child: ChildProcess): Promise<void> {
  if (child.exitCode !== null) return;
  const ended = new Promise((resolve) => child.once('exit', resolve));
  child.kill('SIGTERM');
  await ended;
}

function escape(text: string): string {
  return text.replaceAll(/[.*+?^${}()|[\]\\]/g, '\\$&');
}
