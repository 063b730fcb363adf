import { mkdtempSync, rmSync } from 'node:fs';
import { loadavg, tmpdir } from 'node:os';
import { join } from 'node:path';
import { type BrowserContext, chromium } from 'playwright';
import { chromiumPath, launchArgs } from '../../.ci/chromium.mjs';
import { serve, stop } from '../browser/served.ts';
import { cookies } from '../signed-in.ts';
import type { Row } from './run.ts';

export const name = 'cold-start';

const STARTS = 5;
/** A tablet of the cheaper kind beside a desk computer (common practice, no source). */
const SLOWER = 4;
const BUDGET_MS = 2_000;

/** What the page saw of its own bay sheet, in milliseconds since the navigation began. */
interface Seen {
  /** A car stood on it. */
  drawn?: number;
  /** Each car stood on it with its time. */
  planned?: number;
}

/**
 * The browser is started anew, the server is gone and the page slowed down: the bay sheet comes from what the tablet
 * kept. Only the page's own thread is slowed, not its workers. Wants the built page (`npm run build`).
 */
export async function run(): Promise<Row[]> {
  const folder = mkdtempSync(join(tmpdir(), 'lastbolt-cold-'));
  try {
    const tablet = join(folder, 'tablet');
    const base = await install(join(folder, 'data'), tablet);
    const seen: Required<Seen>[] = [];
    for (let i = 0; i < STARTS; i++) seen.push(await coldStart(tablet, base));
    const drawn = median(seen.map((one) => one.drawn));
    const planned = median(seen.map((one) => one.planned));
    if (drawn > BUDGET_MS) throw new Error(`a car is drawn after ${Math.round(drawn)} ms, over ${BUDGET_MS}`);
    return [
      row('a car on the bay sheet', drawn, seen, 'drawn'),
      row('every car with its time', planned, seen, 'planned'),
    ];
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** Opens the page until it is kept, then ends browser and server; gives the address, at which nobody answers any more. */
async function install(data: string, tablet: string): Promise<string> {
  const { server, base, who } = await serve(data, '--demo');
  try {
    const context = await open(tablet);
    await context.addCookies(cookies(who, base));
    const page = await context.newPage();
    // The first page was there before its keeper: from the second on it opens from the shelf.
    for (let i = 0; i < 2; i++) {
      await page.goto(base);
      await page.getByText('being planned').first().waitFor({ state: 'detached' });
      await page.getByText('Every sheet is on the server.').waitFor();
      await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
    }
    await context.close();
  } finally {
    await stop(server);
  }
  return base;
}

async function coldStart(tablet: string, base: string): Promise<Required<Seen>> {
  const context = await open(tablet);
  try {
    await context.setOffline(true);
    const page = await context.newPage();
    await page.addInitScript(watch);
    const slowed = await context.newCDPSession(page);
    await slowed.send('Emulation.setCPUThrottlingRate', { rate: SLOWER });
    await page.goto(base);
    await page.waitForFunction(() => (window as { seen?: Seen }).seen?.planned !== undefined);
    await page.getByText('No signal. Go on').waitFor();
    return (await page.evaluate(() => (window as { seen?: Seen }).seen)) as Required<Seen>;
  } finally {
    await context.close();
  }
}

async function open(tablet: string): Promise<BrowserContext> {
  return chromium.launchPersistentContext(tablet, {
    executablePath: await chromiumPath(),
    args: launchArgs,
    viewport: { width: 1280, height: 800 },
  });
}

/** Runs in the page, looking as often as it draws. No function in it bears a name: what runs this file would call for names that the page has not. */
function watch(): void {
  const seen: Seen = {};
  Object.assign(window, { seen });
  setInterval(() => {
    const bay = document.querySelector('last-bolt')?.shadowRoot?.querySelector('lb-bay-sheet')?.shadowRoot;
    const cars = [...(bay?.querySelectorAll('ol > li') ?? [])];
    if (cars.length === 0) return;
    seen.drawn ??= performance.now();
    if (cars.every((car) => car.querySelector('.say'))) seen.planned ??= performance.now();
  }, 16);
}

function row(what: string, figure: number, seen: readonly Required<Seen>[], of: keyof Seen): Row {
  const all = seen.map((one) => one[of]);
  return {
    what,
    'median, ms': Math.round(figure),
    'least, ms': Math.round(Math.min(...all)),
    'most, ms': Math.round(Math.max(...all)),
    starts: all.length,
    'page slowed': `x${SLOWER}`,
    'load of the machine': (loadavg()[0] ?? 0).toFixed(1),
  };
}

function median(figures: readonly number[]): number {
  return figures.toSorted((a, b) => a - b)[Math.floor(figures.length / 2)] as number;
}
