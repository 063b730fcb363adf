import { mkdirSync, mkdtempSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Page } from 'playwright';
import { settled } from './hand.ts';
import { launch } from './launch.ts';
import { cookies } from '../signed-in.ts';
import { serve, stop } from './served.ts';

/** Writes the pictures of the README: the built page with the invented shop, at the size of a tablet lying down. */

const folder = fileURLToPath(new URL('pictures/', import.meta.url));
const MOST_BYTES = 150_000;

/** Jobs of the invented shop, each as far as its picture wants it. */
const WRITTEN_UP = '48213';
const ON_THE_ROUTE = '48181';
const FOR_THE_FOREMAN = '48167';
const RELEASED = '48152';

/** What somebody found out about the car, so that the sheet shows more than questions. */
const ANSWERS: readonly (readonly [question: string, answer: string])[] = [
  ['camera behind the windscreen', 'Aimed on the road'],
  ['What does the engine burn?', 'Petrol, or a gas engine with spark plugs'],
  ['12 V battery is new', 'It must be told with a scan tool'],
];

/** Words that no picture of a good day shows. */
const DOUBTS = ['changed on another tablet', 'being planned'];

const data = mkdtempSync(join(tmpdir(), 'lastbolt-pictures-'));
const { server, base, who } = await serve(data, '--demo');
const browser = await launch();
try {
  mkdirSync(folder, { recursive: true });
  const page = await browser.newPage({
    viewport: { width: 1280, height: 800 },
    colorScheme: 'light',
    deviceScaleFactor: 0.7,
  });
  await page.context().addCookies(cookies(who, base));
  await page.goto(base);
  await page.getByRole('list', { name: /^Cars/ }).waitFor();
  await page.getByText('being planned').first().waitFor({ state: 'detached' });
  await take(page, 'bay-sheet');
  await open(page, `#/job/${WRITTEN_UP}/write-up`);
  await page.getByLabel('Maker').selectOption('honda');
  await noted(page);
  await take(page, 'write-up');
  await answer(page);
  await take(page, 'what-has-this-car');
  await open(page, `#/job/${ON_THE_ROUTE}/route`);
  const step = page.locator('lb-open-step');
  await step.waitFor();
  await step.evaluate((one) => one.scrollIntoView());
  await take(page, 'route');
  await open(page, `#/job/${FOR_THE_FOREMAN}/check`);
  await page.locator('lb-check-row').first().waitFor();
  await take(page, 'final-check');
  await open(page, `#/job/${RELEASED}/hand-over`);
  await page.locator('lb-hand-over').waitFor();
  await take(page, 'hand-over');
} finally {
  await browser.close();
  await stop(server);
  rmSync(data, { recursive: true, force: true });
}

async function answer(page: Page): Promise<void> {
  await open(page, `#/job/${WRITTEN_UP}/car`);
  for (const [question, said] of ANSWERS) {
    const card = page.locator('lb-question-card', { hasText: question });
    // Rules that grow may settle one answer by another: then there is nothing to ask.
    if ((await card.count()) > 0) await card.getByRole('button', { name: said, exact: true }).click();
    await page.waitForTimeout(500);
  }
  await noted(page);
}

/** Puts away what an answer changed on the list; it would stand over the leaf. */
async function noted(page: Page): Promise<void> {
  await page.getByRole('button', { name: 'Noted' }).click();
  await page.evaluate(() => window.scrollTo(0, 0));
}

async function open(page: Page, hash: string): Promise<void> {
  await page.goto(base + hash);
  await settled(page);
}

async function take(page: Page, name: string): Promise<void> {
  await page.waitForTimeout(500);
  for (const doubt of DOUBTS)
    if ((await page.getByText(doubt).count()) > 0) throw new Error(`${name}.png would show "${doubt}"`);
  await page.screenshot({ path: `${folder}${name}.png` });
  weigh(name);
}

function weigh(name: string): void {
  const { size } = statSync(`${folder}${name}.png`);
  console.log(`${name}.png ${Math.round(size / 1000)} KB`);
  if (size > MOST_BYTES) throw new Error(`${name}.png has ${size} bytes, more than ${MOST_BYTES}`);
}
