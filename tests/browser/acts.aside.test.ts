import '../../components/sheet/tokens.css';
import '../../components/left/last-left.ts';
import '../../components/photo/photo.ts';
import '../../components/timers/timer-bar.ts';
import fc from 'fast-check';
import { html, type LitElement, render, type TemplateResult } from 'lit';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { page } from 'vitest/browser';
import type { PhotoTaken } from '../../components/photo/photo.ts';
import { digest, sha256 } from '../../components/photo/sha256.ts';
import type { Said } from '../../components/record/said.ts';
import type { TimerBar, TimerTapped } from '../../components/timers/timer-bar.ts';
import { sightOf } from '../../src/job/sight.ts';
import type { Timer } from '../../src/job/timers.ts';
import { rules } from '../job.rulebook.ts';
import { Runner, type Told } from '../job.run.ts';
import { smallTargets } from './hand.ts';
import { settled } from './acts-bench.ts';
import { clearBoard, findings, newBoard } from './board.ts';

let stage: HTMLElement;

beforeEach(() => {
  stage = newBoard();
});

afterEach(() => {
  clearBoard(stage);
  vi.restoreAllMocks();
});

async function put<E extends LitElement>(template: TemplateResult): Promise<E> {
  render(template, stage);
  const element = stage.firstElementChild as E;
  await settled(element);
  return element;
}

const tap = (name: string) => page.getByRole('button', { name, exact: true }).click();
const words = (element: LitElement) =>
  [...element.renderRoot.children]
    .filter((one) => one.localName !== 'style')
    .map((one) => (one as HTMLElement).innerText)
    .join(' ')
    .replaceAll(/\s+/g, ' ')
    .trim();

const T0 = Date.UTC(2026, 2, 2, 9, 0);
const MIN = 60_000;
const glass: Timer = {
  ro: '48213',
  step: 'glass',
  title: 'Glass adhesive wait',
  begins: T0 - 30 * MIN,
  ends: T0 + 30 * MIN,
  kind: 'wait',
};
const off: Timer = {
  ro: '48207',
  step: 'zero',
  title: 'Steering angle zero',
  begins: T0 - 20_000,
  ends: T0 + 10_000,
  kind: 'closing',
};

describe('the timer bar', () => {
  const bar = (timers: readonly Timer[], now: number) =>
    put<TimerBar>(html`<lb-timer-bar .timers=${timers} .now=${now}></lb-timer-bar>`);

  test('is not there without a timer', async () => {
    expect((await bar([], T0)).getBoundingClientRect().height).toBeLessThanOrEqual(4);
  });

  test('shows all of them, the soonest first, each with what is left of it', async () => {
    const element = await bar([glass, off], T0);
    expect(words(element)).toBe('10 s 48207 Steering angle zero, closing 30 min 48213 Glass adhesive wait');
    expect(element.ringing).toBe(false);
    const lengths = [...element.renderRoot.querySelectorAll('rect')].map((rect) => Number(rect.getAttribute('width')));
    // 20 of 30 s, 30 of 60 min
    expect(lengths).toEqual([66.7, 50]);
  });

  test('makes one that is over large, tells it at once, and rings until it is silenced', async () => {
    let tones = 0;
    vi.spyOn(AudioContext.prototype, 'createOscillator').mockImplementation(function (this: AudioContext) {
      tones++;
      return new OscillatorNode(this);
    });
    await bar([glass, off], T0);
    // the first touch of the page, which lets it ring
    await page.getByRole('button', { name: /48213/ }).click();
    const element = await bar([glass, off], T0 + 10_000);
    await expect
      .element(page.getByRole('alert'))
      .toHaveTextContent(/48207 is over\s*Steering angle zero: close it, since \d\d:\d\d/);
    expect(element.ringing).toBe(true);
    expect(tones).toBe(3);
    const [over, running] = ['.over', '.timer'].map(
      (name) => element.renderRoot.querySelector(name)?.getBoundingClientRect().height ?? 0,
    );
    expect(over).toBeGreaterThan((running as number) * 1.3);
    await tap('Silence it');
    expect(element.ringing).toBe(false);
    await expect.element(page.getByRole('alert')).toHaveTextContent('48207 is over');
  });

  test('rings again for the next one, and for the same step when it is run once more', async () => {
    const element = await bar([off], T0 + 10_000);
    await tap('Silence it');
    await bar([off, { ...glass, ends: T0 + 10_000 }], T0 + 10_000);
    expect(element.ringing).toBe(true);
    await tap('Silence it');
    expect(element.ringing).toBe(false);
    await bar([{ ...off, ends: T0 + 20_000 }], T0 + 20_000);
    expect(element.ringing).toBe(true);
  });

  test('is silent once it is gone from the page', async () => {
    const element = await bar([off], T0 + 10_000);
    const stopped = vi.spyOn(globalThis, 'clearInterval');
    element.remove();
    expect(stopped).toHaveBeenCalled();
  });

  test('leads to the step', async () => {
    const element = await bar([glass, off], T0 + 10_000);
    const heard: string[] = [];
    element.addEventListener('lb-timer-tapped', (event) => heard.push((event as TimerTapped).timer.step));
    await tap('Go there');
    await page.getByRole('button', { name: /48213/ }).click();
    expect(heard).toEqual(['zero', 'glass']);
    expect(element.ringing).toBe(false);
  });
});

describe('as the car was left', () => {
  const given: readonly Told[] = [
    { type: 'opened' },
    { type: 'line-added', line: { part: 'pads', did: 'refitted' } },
    { type: 'took', step: 'brake-open', values: { 'proof/brake-open/Mode shown': { kind: 'choice', value: 'open' } } },
    { type: 'set-up-left', setup: { ignition: 'on' }, note: 'interface on the seat' },
  ];
  async function left(told: readonly Told[]) {
    const runner = new Runner([rules]);
    for (const one of told) runner.must(one);
    const said: Told[] = [];
    const sight = sightOf(runner.job, rules);
    const element = await put(
      html`<lb-last-left .sight=${sight} .rulebook=${rules} .now=${Date.parse(runner.events.at(-1)?.at ?? '')}></lb-last-left>`,
    );
    element.addEventListener('lb-said', (event) => {
      for (const saying of (event as Said).sayings) {
        said.push(saying as Told);
        runner.must(saying as Told);
      }
    });
    return { element, said, runner };
  }

  test('the last step, who, what it is set up like, and what it must not leave with', async () => {
    const { element } = await left(given);
    const told = words(element);
    expect(told).toMatch(/Finished last: Parking brake opened for pads, \d\d:\d\d Ana/);
    expect(told).toMatch(/Left at \d\d:\d\d by Ana with:/);
    expect(element.renderRoot.querySelector('lb-setup-glyphs')?.shadowRoot?.textContent).toContain('Ignition on');
    expect(told).toContain('interface on the seat');
    expect(told).toMatch(
      /Parking brake opened for pads\. Since \d\d:\d\d Ana\. Ended by: Parking brake closed and learned\./,
    );
  });

  test('what a night ended is to be done again', async () => {
    const { element } = await left([
      { type: 'opened' },
      { type: 'line-added', line: { part: 'module', did: 'replaced' } },
      { type: 'work-done' },
      { type: 'took', step: 'keys-collected' },
      { type: 'night-passed' },
    ]);
    expect(words(element)).toContain('Holds no longer: every key on the bench.');
    expect(words(element)).toContain('To be done again:');
  });

  test('nothing is known of a new job', async () => {
    const { element } = await left(given.slice(0, 1));
    expect(words(element)).toContain('No step is finished yet.');
    expect(words(element)).toContain('Nobody said what it is set up like.');
  });

  test('is said again with keys, and the record takes it', async () => {
    const { said, runner } = await left(given.slice(0, 2));
    await tap('Say what it is left like now');
    await tap('It is left like that');
    expect(said).toEqual([]);
    await page.getByRole('group', { name: 'Ignition' }).getByRole('button', { name: 'Running' }).click();
    await page.getByRole('group', { name: 'Ignition' }).getByRole('button', { name: 'On' }).click();
    await page.getByLabelText('What else is left').fill('charger lead under the car');
    await tap('It is left like that');
    expect(said).toEqual([{ type: 'set-up-left', setup: { ignition: 'on' }, note: 'charger lead under the car' }]);
    expect(runner.job.setUpLeft?.setup).toEqual({ ignition: 'on' });
  });

  test('a night that passed is told by one tap', async () => {
    const { said } = await left(given);
    await tap('It stood overnight');
    expect(said).toEqual([{ type: 'night-passed' }]);
  });
});

describe('a photo', () => {
  /** A picture with a block of place data before it, as a camera writes it. */
  async function jpeg(width: number, height: number): Promise<File> {
    const canvas = document.createElement('canvas');
    [canvas.width, canvas.height] = [width, height];
    const context = canvas.getContext('2d') as CanvasRenderingContext2D;
    context.fillStyle = '#c33';
    context.fillRect(0, 0, width / 2, height);
    const blob = await new Promise<Blob>((resolve) => canvas.toBlob((made) => resolve(made as Blob), 'image/jpeg'));
    const bytes = new Uint8Array(await blob.arrayBuffer());
    // APP1 with one tag of the main directory: GPSLatitudeRef stands in the text that must not be found again
    const exif = new TextEncoder().encode('Exif\0\0MM\0*\0\0\0\b\0\0PLACE 52.5N 13.4E');
    const length = exif.length + 2;
    const app1 = [0xff, 0xe1, length >> 8, length & 0xff, ...exif];
    return new File([bytes.slice(0, 2), new Uint8Array(app1), bytes.slice(2)], 'IMG.jpg', { type: 'image/jpeg' });
  }

  async function take(file: File) {
    const element = await put(html`<lb-photo label="Photograph it"></lb-photo>`);
    const heard: PhotoTaken[] = [];
    element.addEventListener('lb-photo-taken', (event) => heard.push(event as PhotoTaken));
    const given = new DataTransfer();
    given.items.add(file);
    const field = element.renderRoot.querySelector('input') as HTMLInputElement;
    field.files = given.files;
    field.dispatchEvent(new Event('change'));
    return { element, heard };
  }

  test.each([
    [4000, 3000, 1600, 1200],
    [900, 3200, 450, 1600],
    [640, 480, 640, 480],
  ])('of %d by %d is kept as %d by %d, as JPEG, without the place where it was taken', async (width, height, w, h) => {
    const file = await jpeg(width, height);
    expect(await text(file)).toContain('PLACE');
    const { element, heard } = await take(file);
    await expect.poll(() => heard.length, { timeout: 10_000 }).toBe(1);
    const [{ blob, hash }] = heard as [PhotoTaken];
    const bitmap = await createImageBitmap(blob);
    expect([bitmap.width, bitmap.height, blob.type]).toEqual([w, h, 'image/jpeg']);
    expect(await text(blob)).not.toMatch(/PLACE|Exif/);
    expect(hash).toBe(await sha256(new Uint8Array(await blob.arrayBuffer())));
    expect(hash).toMatch(/^[0-9a-f]{64}$/);
    await settled(element);
    expect(element.renderRoot.querySelector('img')?.naturalWidth).toBeGreaterThanOrEqual(0);
    await expect.element(page.getByRole('status')).toHaveTextContent('A picture is kept.');
  });

  test('that is none is refused in words', async () => {
    const { heard } = await take(new File(['no picture'], 'a.jpg', { type: 'image/jpeg' }));
    await expect.element(page.getByRole('alert')).toHaveTextContent('That is no picture this tablet can read.');
    expect(heard).toEqual([]);
  });

  test('has the same hash with the help of the browser and without it', async () => {
    const subtle = async (bytes: Uint8Array<ArrayBuffer>) => [
      ...new Uint8Array(await crypto.subtle.digest('SHA-256', bytes)),
    ];
    // FIPS 180-4: the block boundaries lie at 55, 56 and 64 bytes
    for (const length of [0, 1, 55, 56, 63, 64, 65, 119, 120, 1000]) {
      const bytes = new Uint8Array(length).fill(0x61);
      expect([...digest(bytes)], `${length} bytes`).toEqual(await subtle(bytes));
    }
    await fc.assert(
      fc.asyncProperty(fc.uint8Array({ maxLength: 300 }), async (made) => {
        const bytes = new Uint8Array(made);
        expect([...digest(bytes)]).toEqual(await subtle(bytes));
      }),
      { numRuns: 200 },
    );
  });

  test('is hashed on a plain http address as well', async () => {
    vi.stubGlobal('crypto', {});
    try {
      // FIPS 180-4 example, "abc"
      expect(await sha256(new Uint8Array([0x61, 0x62, 0x63]))).toBe(
        'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad',
      );
    } finally {
      vi.unstubAllGlobals();
    }
  });

  async function text(blob: Blob): Promise<string> {
    return new TextDecoder('latin1').decode(await blob.arrayBuffer());
  }
});

describe.each(['light', 'dark'])('on %s paper', (theme) => {
  test('no finding of an accessibility checker, no small target', async () => {
    document.documentElement.dataset.theme = theme;
    const runner = new Runner([rules]);
    for (const told of [
      { type: 'opened' },
      { type: 'line-added', line: { part: 'pads', did: 'refitted' } },
      {
        type: 'took',
        step: 'brake-open',
        values: { 'proof/brake-open/Mode shown': { kind: 'choice', value: 'open' } },
      },
      { type: 'set-up-left', setup: { ignition: 'on' } },
    ])
      runner.must(told);
    const sight = sightOf(runner.job, rules);
    stage.style.background = 'var(--paper)';
    stage.style.color = 'var(--ink)';
    render(
      html`<lb-last-left .sight=${sight} .rulebook=${rules} .now=${T0}></lb-last-left>
        <lb-photo label="Photograph it"></lb-photo>
        <lb-timer-bar .timers=${[glass, off, { ...off, step: 'b', ends: T0 - 1 }]} .now=${T0}></lb-timer-bar>`,
      stage,
    );
    for (const element of stage.children) await settled(element as LitElement);
    await tap('Say what it is left like now');
    expect(await findings(stage, true)).toEqual([]);
    expect(smallTargets()).toEqual([]);
  });
});
