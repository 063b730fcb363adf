import AxeBuilder from '@axe-core/playwright';
import type { Page } from 'playwright';
import { expect, test } from 'vitest';
import { headersOf, json } from '../signed-in.ts';
import { settled, smallTargets } from './hand.ts';
import { put } from './served.ts';
import { setStage } from './stage.ts';

/** Every leaf of the page, with cars at every stage on it. */

const stage = setStage('--demo');

const LEAVES = [
  '',
  'here/alignment-rack/scan-tool',
  'new',
  'went',
  'people',
  'shop',
  'rules',
  'rules/follow-up/steering-angle-zero',
  'rules/part/windscreen',
  'rules/source/CH-005',
  'job/48181/rules/follow-up/forward-camera-aim',
  'learning',
  'parts',
  ...['write-up', 'car', 'before', 'route', 'codes', 'check', 'hand-over'].map((leaf) => `job/48181/${leaf}`),
  ...['write-up', 'car', 'before', 'route', 'drive/1'].map((leaf) => `job/7001/${leaf}`),
  'job/48167/check',
  // Before the job that it came back from: that has to be fetched for it.
  'job/48190/comeback',
  'job/48152/hand-over',
];
const SIZES = [
  { width: 1280, height: 800 },
  { width: 800, height: 1280 },
  { width: 390, height: 844 },
  // 1280 x 800 at 200 %
  { width: 640, height: 400 },
];

/** Written up only, with work that ends on the road. */
const DRAFT = {
  ro: '7001',
  vehicle: {
    market: 'us',
    maker: 'honda',
    modelYear: 2019,
    traits: { 'forward-camera': 'road', 'steering-zero-method': 'self-centring' },
  },
  work: [
    { part: 'windscreen', did: 'replaced' },
    { part: 'tie-rod-end', did: 'replaced', at: 'front-right' },
    { part: 'battery-12v', did: 'replaced' },
  ],
};

test.for(['light', 'dark'] as const)(
  'has no findings, text of 7:1, targets of 48 px and no sideways scrolling, %s',
  { timeout: 600_000 },
  async (colorScheme) => {
    await put(stage.base, DRAFT, 0, stage.who);
    const { page } = stage;
    await page.emulateMedia({ colorScheme });
    for (const leaf of LEAVES) {
      await page.goto(`${stage.base}#/${leaf}`);
      await shown(page);
      if (leaf.endsWith('/comeback')) await page.locator('lb-comeback').waitFor();
      if (leaf.includes('rules')) await page.locator('lb-rules').waitFor();
      if (leaf === 'parts') await page.locator('lb-parts-page').waitFor();
      await look(page, leaf, colorScheme);
    }
    expect(stage.troubles).toEqual([]);
  },
);

test.for(['light', 'dark'] as const)(
  'nor has the door, before and behind the first foreman, %s',
  async (colorScheme) => {
    const page = await stage.tablet(undefined, false);
    await page.emulateMedia({ colorScheme });
    await page.goto(stage.base);
    await page.getByRole('heading', { name: 'Who is it?' }).waitFor();
    await look(page, 'the door', colorScheme);
    // As a tablet finds a server at which nobody works yet.
    await page.route('**/api/door', async (route) => {
      const door = (await (await route.fetch()).json()) as object;
      await route.fulfill({ json: { ...door, people: [], first: true } });
    });
    await page.reload();
    await page.getByLabel(/code/i).first().waitFor();
    await look(page, 'the first foreman', colorScheme);
  },
);

test('a page that somebody has locked shows nothing of what lies under it', async () => {
  await stage.page.goto(`${stage.base}#/job/48181/route`);
  await shown(stage.page);
  const answer = await fetch(`${stage.base}api/session`, { ...json({}, headersOf(stage.who), 'DELETE'), body: null });
  expect(answer.status).toBe(200);
  await stage.page.getByRole('heading', { name: /who is it\?/i }).waitFor();
  expect(await stage.page.locator('lb-step-row:visible').count()).toBe(0);
});

test('a key that the hand tabs to never lies under the timers', async () => {
  const { page } = stage;
  await page.goto(`${stage.base}#/job/48181/route`);
  await shown(page);
  await page.locator('lb-timer-bar').waitFor();
  for (let i = 0; i < 40; i++) {
    await page.keyboard.press('Tab');
    const hidden = await page.evaluate(() => {
      let focused = document.activeElement;
      while (focused?.shadowRoot?.activeElement) focused = focused.shadowRoot.activeElement;
      const bar = document.querySelector('last-bolt')?.shadowRoot?.querySelector('lb-timers');
      if (!focused || !bar || bar.contains(focused) || bar.shadowRoot?.activeElement) return '';
      const [key, edge] = [focused.getBoundingClientRect(), bar.getBoundingClientRect().top];
      // One that is higher than what is left of the screen shows its upper end.
      return key.top >= edge ? (focused.textContent ?? focused.localName) : '';
    });
    expect(hidden, `tab ${i + 1}`).toBe('');
  }
});

/** Fetched, planned and drawn. */
async function shown(page: Page): Promise<void> {
  await settled(page);
  for (const words of ['Being fetched.', 'Being planned.'])
    await expect.poll(() => page.getByText(words).count()).toBe(0);
}

async function look(page: Page, leaf: string, colorScheme: string): Promise<void> {
  // So high that the timers at the lower edge lie over nothing: what they cover is scrolled to.
  await page.setViewportSize({ width: 1280, height: 6000 });
  const { violations } = await new AxeBuilder({ page })
    .withTags(['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'])
    .disableRules(leaf === 'parts' ? HEAP : [])
    .analyze();
  // On its own: it has to be seen that it ran.
  const contrast = await new AxeBuilder({ page })
    .options({ runOnly: ['color-contrast-enhanced'], rules: { 'color-contrast-enhanced': { enabled: true } } })
    .analyze();
  expect(contrast.passes.flatMap(({ nodes }) => nodes).length, leaf).toBeGreaterThan(3);
  expect(
    [...violations, ...contrast.violations].map(
      ({ id, nodes }) => `${leaf}: ${id} ${nodes.map(({ target }) => target.join(' ')).join(', ')}`,
    ),
  ).toEqual([]);
  for (const size of SIZES) {
    await page.setViewportSize(size);
    const where = `${leaf} ${size.width} ${colorScheme}`;
    const sideways = () => page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    expect(await sideways(), where).toBeLessThanOrEqual(0);
    expect(await page.evaluate(smallTargets), where).toEqual([]);
  }
  await page.setViewportSize({ width: 1280, height: 800 });
}

/** Rules for whole pages, which a heap of parts that each belong to a page cannot keep. */
const HEAP = [
  'region',
  'heading-order',
  'page-has-heading-one',
  'landmark-unique',
  'landmark-no-duplicate-banner',
  'landmark-banner-is-top-level',
  'landmark-no-duplicate-main',
];
