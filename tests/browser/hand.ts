import type { Page } from 'playwright';
import { expect } from 'vitest';

/** An invented VIN: its maker code belongs to nobody, its check digit is right (49 CFR 565.15(c)). */
export const VIN = '7ZHAB3C59K0900418';

/** Taps and typed letters, as a person makes them. */
export class Hand {
  taps = 0;
  letters = 0;

  constructor(readonly page: Page) {}

  async tap(name: string | RegExp): Promise<void> {
    this.taps++;
    const target = typeof name === 'string' ? new RegExp(`^${escape(name)}$`) : name;
    await this.page
      .getByRole('button', { name: target })
      .or(this.page.getByRole('link', { name: target }))
      .first()
      .click();
  }

  /** Putting the finger into a field is a tap, unless the page did it. */
  async type(label: string, text: string, given = false): Promise<void> {
    const field = this.page.getByLabel(label);
    if (given) {
      await expect
        .poll(() => field.evaluate((one) => (one.getRootNode() as ShadowRoot).activeElement === one))
        .toBe(true);
    } else {
      this.taps++;
      await field.click();
    }
    this.letters += text.length;
    await this.page.keyboard.type(text);
  }
}

/** Opens the bay sheet from the shelf: the first page is there before its keeper, so it is opened twice. */
export async function openFromShelf(page: Page, base: string): Promise<void> {
  const cars = page.getByRole('list', { name: /^Cars/ });
  await page.goto(`${base}#/`);
  await cars.waitFor();
  await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
  await page.reload();
  await cars.waitFor();
}

/** Windscreen, tie rod end and 12 V battery, on repair order 7001. */
export async function writeUp(base: string, hand: Hand): Promise<void> {
  await hand.page.goto(base);
  await hand.tap('Write up a car');
  await settled(hand.page);
  await hand.type('Number of the repair order', '7001', true);
  await hand.tap('Write it up');
  await hand.type('VIN', VIN, true);
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

export async function rows(on: Page): Promise<string[]> {
  await on.locator('lb-step-row').first().waitFor();
  const names = await on.locator('lb-step-row .name').allTextContents();
  return names.map((name) => name.replace(/^\d+\s+/, '').trim());
}

export async function pressed(within: ReturnType<Page['locator']>): Promise<string[]> {
  return within.locator('button[aria-pressed="true"]').allTextContents();
}

export async function settled(on: Page): Promise<void> {
  await on.locator('lb-leaf-head').waitFor();
  await on.waitForLoadState('networkidle');
  await on.evaluate(() => document.fonts.ready.then(() => undefined));
}

/** Keys, fields and stand-alone links lower or narrower than 48 px; runs in the page. */
export function smallTargets(): string[] {
  const found: string[] = [];
  const visit = (root: Document | ShadowRoot) => {
    for (const element of root.querySelectorAll('*')) {
      if (element.shadowRoot) visit(element.shadowRoot);
      if (!element.matches('button, input, select, textarea, summary, a.key, a.alone, a.t, a.brand')) continue;
      // A file field is hidden behind its label, which is what a finger meets.
      const hit = element.matches('input[type="file"]')
        ? ((element as HTMLInputElement).labels?.[0] ?? element)
        : element;
      const { width, height } = hit.getBoundingClientRect();
      if (width > 0 && height > 0 && (width < 48 || height < 48))
        found.push(`${element.localName}.${element.className} ${width}x${height}`);
    }
  };
  visit(document);
  return found;
}

export async function tabTo(on: Page, name: string | RegExp, most = 60): Promise<void> {
  for (let i = 0; i < most; i++) {
    const focused = await on.evaluate(() => {
      let active = document.activeElement;
      while (active?.shadowRoot?.activeElement) active = active.shadowRoot.activeElement;
      return active instanceof HTMLInputElement
        ? (active.labels?.[0]?.textContent?.trim() ?? '')
        : (active?.textContent?.trim() ?? '');
    });
    if (typeof name === 'string' ? focused === name : name.test(focused)) return;
    await on.keyboard.press('Tab');
  }
  throw new Error(`${most} times Tab did not come to ${String(name)}`);
}

function escape(text: string): string {
  return text.replaceAll(/[.*+?^${}()|[\]\\]/g, '\\$&');
}
