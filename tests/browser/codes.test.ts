import '../../components/sheet/tokens.css';
import '../../components/codes/codes.ts';
import { html, type LitElement, render } from 'lit';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { page, userEvent } from 'vitest/browser';
import type { Said } from '../../components/record/said.ts';
import { Command } from '../../src/job/commands.ts';
import { Bay, BEFORE, REPLIES, rulebook, STAGES, VIN } from './codes-samples.ts';
import { clearBoard, findings, newBoard } from './board.ts';

let stage: HTMLElement;
let bay: Bay;
let heard: Said['sayings'][number][];

beforeEach(() => {
  stage = newBoard();
  heard = [];
});

afterEach(() => clearBoard(stage));

describe('a report before the work', () => {
  test('is taken down only as far as a person ticked it, with the words it was found in', async () => {
    await open('fresh');
    await key('Take a report down, before the work').click();
    await box('Report of the tool').fill(BEFORE);
    await expect.element(text('3 codes in it.')).toBeVisible();
    // Nothing is ticked by itself, and what is not ticked is not written down.
    expect(boxes().map((one) => one.checked)).toEqual([false, false, false, false]);
    await pressShut('First tick the codes that are right');
    expect(heard).toEqual([]);
    await page.getByRole('checkbox', { name: /U3003-16/ }).click();
    await page.getByRole('checkbox', { name: /P0420/ }).click();
    await key('Write down 2 codes, leave out 2').click();
    expect(heard).toEqual([
      {
        type: 'scanned',
        when: 'before',
        codes: [
          { code: 'U3003-16', module: 'brakes', text: 'U3003-16 Battery voltage, below threshold  stored' },
          { code: 'P0420', text: 'PO42O' },
        ],
      },
    ]);
    // It is on record now, and its form is folded up.
    await expect.element(text('Two codes before the work.')).toBeVisible();
    expect(part().querySelector('lb-report')).toBeNull();
    // The hand stays at the key that had opened it.
    expect(part().activeElement?.getAttribute('aria-label')).toBe('Read again, before the work');
  });

  test('of another car is refused with both VINs, and gives no key to write it down', async () => {
    await open('fresh');
    await key('Take a report down, before the work').click();
    await box('Report of the tool').fill('VIN: 11111111111111111\nP0420 stored');
    const alert = page.getByRole('alert').getByText('This report is of another car');
    await expect.element(alert).toBeVisible();
    await expect.element(text('11111111111111111', true)).toBeVisible();
    await expect.element(text(VIN, true)).toBeVisible();
    expect(boxes()).toEqual([]);
    expect(page.getByRole('button', { name: /Write down|Read, and no code/ }).elements()).toEqual([]);
  });

  test('without a code says so, and a clean reading is one tap', async () => {
    await open('fresh');
    await key('Take a report down, before the work').click();
    await box('Report of the tool').fill('24 modules read, nothing found');
    await expect.element(text('No code in it.')).toBeVisible();
    await key('Read, and no code was there').click();
    expect(heard).toEqual([{ type: 'scanned', when: 'before', codes: [] }]);
  });

  test('a second one adds to the first, or takes its place, as a person says', async () => {
    await open('before');
    await key('Read again, before the work').click();
    await box('Report of the tool').fill('Transmission control module\nP0700 stored');
    await page.getByRole('checkbox', { name: /P0700/ }).click();
    await pressShut('First say what it is beside the reading on record');
    expect(heard).toEqual([]);
    await page.getByRole('button', { name: /^More to the reading/ }).click();
    await key('Write down 1 code').click();
    const [said] = heard;
    expect(said?.type === 'scanned' && said.codes.map(({ code }) => code)).toEqual([
      'P0456',
      'U3003-16',
      'C0051-54',
      'P0700',
    ]);
  });
});

describe('codes after the work', () => {
  test('stand with what became of them, in words and in the line', async () => {
    await open('after');
    const rows = [...part().querySelectorAll('lb-code-row')].map((row) => [
      row.renderRoot.querySelector('h3')?.textContent,
      row.renderRoot.querySelector('.became span')?.textContent,
      row.renderRoot.querySelectorAll('.became svg path').length,
    ]);
    expect(rows).toEqual([
      ['B11E0-13', 'new', 2],
      ['U023A-54', 'new', 2],
      ['P0456', 'stays', 1],
      ['C0051-54', 'gone', 2],
      ['U3003-16', 'gone', 2],
    ]);
    await expect.element(text('Two gone, one stays, two are new.')).toBeVisible();
  });

  test('one that nothing explains is tied to a work line in two taps, and no longer holds the car', async () => {
    await open('after');
    expect(bay.seen.rows[0]).toMatchObject({ code: 'B11E0-13', holds: expect.stringContaining('B11E0-13') });
    await key('Tie it to a work line, or explain it: B11E0-13').click();
    await key('Explain it with my name').click();
    await expect.element(text('Say in a few words what explains it.')).toBeVisible();
    await page.getByRole('button', { name: /^Left by the work: Windscreen/ }).click();
    await key('Explain it with my name').click();
    expect(heard).toMatchObject([{ type: 'explained', about: { code: 'B11E0-13' } }]);
    expect(bay.seen.rows[0]).toMatchObject({ code: 'B11E0-13', holds: undefined });
    await expect.element(text(/^Left by the work: Windscreen/)).toBeVisible();
    expect(part().activeElement?.shadowRoot?.activeElement?.getAttribute('aria-label')).toBe(
      'Explain it otherwise: B11E0-13',
    );
    expect(stage.querySelector('lb-codes')?.renderRoot.textContent).not.toContain('Two hold');
  });

  test('a step that it belongs to is a link with its bolt', async () => {
    await open('after');
    const link = page.getByRole('link', { name: /Forward camera aim, open/ });
    await expect.element(link).toBeVisible();
    expect(link.element().getAttribute('href')).toBe('#/step/forward-camera-aim');
  });

  test('a lamp that was not lit when it came in is explained under its own name', async () => {
    await open('after');
    await key('Explain it: Airbag lamp').click();
    await page.getByRole('textbox', { name: 'Why the car may go with it' }).fill('bulb of the plate');
    await key('Explain it with my name').click();
    expect(heard).toEqual([{ type: 'explained', about: { lamp: 'airbag' }, because: 'bulb of the plate' }]);
  });

  test('clearing tells its price and what it would hide', async () => {
    await open('after');
    const words = stage.querySelector('lb-codes')?.renderRoot.textContent ?? '';
    expect(words).toContain('2 complete self-tests start again from nothing');
    expect(words).toContain('Permanent P0456 stays');
    expect(words).toMatch(/Not yet:\s*B11E0-13 is explained by nothing yet/i);
  });
});

describe('self-tests', () => {
  test('are read out of pasted replies, shown before they are written down, then judged by place and year', async () => {
    await open('fresh');
    await key('Read before the work').click();
    await box('What the tool answers').fill(REPLIES);
    await expect.element(text('Compare it with the tool.')).toBeVisible();
    await key('Write them down').click();
    expect(heard).toMatchObject([{ type: 'readiness-read', when: 'before', unread: 0, modules: [{ module: '7E8' }] }]);
    await expect.element(text('A test station would send it away.')).toBeVisible();
    await expect.element(text('Judged for California, model year 2012.')).toBeVisible();
    await key('Tested in another place').click();
    await key('Elsewhere').click();
    await expect.element(text('We can not tell: ask the station.')).toBeVisible();
  });

  test('may be said one by one', async () => {
    await open('fresh');
    await key('Read before the work').click();
    await text('Say them one by one').click();
    await page.getByRole('combobox', { name: 'Catalyst', exact: true }).selectOptions('ready');
    await page.getByRole('combobox', { name: 'Fuel vapour system' }).selectOptions('not yet');
    await key('Lamp off').click();
    await key('Write them down').click();
    const [said] = heard;
    expect(said).toMatchObject({
      type: 'readiness-read',
      modules: [
        {
          mil: false,
          monitors: [
            { id: 'catalyst', complete: true },
            { id: 'evap', complete: false },
          ],
        },
      ],
    });
  });

  test('words that say nothing of them are not written down', async () => {
    await open('fresh');
    await key('Read before the work').click();
    await box('What the tool answers').fill('the car was washed');
    await pressShut('No self-test in it');
    expect(heard).toEqual([]);
  });
});

test('once the work is done, nothing is read before it any more', async () => {
  await open('after');
  expect(page.getByRole('button', { name: /before the work/ }).elements()).toEqual([]);
});

test('works with the keyboard alone', async () => {
  await open('fresh');
  (key('Take a report down, before the work').element() as HTMLElement).focus();
  await userEvent.keyboard('{Enter}');
  await box('Report of the tool').fill('P0700 stored');
  await userEvent.keyboard('{Tab} {Tab}{Enter}');
  expect(heard).toMatchObject([{ type: 'scanned', codes: [{ code: 'P0700' }] }]);
});

describe.each(['light', 'dark'])('on %s paper', (theme) => {
  test.each(Object.keys(STAGES) as (keyof typeof STAGES)[])(
    '%s: nothing that keeps anybody from reading it',
    async (how) => {
      document.documentElement.dataset.theme = theme;
      await page.viewport(1280, 800);
      await open(how);
      for (const open of part().querySelectorAll<HTMLElement>('button[aria-expanded="false"]')) {
        open.click();
        await settle();
        await clean();
      }
      await clean();
    },
  );
});

test.each([
  [1280, 800],
  [800, 1280],
  [640, 400],
  [390, 844],
])('fits %i by %i without going sideways; nothing to touch is under 48 px high', async (width, height) => {
  await page.viewport(width, height);
  await open('after');
  await key('Tie it to a work line, or explain it: B11E0-13').click();
  expect(document.documentElement.scrollWidth).toBeLessThanOrEqual(width);
  const small = deep(stage).filter(
    (one) =>
      one.matches('button, a, input, select, textarea, summary') &&
      one.getClientRects().length > 0 &&
      one.getBoundingClientRect().height < 48 &&
      !one.matches('[type=checkbox]'),
  );
  expect(small.map((one) => one.outerHTML)).toEqual([]);
});

async function open(how: keyof typeof STAGES): Promise<void> {
  bay = new Bay(STAGES[how]);
  draw();
  await settle();
}

/** Draws the leaf as an app does that takes down what was said. */
function draw(): void {
  const took = (event: Event) => {
    const { sayings } = event as Said;
    for (const saying of sayings) {
      Command.parse({ ...saying, id: 'x1', at: '2026-03-02T09:00:00Z', by: 'Ana' });
      heard.push(saying);
    }
    bay.say(...sayings);
    draw();
  };
  render(
    html`<div @lb-said=${took}><lb-codes .sight=${bay.sight} .rulebook=${rulebook} .now=${Date.UTC(2026, 2, 2, 9)} .stepHref=${(step: string) => `#/step/${step}`}></lb-codes></div>`,
    stage,
  );
}

function part(): ShadowRoot {
  return (stage.querySelector('lb-codes') as LitElement).renderRoot as ShadowRoot;
}

async function settle(): Promise<void> {
  for (let i = 0; i < 4; i++) for (const one of deep(stage)) await (one as LitElement).updateComplete;
}

function deep(root: Element | ShadowRoot): Element[] {
  return [...root.querySelectorAll('*')].flatMap((one) => [one, ...(one.shadowRoot ? deep(one.shadowRoot) : [])]);
}

function boxes(): HTMLInputElement[] {
  return deep(stage).filter((one): one is HTMLInputElement => one.matches('input[type=checkbox]'));
}

function key(name: string) {
  return page.getByRole('button', { name, exact: true });
}

/** A key that says why it does nothing yet does nothing. */
async function pressShut(name: string): Promise<void> {
  await expect.element(key(name)).toHaveAttribute('aria-disabled', 'true');
  (key(name).element() as HTMLElement).click();
}

function box(name: string) {
  return page.getByRole('textbox', { name });
}

function text(words: string | RegExp, exact = false) {
  return page.getByText(words, { exact }).first();
}

async function clean(): Promise<void> {
  expect(await findings(stage)).toEqual([]);
}
