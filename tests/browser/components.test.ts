import '../../components/sheet/tokens.css';
import '../../components/bolt/bolt.ts';
import '../../components/change/change-note.ts';
import '../../components/change/tear-line.ts';
import '../../components/drive/drive-legs.ts';
import '../../components/drive/route-card.ts';
import '../../components/head/leaf-head.ts';
import '../../components/paper/printed-sheet.ts';
import '../../components/part-search/part-search.ts';
import '../../components/plate/plate.ts';
import '../../components/question/question-card.ts';
import '../../components/route/route-picture.ts';
import '../../components/step/open-step.ts';
import '../../components/step/step-row.ts';
import '../../components/stop/stop-row.ts';
import '../../components/vin/vin-boxes.ts';
import '../../components/work-line/line-maker.ts';
import '../../components/work-line/work-line.ts';
import { html, type LitElement, render, type TemplateResult } from 'lit';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { page, userEvent } from 'vitest/browser';
import { STAGES, stageWord } from '../../components/bolt/bolt.ts';
import { drawing, hasDrawing } from '../../components/question/drawings.ts';
import { blanks } from '../../components/step/readings.ts';
import { type Car, speaks } from '../../components/step/speaks.ts';
import { minutesText } from '../../components/sheet/time.ts';
import type { KnownTrait } from '../../src/resolve/facts.ts';
import { followUp, glass, link, question, rulebook, step } from './samples.ts';
import { clearBoard, findings, newBoard } from './board.ts';

let stage: HTMLElement;

beforeEach(() => {
  stage = newBoard();
});

afterEach(() => clearBoard(stage));

const unknown = { known: new Map<string, KnownTrait>(), domains: rulebook.domains };
const honda: Car = { known: new Map([['maker', { values: ['honda'], by: 'told' }]]), domains: rulebook.domains };

describe('a bolt', () => {
  test.each(STAGES)('%s has its word, and says when it is a safety item', async (mark) => {
    const bolt = await put(html`<lb-bolt .stage=${mark}></lb-bolt>`);
    expect(drawn(bolt).getAttribute('aria-label')).toBe(stageWord(mark));
    const safety = await put(html`<lb-bolt .stage=${mark} safety></lb-bolt>`);
    expect(drawn(safety).getAttribute('aria-label')).toBe(`${stageWord(mark)}, safety item`);
    expect(drawn(safety).querySelectorAll('*').length).toBeGreaterThan(drawn(bolt).querySelectorAll('*').length);
  });

  test('is told apart from every other by its drawing alone', async () => {
    const drawings = new Set<string>();
    for (const mark of STAGES)
      drawings.add(drawn(await put(html`<lb-bolt .stage=${mark}></lb-bolt>`)).innerHTML.replaceAll(/<!--.*?-->/g, ''));
    expect(drawings.size).toBe(STAGES.length);
  });
});

describe('a question card', () => {
  test('tells what was tapped, and takes it back when tapped again', async () => {
    const card = await put(html`<lb-question-card .question=${question} .number=${1}></lb-question-card>`);
    const heard = listen(card, 'lb-answered');
    await page.getByRole('button', { name: 'Fitted', exact: true }).click();
    await page.getByRole('button', { name: "Looked, can't tell" }).click();
    expect(heard.map(({ question: id, value }) => [id, value])).toEqual([
      ['camera', 'fitted'],
      ['camera', null],
    ]);
    Object.assign(card, { answer: 'fitted' });
    await settle(card);
    await page.getByRole('button', { name: 'Fitted', exact: true }).click();
    expect(heard.at(-1)?.value).toBeUndefined();
  });

  test('shows one answer as picked, for eyes and for screen readers', async () => {
    const card = await put(html`<lb-question-card .question=${question} .answer=${null}></lb-question-card>`);
    const picked = [...card.renderRoot.querySelectorAll('button[aria-pressed="true"]')];
    expect(picked.map((key) => key.textContent)).toEqual(["Looked, can't tell"]);
  });

  test('takes a free answer where there are no keys', async () => {
    const card = await put(html`<lb-question-card .question=${{ ...question, answers: [] }}></lb-question-card>`);
    const heard = listen(card, 'lb-answered');
    await page.getByRole('textbox').fill('2019');
    await userEvent.keyboard('{Enter}');
    expect(heard.map(({ value }) => value)).toEqual(['2019']);
  });

  test('has a drawing only for a trait of its own, never for what every object has', () => {
    expect(hasDrawing('forward-camera')).toBe(true);
    expect(hasDrawing('constructor')).toBe(false);
    render(html`${drawing('forward-camera')}`, stage);
    expect(stage.querySelector('svg')?.getAttribute('aria-label')).toContain('lens');
  });
});

describe('a suggestion', () => {
  const likely = { value: 'fitted', because: 'most of that year have it' };

  test('stands in words, presses no key, and goes with the answer', async () => {
    const card = await put(html`<lb-question-card .question=${{ ...question, likely }}></lb-question-card>`);
    const words = () => (card.renderRoot.querySelector('.likely') as HTMLElement | null)?.innerText;
    expect(words()).toBe('Likely: fitted; because most of that year have it. Look all the same.');
    expect(card.renderRoot.querySelectorAll('[aria-pressed="true"]')).toHaveLength(0);
    Object.assign(card, { answer: 'none' });
    await settle(card);
    expect(words()).toBeUndefined();
  });
});

describe('a note of what changed', () => {
  test('is taken back or put away, and is not there without a word', async () => {
    const note = await put(
      html`<lb-change-note .sentences=${['Camera aim is needed now.']} undo="Take it back"></lb-change-note>`,
    );
    const [undone, noted] = [listen(note, 'lb-undone'), listen(note, 'lb-noted')];
    await page.getByRole('button', { name: 'Take it back' }).click();
    await page.getByRole('button', { name: 'Noted' }).click();
    expect([undone.length, noted.length]).toEqual([1, 1]);
    Object.assign(note, { sentences: [] });
    await settle(note);
    expect(note.getBoundingClientRect().height).toBe(0);
  });
});

describe('a drive', () => {
  test('is read out leg by leg: speed first, the minutes by themselves, what it serves', async () => {
    const card = await put(html`<lb-route-card ro="7001" .legs=${legs} .minutes=${12} .saved=${8}></lb-route-card>`);
    const words = (card.renderRoot.querySelector('article') as HTMLElement).innerText.replaceAll(/\s+/g, ' ');
    expect(words).toContain('The driver never handles the tablet. A passenger reads this out.');
    expect(words).toContain('2 legs, in this order. 12 min at least; one by one it would be 20 min');
    expect(words).toContain('At 40 km/h (25 mph) or more Straight 10 min at least It serves 8 Camera aim');
    expect(words).not.toContain('For 10 min');
  });
});

describe('the picture of a route', () => {
  test('gives each stop its letter, words for a screen reader, and a longer line for a longer stay', async () => {
    const picture = await put(html`<lb-route-picture .stops=${stops}></lb-route-picture>`);
    const names = [...picture.renderRoot.querySelectorAll('.unseen')].map((one) => one.textContent);
    expect(names).toEqual([
      'Stop A: Bay floor, 40 min, 2 steps, 1 safety',
      'Stop B: Road, 1 step, after 4 min changing the car',
    ]);
    const [a, b] = [...picture.renderRoot.querySelectorAll('li')].map((item) => Number(item.style.flexGrow));
    expect(a).toBeGreaterThan(b as number);
    expect(picture.renderRoot.querySelectorAll('.break')).toHaveLength(1);
  });
});

describe('a work line', () => {
  test('of a part there is only one of is made with one tap', async () => {
    const maker = await put(html`<lb-line-maker .entry=${glass}></lb-line-maker>`);
    const heard = listen(maker, 'lb-line-made');
    await page.getByRole('button', { name: 'Replaced' }).click();
    expect(heard).toMatchObject([{ part: 'glass', did: 'replaced', at: [] }]);
  });

  test('of a part with places asks where, and is not made before it is said what was done', async () => {
    const maker = await put(html`<lb-line-maker .entry=${link}></lb-line-maker>`);
    const heard = listen(maker, 'lb-line-made');
    await page.getByRole('button', { name: 'First say what was done' }).click({ force: true });
    await page.getByRole('button', { name: 'Replaced' }).click();
    expect(heard).toEqual([]);
    await page.getByRole('button', { name: 'Front left' }).click();
    await page.getByRole('button', { name: 'Front right' }).click();
    await page.getByRole('button', { name: 'Put on the sheet' }).click();
    expect(heard).toMatchObject([{ part: 'link', did: 'replaced', at: ['front-left', 'front-right'] }]);
  });

  test('is struck, given to another shop, and told where', async () => {
    const line = await put(
      html`<lb-work-line .line=${{ part: 'link', did: 'replaced' }} .index=${2} .entry=${link}></lb-work-line>`,
    );
    const heard = listen(line, 'lb-line-changed');
    await page.getByRole('button', { name: 'Front right' }).click();
    await page.getByRole('button', { name: 'Link: by another shop' }).click();
    await page.getByRole('button', { name: 'Strike Link' }).click();
    expect(heard.map(({ index, line: changed }) => [index, changed])).toEqual([
      [2, { part: 'link', did: 'replaced', at: 'front-right' }],
      [2, { part: 'link', did: 'replaced', by: 'another shop' }],
      [2, undefined],
    ]);
  });
});

describe('the VIN boxes', () => {
  test('are one field of seventeen, typed and read as one', async () => {
    const boxes = await put(html`<lb-vin-boxes></lb-vin-boxes>`);
    const heard = listen(boxes, 'lb-vin-typed');
    expect(boxes.renderRoot.querySelectorAll('i')).toHaveLength(17);
    await page.getByRole('textbox', { name: 'VIN' }).fill('7zhab');
    expect(heard.at(-1)?.text).toBe('7zhab');
    Object.assign(boxes, { value: '7zhab', wrong: [2] });
    await settle(boxes);
    const shown = [...boxes.renderRoot.querySelectorAll('i')].map((box) => box.textContent).join('');
    expect(shown).toBe('7ZHAB');
    expect([...boxes.renderRoot.querySelectorAll('i')].findIndex((box) => box.classList.contains('wrong'))).toBe(1);
  });

  test('put the caret into the box that was tapped', async () => {
    const boxes = await put(html`<lb-vin-boxes value="7ZHAB3C59K0900418"></lb-vin-boxes>`);
    const field = boxes.renderRoot.querySelector('input') as HTMLInputElement;
    const tenth = (boxes.renderRoot.querySelectorAll('i')[9] as HTMLElement).getBoundingClientRect();
    const from = field.getBoundingClientRect();
    await userEvent.click(field, { position: { x: tenth.left - from.left + 10, y: tenth.top - from.top + 10 } });
    expect(field.selectionStart).toBe(9);
  });
});

describe('the search', () => {
  test('passes on the words, and takes the first hit with Enter', async () => {
    const hits = [{ id: 'glass', title: 'Glass', note: 'pane' }];
    const search = await put(html`<lb-part-search label="Part" .hits=${hits}></lb-part-search>`);
    const [sought, taken] = [listen(search, 'lb-sought'), listen(search, 'lb-taken')];
    await page.getByRole('searchbox', { name: 'Part' }).fill('pa');
    await userEvent.keyboard('{Enter}');
    expect(sought.at(-1)?.words).toBe('pa');
    expect(taken.map(({ id }) => id)).toEqual(['glass']);
  });
});

describe('an opened step', () => {
  const text = async (car: Car = unknown) => {
    const opened = await put(openStep(car));
    return (opened.renderRoot.querySelector('article') as HTMLElement).innerText.replaceAll(/\s+/g, ' ');
  };

  test('says why, what if skipped, how, with what care, and when it took', async () => {
    const words = await text();
    expect(words).toContain('Why it is here: Glass replaced: it looks through other glass.');
    expect(words).toContain('If skipped: The car brakes for nothing, the same day, and nothing lights up.');
    expect(words).toContain('How: on targets, with targets');
    expect(words).toMatch(/Set the targets up Start the aim At the end: ignition off; wait 30 s\./);
    expect(words).toContain('Caution. Nobody leans on the car.');
    expect(words).toContain('At most 3 tries; then look at the bracket.');
    expect(words).toContain('Waits for 3 Wheel alignment The line must be true first.');
    expect(words).toContain('Supply voltage at least 12 V');
    expect(words).toContain('Does the car stand level?');
    expect(words).toContain("the maker's procedure rules");
  });

  test('takes the answer to what must hold before it starts, and the minutes that are read off', async () => {
    const waits = {
      ...followUp,
      ways: followUp.ways.map((way) => ({
        ...way,
        text: { ...way.text, minutes: { wait: { ask: 'minutes on the tin', usual: [30, 60] as [number, number] } } },
      })),
    };
    const opened = await put(
      html`<lb-open-step .step=${step} .followUp=${waits} .rulebook=${rulebook} .car=${unknown}></lb-open-step>`,
    );
    const heard = listen(opened, 'lb-answered');
    await page.getByRole('button', { name: 'No', exact: true }).click();
    await page.getByLabelText('Minutes on the tin').fill('45');
    await userEvent.keyboard('{Enter}');
    await page.getByLabelText('Minutes on the tin').fill('soon');
    await userEvent.keyboard('{Enter}');
    expect(heard.map(({ question: id, value }) => [id, value])).toEqual([
      ['holds:level', 'no'],
      ['wait:aim', '45'],
    ]);
  });

  test('does not speak of what cannot be on this car', async () => {
    const without = { known: new Map([['camera', { values: ['fitted'], by: 'looked' }]]), domains: rulebook.domains };
    expect(await text(without)).not.toContain('Never seen on this car');
  });

  test('gives the figure of the maker, whose it is, and no other once the maker is known', () => {
    const proof = followUp.text.proof;
    expect(blanks(proof, unknown, rulebook.makers)[0]?.limits).toEqual([
      'Honda: -1.5 to 1.5°',
      'Ford: at most 2°',
      'the figure of the maker',
    ]);
    expect(blanks(proof, honda, rulebook.makers)[0]?.limits).toEqual([
      'Honda: -1.5 to 1.5°',
      'the figure of the maker',
    ]);
  });
});

test('a text with a condition speaks, is silent, or perhaps speaks', () => {
  const years = { scope: { makers: ['honda'], years: [2013, 2015] as [number, number] } };
  expect(speaks({}, unknown)).toBe('yes');
  expect(speaks(years, unknown)).toBe('perhaps');
  expect(speaks(years, honda)).toBe('perhaps');
  expect(speaks({ scope: { makers: ['ford'] } }, honda)).toBe('no');
  const late = {
    ...honda,
    known: new Map<string, KnownTrait>([...honda.known, ['model-year', { values: [2016], by: 'told' }]]),
  };
  expect(speaks(years, late)).toBe('no');
});

test.each([
  [0, '0 min'],
  [0.4, 'under 1 min'],
  [59.6, '1 h'],
  [90, '1 h 30 min'],
])('%d minutes are written %s', (minutes, text) => {
  expect(minutesText(minutes)).toBe(text);
});

describe('the route sheet on paper', () => {
  const sheetOf = (became: ReadonlyMap<string, object> = new Map(), hash = '') =>
    put(html`<lb-printed-sheet
      ro="7001"
      .hash=${hash}
      .stops=${[{ letter: 'A', name: 'Bay floor', changes: [], changeMinutes: 0, glyphs: [], steps: [step] }]}
      .numbers=${new Map([['aim', 8]])}
      .rulebook=${rulebook}
      .became=${became}
    ></lb-printed-sheet>`);
  const mark = (paper: LitElement) => paper.renderRoot.querySelector('lb-bolt')?.stage;
  const text = (paper: LitElement) =>
    (paper.renderRoot.querySelector('article')?.textContent ?? '').replaceAll(/\s+/g, ' ');
  const told = { says: '', found: [], doneBy: '', checkedBy: '', at: undefined };

  test('has blanks and room to sign where nothing has been done', async () => {
    const paper = await sheetOf();
    expect(mark(paper)).toBe('open');
    expect(paper.renderRoot.querySelectorAll('.sign')).toHaveLength(1);
    expect(paper.renderRoot.querySelectorAll('.box').length).toBeGreaterThan(0);
    expect(text(paper)).toContain('not on record yet');
  });

  test('says of a step that took what was found, by whom and when, and leaves nothing to fill in', async () => {
    const took = {
      ...told,
      stage: 'took',
      found: ['Result: aimed'],
      doneBy: 'Ana',
      checkedBy: 'Ben',
      at: '2026-03-02T09:05:00Z',
    };
    const paper = await sheetOf(new Map([['aim', took]]), '0123456789abcdef0123456789abcdef');
    expect(mark(paper)).toBe('took');
    expect(text(paper)).toMatch(/8 Camera aim .*Result: aimed.* Ana, 2 Mar 2026, .*checked by Ben/);
    expect(text(paper)).toContain('record ends 4567 89ab cdef');
    expect(paper.renderRoot.querySelectorAll('.sign, .box')).toHaveLength(0);
    expect(paper.renderRoot.querySelector('svg.qr')?.getAttribute('aria-label')).toBe('Square code of 7001');
  });

  test.each([
    ['did-not-take', 'Did not take. Try 1, no answer.'],
    ['sent-out', 'Sent out. At Aimers since 2026-03-02.'],
    ['waiting', 'Waiting. For a bracket.'],
  ] as const)('%s: says so, and keeps its blanks', async (stage, words) => {
    const paper = await sheetOf(new Map([['aim', { ...told, stage, says: words.replace(/^[^.]*\. /, '') }]]));
    expect(mark(paper)).toBe(stage);
    expect(text(paper)).toContain(words);
    expect(paper.renderRoot.querySelectorAll('.sign')).toHaveLength(1);
  });
});

describe.each(['light', 'dark'])('on %s paper', (theme) => {
  test('no element has a finding of an accessibility checker', async () => {
    document.documentElement.dataset.theme = theme;
    render(everything(), stage);
    await Promise.all([...stage.querySelectorAll('*')].map((element) => settle(element as LitElement)));
    // Rules for whole pages are for the end-to-end tests: here stands a heap of parts.
    expect(await findings(stage, true)).toEqual([]);
  });
});

const legs = [
  {
    card: ['at 40 km/h (25 mph) or more', 'for 10 min', 'straight'],
    minutes: 10,
    serves: [{ number: 8, title: 'Camera aim', safety: true }],
  },
  { card: ['normal driving'], minutes: 2, serves: [{ number: 9, title: 'Idle learn', safety: false }] },
];

const stops = [
  { letter: 'A', name: 'Bay floor', minutes: 40, changeMinutes: 0, changes: false, steps: 2, safety: 1, href: '#/a' },
  { letter: 'B', name: 'Road', minutes: 0, changeMinutes: 4, changes: true, steps: 1, safety: 0, href: '#/b' },
];

function everything(): TemplateResult {
  return html`<div style="background: var(--paper)">
    <lb-leaf-head ro="7001" name="Route" leaf="leaf 4 of 4" car="Halden 6" .back=${{ text: 'Before you start', href: '#/b' }} .on=${{ text: 'Codes', href: '#/c' }}>About 2 h</lb-leaf-head>
    ${STAGES.map((mark) => html`<lb-bolt .stage=${mark}></lb-bolt><lb-bolt .stage=${mark} safety></lb-bolt>`)}
    <lb-route-picture .stops=${stops}></lb-route-picture>
    <lb-drive-legs .legs=${legs} .minutes=${12} .saved=${8} href="#/d"></lb-drive-legs>
    <lb-route-card ro="7001" .legs=${legs} .minutes=${12}></lb-route-card>
    <lb-change-note .sentences=${['Camera aim is needed now.']} undo="Take it back"></lb-change-note>
    <lb-plate></lb-plate><lb-plate flat .count=${3}></lb-plate>
    <lb-tear-line .changes=${['ignition on', 'charger off']} .minutes=${4}></lb-tear-line>
    <lb-stop-row letter="A" name="Bay floor" time="4 min" .setup=${[{ id: 'ignition:on', text: 'ignition on' }]}></lb-stop-row>
    ${STAGES.map((mark, i) => html`<lb-step-row .number=${i + 1} name="Camera aim" say="40 min." href="#/s" .stage=${mark} ?safety=${i % 2 === 0} ?opened=${i === 3}></lb-step-row>`)}
    ${openStep(unknown)}
    <lb-question-card .question=${question} .number=${1} answer="fitted"></lb-question-card>
    <lb-question-card .question=${{ ...question, answers: [], text: 'Which year?' }} .number=${2}></lb-question-card>
    <lb-question-card .question=${{ ...question, text: 'Who made it?' }} .more=${[{ value: 'honda', text: 'Honda' }]} .number=${3}></lb-question-card>
    <lb-part-search label="Part" words="pa" .hits=${[{ id: 'glass', title: 'Glass', note: 'pane' }]}></lb-part-search>
    <lb-line-maker .entry=${link}></lb-line-maker>
    <lb-work-line .line=${{ part: 'link', did: 'replaced' }} .entry=${link}></lb-work-line>
    <lb-vin-boxes value="7ZHAB3C59K0900418" .wrong=${[9]}></lb-vin-boxes>
  </div>`;
}

function openStep(car: Car): TemplateResult {
  const before = {
    number: 3,
    title: 'Wheel alignment',
    safety: true,
    href: '#/w',
    because: 'the line must be true first',
  };
  return html`<lb-open-step .step=${step} .followUp=${followUp} .rulebook=${rulebook} .car=${car} .number=${8} .waitsFor=${[before]}></lb-open-step>`;
}

async function put(template: TemplateResult): Promise<LitElement> {
  render(html``, stage);
  render(template, stage);
  const element = stage.firstElementChild as LitElement;
  await settle(element);
  return element;
}

async function settle(element: LitElement): Promise<void> {
  await element.updateComplete;
  for (const inner of element.renderRoot?.querySelectorAll<LitElement>('*') ?? []) await inner.updateComplete;
}

function drawn(bolt: LitElement): SVGElement {
  return bolt.renderRoot.querySelector('svg') as SVGElement;
}

/** Every event of a kind, as it comes. */
function listen(element: Element, type: string): Record<string, unknown>[] {
  const heard: Record<string, unknown>[] = [];
  element.addEventListener(type, (event) => heard.push(event as unknown as Record<string, unknown>));
  return heard;
}
