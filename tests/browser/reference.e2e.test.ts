import { expect, test } from 'vitest';
import type { Page } from 'playwright';
import { rulebook } from '../real-rulebook.ts';
import { settled } from './hand.ts';
import { setStage } from './stage.ts';

/** The rulebook to read: found, turned, printed, and without a signal. */

const stage = setStage('--demo');

async function open(hash: string): Promise<Page> {
  const { page } = stage;
  await page.goto(`${stage.base}#/${hash}`);
  await page.locator('lb-rules').waitFor();
  await settled(page);
  return page;
}

test.for([
  { words: 'steering angle', hit: 'Steering angle zero', title: 'Steering angle zero' },
  { words: 'windshield', hit: 'Windscreen', title: 'Windscreen' },
  { words: 'C1290', hit: 'Steering angle zero', title: 'Steering angle zero' },
  { words: 'the pedal goes to the floor', hit: 'Brakes bled', title: 'Brakes bled' },
])('finds "$words" and opens $title, where reading goes on', async ({ words, hit, title }) => {
  const page = await open('rules');
  await page.getByLabel('What does the rulebook say of').fill(words);
  await page
    .getByRole('button', { name: new RegExp(`^${hit}`) })
    .first()
    .click();
  await expect.poll(() => page.locator('lb-rule-page h2').textContent()).toBe(title);
  expect(await page.getByLabel('What does the rulebook say of').inputValue()).toBe('');
  const focused = await page.evaluate(() => {
    let active = document.activeElement;
    while (active?.shadowRoot?.activeElement) active = active.shadowRoot.activeElement;
    return active?.className;
  });
  expect(focused).toBe('read');
});

test('its contents lead to every follow-up, and its pages to each other', async () => {
  const page = await open('rules');
  const links = await page.locator('lb-rule-book .row a').evaluateAll((all) => all.map((a) => a.getAttribute('href')));
  expect(links).toHaveLength(rulebook.followUps.size);
  expect(new Set(links)).toEqual(new Set([...rulebook.followUps.keys()].map((id) => `#/rules/follow-up/${id}`)));
  await page.getByRole('link', { name: 'Wheel alignment', exact: true }).first().click();
  await expect.poll(() => page.locator('lb-rule-page h2').textContent()).toBe('Wheel alignment');
  await page.locator('lb-rule-page .source a').first().click();
  await expect.poll(() => page.locator('lb-rule-page h3').first().textContent()).toBe('Follow-ups that rest on it');
  await page.goBack();
  await expect.poll(() => page.locator('lb-rule-page h2').textContent()).toBe('Wheel alignment');
});

test('a step leads to what the rulebook of its job says, with that version above it', async () => {
  const { page } = stage;
  await page.goto(`${stage.base}#/job/48181/route/forward-camera-aim`);
  await settled(page);
  await page.getByRole('link', { name: 'What the rulebook says' }).click();
  await expect.poll(() => page.locator('lb-rule-page h2').textContent()).toBe('Forward camera aim');
  expect(await page.locator('lb-leaf-head .ro').textContent()).toContain('48181');
  expect(await page.locator('lb-leaf-head .car').textContent()).toMatch(
    /version [0-9a-f]{16}, by which this job is planned/,
  );
  await page.getByRole('link', { name: /Route/ }).first().click();
  await page.locator('lb-route-leaf').waitFor();
});

test('a page that the rulebook has not says so', async () => {
  const page = await open('rules/follow-up/no-such-thing');
  await expect
    .poll(() => page.getByText('This rulebook has no follow-up by the name of no-such-thing.').count())
    .toBe(1);
});

test('opens without a signal', async () => {
  await open('rules');
  await stage.page.evaluate(() => navigator.serviceWorker.ready);
  await stage.context.setOffline(true);
  await stage.page.reload();
  await stage.page.locator('lb-rules').waitFor();
  await stage.page.getByRole('link', { name: 'Brakes bled', exact: true }).first().click();
  await expect.poll(() => stage.page.locator('lb-rule-page h2').textContent()).toBe('Brakes bled');
});

test.for(['A4', 'Letter'] as const)(
  'a page and the whole book go on %s, nothing folded away, numbered, with the version',
  async (format) => {
    const page = await open('rules/follow-up/steering-angle-zero');
    const width = format === 'A4' ? 794 : 816;
    for (const hash of ['rules/follow-up/steering-angle-zero', 'rules/whole']) {
      await open(hash);
      await page.emulateMedia({ media: 'print' });
      await page.setViewportSize({ width: width - 91, height: 1000 });
      // 12 mm at each side: nothing is wider than what is left between.
      expect(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth), hash).toBeLessThanOrEqual(0);
      expect(await page.locator('lb-leaf-head header:visible, lb-part-search:visible, .key:visible').count()).toBe(0);
      const names = page.locator('.paper:visible');
      expect(await names.count()).toBeGreaterThan(0);
      await page.emulateMedia({ media: 'screen' });
    }
    const frame = await page.evaluate(() =>
      document.adoptedStyleSheets.flatMap((one) => [...one.cssRules].map((rule) => rule.cssText)).join('\n'),
    );
    expect(frame).toContain('counter(pages)');
    expect(frame).toMatch(/@top-left/);
    expect(frame).toContain(rulebook.version);
    expect((await page.pdf({ format })).subarray(0, 5).toString()).toBe('%PDF-');
    expect(stage.troubles).toEqual([]);
  },
);
