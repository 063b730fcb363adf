import '../../components/sheet/tokens.css';
import '../../components/comeback/comeback.ts';
import { html, type LitElement, render } from 'lit';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { page } from 'vitest/browser';
import { bearsOn, factsOf } from '../../components/comeback/facts.ts';
import type { Said } from '../../components/record/said.ts';
import type { Back } from '../../src/job/comeback/comeback.ts';
import { answer, BACKS, type Bay, OLD, returned, rulebook } from './codes-samples.ts';
import { clearBoard, findings, newBoard } from './board.ts';

let stage: HTMLElement;
let bay: Bay;
let heard: Said['sayings'][number][];

beforeEach(() => {
  stage = newBoard();
  heard = [];
});

afterEach(() => clearBoard(stage));

describe('what is known', () => {
  test('is counted once each: the words, every code, the days', () => {
    expect(factsOf({ says: ' ', codes: [] })).toEqual([]);
    expect(factsOf({ says: 'it pulls', codes: ['P0171', 'P0171'], days: 0 }).map(({ text }) => text)).toEqual([
      'What is said of it',
      'Code P0171 is stored',
      'It came back the same day',
    ]);
  });

  test('stands to a cause as the ranking has it; what it does not tell of says nothing', () => {
    const bears = { words: 'against', days: 'fits', codes: { P0171: 'fits' } } as const;
    const facts = factsOf({ says: 'it pulls', codes: ['P0171', 'P0300'], days: 3 });
    expect(facts.map((fact) => bearsOn({ bears }, fact))).toEqual(['against', 'fits', 'nothing', 'fits']);
  });
});

describe('a car that came back', () => {
  test('shows the complaint as told, the causes in their order, and where to begin', async () => {
    await open(BACKS.told);
    const told = answer(BACKS.told);
    await expect.element(page.getByText(BACKS.told.says)).toBeVisible();
    expect(rows().map((row) => row.renderRoot.querySelector('h2')?.textContent)).toEqual(
      told.causes.map(({ title }) => title),
    );
    expect(stage.querySelector('lb-comeback')?.renderRoot.textContent).toContain(
      `Begin with: ${told.first?.test.label}`,
    );
    // The key of the test to begin with is the filled one, and no other.
    expect(rows().map((row) => row.renderRoot.querySelector('.te .key.full') !== null)).toEqual(
      told.causes.map(({ id }) => told.first?.confirms.includes(id) ?? false),
    );
  });

  test('each fact stands with each cause, in words for who can not see the marks', async () => {
    await open(BACKS.told);
    const [first] = rows();
    const marks = [...(first?.renderRoot.querySelectorAll('.fx > span') ?? [])].map((one) => [
      one.querySelector('.unseen')?.textContent,
      one.querySelector('svg')?.getAttribute('aria-label'),
    ]);
    expect(marks).toHaveLength(3);
    for (const [fact, says] of marks) {
      expect(fact).not.toBe('');
      expect(['fits', 'speaks against it', 'says nothing']).toContain(says);
    }
  });

  test('a cause that a test spoke against is struck, and can be taken back', async () => {
    await open(BACKS.told);
    const title = answer(BACKS.told).causes[0]?.title ?? '';
    await page.getByRole('button', { name: new RegExp(`^Test it.*${title}$`) }).click();
    await page.getByRole('button', { name: 'Not it', exact: true }).click();
    await settle();
    expect(rows()[0]?.renderRoot.querySelector('h2.struck')?.textContent).toBe(title);
    expect(rows()[0]?.renderRoot.textContent).toContain('Tested: not it.');
    await page.getByRole('button', { name: `Not ruled out after all: ${title}` }).click();
    await settle();
    expect(rows()[0]?.renderRoot.querySelector('h2.struck')).toBeNull();
    expect(heard).toEqual([]);
  });

  test('the one that a test showed is written down as it is', async () => {
    await open(BACKS.told);
    const [first] = answer(BACKS.told).causes;
    await page.getByRole('button', { name: new RegExp(`^Test it.*${first?.title}$`) }).click();
    await page.getByRole('button', { name: 'This was it', exact: true }).click();
    await page.getByRole('button', { name: 'Write down what it was' }).click();
    expect(heard).toEqual([{ type: 'outcome-told', cause: first?.kind, followUp: first?.id }]);
    await expect.element(page.getByText(`It was: ${first?.title}`)).toBeVisible();
    expect(bay.sight.job.outcomes).toHaveLength(1);
  });

  test('none of these: something else is written in words, and not without them', async () => {
    await open(BACKS.nothing);
    await page.getByRole('button', { name: 'None of these. Look afresh' }).click();
    await page.getByRole('button', { name: 'Write down what it was' }).click();
    expect(heard).toEqual([]);
    await expect.element(page.getByText('Say in a few words what it was.')).toBeVisible();
    await page.getByRole('textbox').fill('a coin in the seat rail');
    await page.getByRole('button', { name: 'Write down what it was' }).click();
    expect(heard).toEqual([{ type: 'outcome-told', cause: 'elsewhere', note: 'a coin in the seat rail' }]);
  });

  test('none of these: it was another step of that job', async () => {
    await open(BACKS.nothing);
    await page.getByRole('button', { name: 'None of these. Look afresh' }).click();
    await page.getByRole('combobox').selectOptions('Forward camera aim');
    await page.getByRole('button', { name: 'Done too early' }).click();
    await page.getByRole('button', { name: 'Write down what it was' }).click();
    expect(heard).toEqual([{ type: 'outcome-told', cause: 'out-of-order', followUp: 'forward-camera-aim' }]);
  });

  test('every kind of cause that can be told is one that the record takes', async () => {
    for (const back of Object.values(BACKS))
      for (const { kind, id } of answer(back).causes) {
        const job = returned(back);
        expect(() =>
          job.say({ type: 'outcome-told', cause: kind, ...(kind === 'elsewhere' ? {} : { followUp: id }) }),
        ).not.toThrow();
      }
  });

  test('without a job that it came back as, the outcome is not offered, and why is said', async () => {
    await open(BACKS.told, false);
    await page
      .getByRole('button', { name: /^Test it/ })
      .first()
      .click();
    await expect
      .element(page.getByRole('button', { name: 'Open a job for it to write the outcome down' }))
      .toHaveAttribute('aria-disabled', 'true');
    await page.getByRole('button', { name: 'None of these. Look afresh' }).click();
    await expect.element(page.getByText('open one for it first')).toBeVisible();
  });

  test('where looking afresh is advised, that key is the filled one', async () => {
    const told = answer(BACKS.told);
    bay = returned(BACKS.told);
    const afresh = { ...told.afresh, advised: true, because: 'nothing on this job explains P0171' };
    render(
      html`<lb-comeback .answer=${{ ...told, sure: false, afresh }} .back=${BACKS.told} .job=${bay.sight.job} .old=${OLD.sight} .rulebook=${rulebook}></lb-comeback>`,
      stage,
    );
    await settle();
    await expect.element(page.getByText('None of these stands out: look afresh.')).toBeVisible();
    expect(page.getByRole('button', { name: 'None of these. Look afresh' }).element().className).toContain('full');
  });
});

describe.each(['light', 'dark'])('on %s paper', (theme) => {
  test.each(Object.entries(BACKS))('%s: nothing that keeps anybody from reading it', async (_, back) => {
    document.documentElement.dataset.theme = theme;
    await page.viewport(1280, 800);
    await open(back);
    await clean();
    await page
      .getByRole('button', { name: /^Test it/ })
      .first()
      .click();
    await page.getByRole('button', { name: 'None of these. Look afresh' }).click();
    await settle();
    await clean();
  });
});

test.each([
  [1280, 800],
  [800, 1280],
  [640, 400],
  [390, 844],
])('fits %i by %i without going sideways; nothing to touch is under 48 px high', async (width, height) => {
  await page.viewport(width, height);
  await open(BACKS.told);
  await page
    .getByRole('button', { name: /^Test it/ })
    .first()
    .click();
  await settle();
  expect(document.documentElement.scrollWidth).toBeLessThanOrEqual(width);
  const small = deep(stage).filter(
    (one) =>
      one.matches('button, a, input, select, textarea, summary') &&
      one.getClientRects().length > 0 &&
      one.getBoundingClientRect().height < 48,
  );
  expect(small.map((one) => one.outerHTML)).toEqual([]);
});

async function open(back: Back, known = true): Promise<void> {
  bay = returned(back);
  const told = answer(back);
  const draw = (): void => {
    render(
      html`<div @lb-said=${took}><lb-comeback .answer=${told} .back=${back} .job=${known ? bay.sight.job : undefined} .old=${OLD.sight} .rulebook=${rulebook} .now=${Date.UTC(2026, 2, 2, 9)}></lb-comeback></div>`,
      stage,
    );
  };
  const took = (event: Event): void => {
    const { sayings } = event as Said;
    heard.push(...sayings);
    bay.say(...sayings);
    draw();
  };
  draw();
  await settle();
}

function rows(): LitElement[] {
  return [
    ...(stage.querySelector('lb-comeback') as LitElement).renderRoot.querySelectorAll<LitElement>('lb-cause-row'),
  ];
}

async function settle(): Promise<void> {
  for (let i = 0; i < 4; i++) for (const one of deep(stage)) await (one as LitElement).updateComplete;
}

function deep(root: Element | ShadowRoot): Element[] {
  return [...root.querySelectorAll('*')].flatMap((one) => [one, ...(one.shadowRoot ? deep(one.shadowRoot) : [])]);
}

async function clean(): Promise<void> {
  expect(await findings(stage)).toEqual([]);
}
