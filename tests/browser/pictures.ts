import { mkdirSync, mkdtempSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Page } from 'playwright';
import { settled } from './hand.ts';
import { launch } from './launch.ts';
import { cookies } from '../signed-in.ts';
import { serve, stop } from './served.ts';

/** Writes the pictures of the README: the built page with the invented job 48213, at the size of a tablet lying down. */

const folder = fileURLToPath(new URL('pictures/', import.meta.url));
const MOST_BYTES = 150_000;
const JOB = '#/job/48213';

/** What somebody found out about the car, so that the sheet shows more than questions. */
const ANSWERS: readonly (readonly [question: string, answer: string])[] = [
  ['camera behind the windscreen', 'Aimed on the road'],
  ['What does the engine burn?', 'Petrol, or a gas engine with spark plugs'],
  ['12 V battery is new', 'It must be told with a scan tool'],
];

const data = mkdtempSync(join(tmpdir(), 'lastbolt-pictures-'));
const { server, base, who } = await serve(data, '--demo');
const browser = await launch();
try {
  mkdirSync(folder, { recursive: true });
  const page = await browser.newPage({
    viewport: { width: 1280, height: 800 },
    colorScheme: 'light',
    deviceScaleFactor: 0.75,
  });
  await page.context().addCookies(cookies(who, base));
  await open(page, `${JOB}/write-up`);
  await page.getByLabel('Maker').selectOption('honda');
  await take(page, 'write-up');
  await open(page, `${JOB}/car`);
  for (const [question, answer] of ANSWERS) {
    const card = page.locator('lb-question-card', { hasText: question });
    // Rules that grow may settle one answer by another: then there is nothing to ask.
    if ((await card.count()) > 0) await card.getByRole('button', { name: answer, exact: true }).click();
    await page.waitForTimeout(500);
  }
  await page.getByRole('button', { name: 'Noted' }).click();
  await page.evaluate(() => window.scrollTo(0, 0));
  await take(page, 'what-has-this-car');
  await open(page, `${JOB}/route`);
  await page.locator('lb-step-row').first().waitFor();
  await take(page, 'route');
  await paper(page);
} finally {
  await browser.close();
  await stop(server);
  rmSync(data, { recursive: true, force: true });
}

async function open(page: Page, hash: string): Promise<void> {
  await page.goto(base + hash);
  await settled(page);
}

async function take(page: Page, name: string): Promise<void> {
  await page.waitForTimeout(500);
  await page.screenshot({ path: `${folder}${name}.png` });
  weigh(name);
}

/** The first page as it prints on A4, at 96 dots per inch. */
async function paper(page: Page): Promise<void> {
  await page.emulateMedia({ media: 'print' });
  await page.setViewportSize({ width: 794, height: 1123 });
  await page.evaluate(() => {
    document.body.style.padding = '12mm';
  });
  await page.screenshot({ path: `${folder}paper.png`, clip: { x: 0, y: 0, width: 794, height: 1123 } });
  weigh('paper');
}

function weigh(name: string): void {
  const { size } = statSync(`${folder}${name}.png`);
  console.log(`${name}.png ${Math.round(size / 1000)} KB`);
  if (size > MOST_BYTES) throw new Error(`${name}.png has ${size} bytes, more than ${MOST_BYTES}`);
}
