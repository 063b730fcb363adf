import '../../components/sheet/tokens.css';
import '../../components/check/final-check.ts';
import '../../components/papers/hand-over.ts';
import '../../components/people/people-page.ts';
import '../../components/people/shop-page.ts';
import '../../components/people/sign-in.ts';
import { html, LitElement, render, type TemplateResult } from 'lit';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { page, userEvent } from 'vitest/browser';
import type { Door, Shop } from '../../src/job/exchange.ts';
import type { Runner } from '../job.run.ts';
import { rules } from '../job.rulebook.ts';
import { foreman, ready, settle, sight, technician, toCheck, writtenUp } from './check.samples.ts';
import { smallTargets } from './hand.ts';
import { clearBoard, findings, newBoard } from './board.ts';

let stage: HTMLElement;

beforeEach(() => {
  stage = newBoard();
});

afterEach(() => clearBoard(stage));

const DOOR: Door = {
  shop: 'Tarn Lane Garage',
  people: [foreman, technician],
  first: false,
  session: null,
  locksAfter: 10,
};
const SHOP: Shop = {
  name: 'Tarn Lane Garage',
  alone: false,
  units: 'metric',
  tools: null,
  'lock-minutes': 10,
  'keep-years': 3,
};
const TOOLS = {
  none: { title: 'no tool' },
  'scan-tool': { title: 'scan tool' },
  'target-stand': { title: 'target stand' },
};

describe('signing in', () => {
  test('takes a name and a PIN from keys, shows no digit, and forgets the PIN', async () => {
    const heard = listen('lb-signed-in');
    await put(html`<lb-sign-in .door=${DOOR}></lb-sign-in>`);
    await tap(/Rilla Quist/);
    for (const digit of '2468') await tap(digit);
    const field = page.getByLabelText('PIN of Rilla Quist').element() as HTMLInputElement;
    expect([field.type, field.value]).toEqual(['password', '2468']);
    await tap('Sign in');
    expect(heard).toMatchObject([{ person: 'rilla-quist', pin: '2468' }]);
    expect(field.value).toBe('');
  });

  test('goes by keyboard alone, and another name takes the digits away', async () => {
    const heard = listen('lb-signed-in');
    await put(html`<lb-sign-in .door=${DOOR}></lb-sign-in>`);
    await userEvent.tab();
    await userEvent.keyboard('{Enter}');
    await expect.poll(focused).toBe('PIN of Ode Falkenby');
    await userEvent.keyboard('12a34');
    await tap(/Rilla Quist/);
    await expect.poll(focused).toBe('PIN of Rilla Quist');
    await userEvent.keyboard('97531{Enter}');
    expect(heard).toMatchObject([{ person: 'rilla-quist', pin: '97531' }]);
  });

  test('asks for whoever was here last once it is locked, and says why a PIN was not taken', async () => {
    const session = { person: technician, token: 't', until: '2026-11-25T12:00:00Z' };
    await put(html`<lb-sign-in again .door=${{ ...DOOR, session }} says="That is not the PIN."></lb-sign-in>`);
    await expect.element(page.getByRole('heading', { name: 'Locked after 10 minutes: who is it?' })).toBeVisible();
    await expect.element(page.getByLabelText('PIN of Rilla Quist')).toBeVisible();
    await expect.element(page.getByRole('alert')).toHaveTextContent('That is not the PIN.');
  });

  test.each([
    ['', 'Tarn Lane', 'Ode', '2468', '2468', 'Write the code'],
    ['abc', 'Tarn Lane', 'Ode', '24', '24', 'four to eight digits'],
    ['abc', 'Tarn Lane', 'Ode', '2468', '2469', 'not the same'],
    ['abc', 'Tarn Lane', 'Ode', '2468', '2468', ''],
  ])('makes a first foreman: %j %j %j %j %j', async (code, shop, name, pin, again, wrong) => {
    const heard = listen('lb-first-made');
    await put(html`<lb-sign-in .door=${{ ...DOOR, first: true, people: [] }}></lb-sign-in>`);
    await page.getByLabelText('Code from').fill(code);
    await page.getByLabelText('Name of the shop').fill(shop);
    await page.getByLabelText('Your own name').fill(name);
    await page.getByLabelText('PIN, four').fill(pin);
    await page.getByLabelText('The same PIN').fill(again);
    await tap('Open the shop');
    if (wrong) await expect.element(page.getByRole('alert')).toHaveTextContent(wrong);
    expect(heard).toMatchObject(wrong ? [] : [{ code, shop, name, pin }]);
  });
});

describe('the final check', () => {
  test("shows the technician's figure only once the foreman has written one", async () => {
    const runner = toCheck();
    await put(check(runner));
    await expect.element(page.getByText('after yours').first()).toBeVisible();
    expect(stage.querySelector('lb-final-check')?.renderRoot.textContent).not.toContain('Toe: 0°');
    runner.must({ type: 'checked', item: 'alignment', by: foreman.name, value: { kind: 'number', value: 0.1 } });
    await put(check(runner));
    await expect.element(page.getByText('Toe: 0°')).toBeVisible();
  });

  test('takes a figure that passes, and sends back what does not', async () => {
    const heard = said();
    await put(check(toCheck()));
    await tap('Check it: Wheel alignment');
    await write('0.1');
    expect(heard()).toEqual([
      { type: 'checked', item: 'alignment', value: expect.objectContaining({ kind: 'number', value: 0.1 }) as unknown },
    ]);
    await write('9');
    const found = page.getByLabelText('What is not right').element() as HTMLTextAreaElement;
    expect(found.value).toBe('Found: 9°');
    await tap('Send it back');
    expect(heard()[1]).toEqual({ type: 'sent-back', step: 'alignment', because: 'Found: 9°' });
  });

  test('does not take that something is left in the car', async () => {
    const heard = said();
    await put(check(toCheck()));
    await tap('Check it: Nothing left behind');
    await tap('Something is left');
    await expect.element(page.getByText('Take it away, then look again.')).toBeVisible();
    await tap('Nothing is left');
    expect(heard()).toEqual([
      { type: 'checked', item: 'nothing-left', value: { kind: 'choice', value: 'nothing is left' } },
    ]);
  });

  test.each([
    ['a technician', technician, false, true, 'A foreman checks it.'],
    [
      'who did it',
      { ...foreman, name: technician.name },
      false,
      true,
      'You had a hand in it: somebody else checks it.',
    ],
    ['no server', foreman, false, false, 'No signal: it is checked with the server in reach.'],
    ['who did it and works alone', { ...foreman, name: technician.name }, true, true, ''],
  ])('says why not: %s', async (_, person, alone, server, why) => {
    await put(
      html`<lb-final-check .sight=${sight(toCheck())} .person=${person} .alone=${alone} .server=${server}></lb-final-check>`,
    );
    const keys = page.getByRole('button', { name: /^Check it ?: Wheel alignment$/ });
    if (!why) {
      await expect.element(keys).toBeVisible();
      return;
    }
    await expect.element(page.getByText(why).first()).toBeVisible();
    expect(keys.elements()).toEqual([]);
  });

  test('writes the lamps down: each that is lit, or that none is', async () => {
    const heard = said();
    await put(check(toCheck()));
    await tap('Airbag');
    await page.getByLabelText('Another lamp').fill('Rear fog!');
    await tap('It is lit');
    await tap('Write down: Airbag, rear fog');
    await tap('Airbag');
    await tap('rear fog');
    await tap('No lamp is lit');
    expect(heard()).toEqual([
      { type: 'lamps', when: 'release', lit: ['airbag', 'rear-fog'] },
      { type: 'lamps', when: 'release', lit: [] },
    ]);
  });
});

describe('the gate', () => {
  test('says what holds the car, safety first, and leads there', async () => {
    const went = listen('lb-go-to');
    await put(check(writtenUp()));
    await expect.element(page.getByRole('heading', { name: '48213 stays. 12 things hold it.' })).toBeVisible();
    const gate = stage.querySelector('lb-final-check')?.renderRoot.querySelector('lb-gate');
    const plated = [...(gate?.renderRoot.querySelectorAll('.refusal') ?? [])].map(
      (one) => one.querySelector('lb-plate') !== null,
    );
    expect(plated.slice(0, -1)).toEqual(plated.slice(0, -1).sort((a, b) => Number(b) - Number(a)));
    await page.getByRole('button', { name: /^Go to the step ?: Wheel alignment is/ }).click();
    expect(went).toMatchObject([{ leaf: 'route', step: 'alignment' }]);
    await expect
      .element(page.getByRole('button', { name: 'Release: 12 hold it' }))
      .toHaveAttribute('aria-disabled', 'true');
  });

  test('turns to an item of the check by itself', async () => {
    const went = listen('lb-go-to');
    await put(check(toCheck()));
    await page.getByRole('button', { name: 'Steering angle zero', exact: true }).click();
    await expect.element(page.getByRole('button', { name: /^Put it away ?: Steering angle zero$/ })).toBeVisible();
    expect(went).toEqual([]);
  });

  test('takes an explanation of a lamp with a name', async () => {
    const heard = said();
    const runner = settle(toCheck(), 'lamps');
    runner.must({ type: 'lamps', when: 'release', lit: ['abs'], by: foreman.name });
    await put(check(runner));
    await tap(/^Explain it/);
    await tap('Explain it with my name');
    await expect.element(page.getByText('Say it in a few words.')).toBeVisible();
    await page.getByLabelText('Why the car may go').fill('owner has the sensor on order');
    await tap('Explain it with my name');
    expect(heard()).toEqual([{ type: 'explained', about: { lamp: 'abs' }, because: 'owner has the sensor on order' }]);
  });

  test('releases once nothing holds it', async () => {
    const heard = said();
    await put(check(ready()));
    await tap('Release 48213');
    expect(heard()).toEqual([{ type: 'released' }]);
  });

  test('lets it leave unfinished only with every line signed, as the record takes it', async () => {
    const heard = said();
    const runner = writtenUp();
    await put(check(runner));
    await tap('Leave it unfinished');
    await tap('It leaves unfinished');
    await expect.element(page.getByText('Write the name of whoever takes the car.')).toBeVisible();
    await page.getByLabelText('Customer').fill(foreman.name);
    await tap('It leaves unfinished');
    await expect.element(page.getByText('two people')).toBeVisible();
    await page.getByLabelText('Customer').fill('Nel Ashgrove');
    await tap('It leaves unfinished');
    await expect.element(page.getByText('5 lines are not signed yet.')).toBeVisible();
    for (let i = 0; i < 5; i++) await page.getByRole('button', { name: 'I have read this' }).first().click();
    await tap('It leaves unfinished');
    const [left] = heard();
    expect(left).toMatchObject({ type: 'left-unfinished', foreman: 'Ode Falkenby', customer: 'Nel Ashgrove' });
    runner.must({ by: foreman.name, ...(left as { type: string }) });
    expect(runner.job.status).toBe('left-unfinished');
  });
});

describe('the papers', () => {
  test('show words of the record as words', async () => {
    const runner = writtenUp();
    const note = '<img src=x onerror=alert(1)> & "so"';
    runner.must({ type: 'not-done', step: 'window-learn', reason: 'declined', note, by: technician.name });
    const paper = await put(
      html`<lb-hand-over .sight=${sight(runner)} .rulebook=${rules} hash=${'9f3a71c05e2d'.padStart(64, '0')}></lb-hand-over>`,
    );
    expect(paper.renderRoot.querySelector('img')).toBeNull();
    expect(paper.renderRoot.textContent).toContain(note);
    expect(paper.renderRoot.textContent).toContain('9f3a 71c0 5e2d');
    await expect.element(page.getByRole('heading', { name: 'NOT FINISHED' })).toBeVisible();
  });

  test('take their page frame away with them', async () => {
    const before = document.adoptedStyleSheets.length;
    await put(html`<lb-hand-over .sight=${sight(writtenUp())} .rulebook=${rules}></lb-hand-over>`);
    expect(document.adoptedStyleSheets.length).toBe(before + 1);
    render(html``, stage);
    expect(document.adoptedStyleSheets.length).toBe(before);
  });
});

describe('people and shop', () => {
  test('puts somebody on the list and changes only what is different', async () => {
    const [added, changed] = [listen('lb-person-added'), listen('lb-person-changed')];
    await put(html`<lb-people .people=${[foreman, technician]} .person=${foreman}></lb-people>`);
    await tap('Put somebody on the list');
    await page.getByLabelText('Name').fill('Tam Orrin');
    await tap('Desk');
    await page.getByLabelText('PIN, four').fill('13579');
    await page.getByLabelText('The same PIN').fill('13579');
    await tap('Put on the list');
    expect(added).toMatchObject([{ name: 'Tam Orrin', roles: ['technician', 'desk'], pin: '13579' }]);
    await tap('Change: Rilla Quist');
    await tap('Keep it so');
    await expect.element(page.getByText('Nothing is different.')).toBeVisible();
    await tap('Foreman');
    await tap('Keep it so');
    await tap('Works here no more');
    expect(changed).toMatchObject([
      { person: 'rilla-quist', changed: { roles: ['technician', 'foreman'] } },
      { person: 'rilla-quist', changed: { gone: true } },
    ]);
  });

  test('lets somebody else change only their own PIN', async () => {
    const changed = listen('lb-person-changed');
    await put(html`<lb-people .people=${[foreman, technician]} .person=${technician}></lb-people>`);
    expect(page.getByRole('button').elements().length).toBe(1);
    await tap('Change my PIN: Rilla Quist');
    await page.getByLabelText('New PIN').fill('8642');
    await page.getByLabelText('The same PIN').fill('8642');
    await tap('Keep it so');
    await expect.element(page.getByText('Write the PIN that you have so far.')).toBeVisible();
    await page.getByLabelText('Your PIN so far').fill('2468');
    await tap('Keep it so');
    expect(changed).toEqual([
      expect.objectContaining({ person: 'rilla-quist', changed: { pin: '8642', old: '2468' } }),
    ]);
  });

  test('asks a foreman for the PIN so far where it is their own, and nowhere else', async () => {
    await put(html`<lb-people .people=${[foreman, technician]} .person=${foreman}></lb-people>`);
    await tap(`Change: ${foreman.name}`);
    await expect.element(page.getByLabelText('Your PIN so far')).toBeVisible();
    await tap('Change: Rilla Quist');
    expect(page.getByLabelText('Your PIN so far').elements()).toEqual([]);
  });

  test('keeps the whole shop, with the tools that are left', async () => {
    const heard = listen('lb-shop-changed');
    await put(html`<lb-shop foreman .shop=${SHOP} .tools=${TOOLS}></lb-shop>`);
    await tap('Target stand');
    await tap('One person alone');
    await page.getByLabelText('Locks after').fill('11');
    await tap('Keep it so');
    await expect.element(page.getByText('It locks after 1 to 10 whole minutes.')).toBeVisible();
    await page.getByLabelText('Locks after').fill('5');
    await tap('Keep it so');
    expect(heard).toMatchObject([{ shop: { ...SHOP, alone: true, tools: ['scan-tool'], 'lock-minutes': 5 } }]);
  });
});

const PAGES: readonly [string, () => TemplateResult][] = [
  [
    'sign-in',
    () =>
      html`<lb-sign-in again says="No." .door=${{ ...DOOR, demo: '2468', session: { person: technician, token: 't', until: '2026-11-25T12:00:00Z' } }}></lb-sign-in>`,
  ],
  ['first foreman', () => html`<lb-sign-in .door=${{ ...DOOR, first: true, people: [] }}></lb-sign-in>`],
  ['final check', () => check(toCheck())],
  ['final check, nothing done', () => check(writtenUp())],
  [
    'hand-over',
    () =>
      html`<lb-hand-over .sight=${sight(settle(toCheck()))} .rulebook=${rules} shop="Tarn Lane" car="Halden 6"></lb-hand-over>`,
  ],
  [
    'people',
    () => html`<lb-people .people=${[foreman, { ...technician, gone: true as const }]} .person=${foreman}></lb-people>`,
  ],
  ['shop', () => html`<lb-shop foreman .shop=${{ ...SHOP, tools: ['scan-tool'] }} .tools=${TOOLS}></lb-shop>`],
];

describe.each(['light', 'dark'])('on %s paper', (theme) => {
  test.each(PAGES)('%s holds the rules of access, and targets of 48 px and more', async (_, template) => {
    document.documentElement.dataset.theme = theme;
    document.body.style.background = 'var(--paper)';
    await put(template());
    expect(await findings(stage, true)).toEqual([]);
    expect(smallTargets()).toEqual([]);
  });
});

function check(runner: Runner): TemplateResult {
  return html`<lb-final-check server .sight=${sight(runner)} .person=${foreman}></lb-final-check>`;
}

async function write(figure: string): Promise<void> {
  const field = page.getByRole('textbox', { name: 'Toe' });
  await field.fill(figure);
  await userEvent.keyboard('{Enter}');
}

/** The label of the field that has the focus, through every shadow. */
function focused(): string {
  let active = document.activeElement;
  while (active?.shadowRoot?.activeElement) active = active.shadowRoot.activeElement;
  return active instanceof HTMLInputElement ? (active.labels?.[0]?.textContent?.trim() ?? '') : '';
}

/** By its whole name; what only a screen reader is told stands behind a colon. */
async function tap(name: string | RegExp): Promise<void> {
  const whole = typeof name === 'string' ? new RegExp(`^${name.replace(': ', ' ?: ')}$`) : name;
  await page.getByRole('button', { name: whole }).first().click();
}

async function put(template: TemplateResult): Promise<LitElement> {
  render(template, stage);
  const element = stage.firstElementChild as LitElement;
  await settled(element);
  return element;
}

async function settled(element: LitElement): Promise<void> {
  await element.updateComplete;
  for (const inner of element.renderRoot.querySelectorAll('*')) if (inner instanceof LitElement) await settled(inner);
}

/** Every event of a kind, as it comes. */
function listen(type: string): Record<string, unknown>[] {
  const heard: Record<string, unknown>[] = [];
  stage.addEventListener(type, (event) => heard.push(event as unknown as Record<string, unknown>));
  return heard;
}

function said(): () => unknown[] {
  const heard = listen('lb-said');
  return () => heard.flatMap(({ sayings }) => sayings as unknown[]);
}
