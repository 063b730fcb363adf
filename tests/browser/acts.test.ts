import { afterEach, describe, expect, test } from 'vitest';
import { page, userEvent } from 'vitest/browser';
import type { Told } from '../job.run.ts';
import { Bench, settled } from './acts-bench.ts';
import { smallTargets } from './hand.ts';
import { findings } from './board.ts';

const opened = (part: string, did = 'replaced'): Told[] => [
  { type: 'opened' },
  { type: 'line-added', line: { part, did } },
  { type: 'work-done' },
];
const rack: Told[] = [...opened('rack'), { type: 'answered', question: 'holds:aligned', answer: 'yes' }];
const ENTRY = 'entry/Battery voltage';
const ANGLE = 'proof/steering-zero/Angle straight ahead';
const number = (value: number) => ({ kind: 'number', value });
const zeroTook: Told = { type: 'took', step: 'steering-zero', values: { [ENTRY]: number(12.6), [ANGLE]: number(0.4) } };

let bench: Bench;

async function on(
  step: string,
  given: readonly Told[],
  more: Partial<Pick<Bench, 'server' | 'foreman' | 'later'>> = {},
) {
  bench = Object.assign(new Bench(given, step), more);
  await bench.drawn();
}

afterEach(() => {
  bench.stage.remove();
  delete document.documentElement.dataset.theme;
});

const tap = (name: string | RegExp) =>
  page
    .getByRole('button', { name, exact: typeof name === 'string' })
    .first()
    .click();
/** A key that says why it can not be tapped yet; a finger taps it all the same. */
const tapAnyway = (name: string | RegExp) => page.getByRole('button', { name }).first().click({ force: true });
const stageOf = () => bench.runner.job.steps.get(bench.step)?.stage;
const valueOf = (key: string) => bench.runner.job.steps.get(bench.step)?.values.get(key);

async function figure(text: string) {
  for (const letter of text) await tap(letter === '-' ? 'Plus or minus' : letter === '.' ? 'Point' : letter);
  await tap('Write it down');
  await bench.drawn();
}

describe('a plain step', () => {
  test('took with one tap, its start implied', async () => {
    await on('window-learn', opened('battery'));
    await tap('It took');
    expect(bench.said).toEqual([{ type: 'took', step: 'window-learn' }]);
    expect(stageOf()).toBe('took');
  });

  test('did not take, and says what was seen and what is left to try', async () => {
    await on('window-learn', opened('battery'));
    await tap('Did not take');
    await page.getByLabelText('What was seen').fill('stops half way');
    await tap('It did not take');
    expect(bench.said).toEqual([{ type: 'did-not-take', step: 'window-learn', why: 'stops half way' }]);
    expect(await bench.words()).toContain('stops half way');
    await tap('Start again');
    expect(stageOf()).toBe('running');
  });

  test('both keys are 76 px high, all others 54 at least', async () => {
    await on('window-learn', opened('battery'));
    for (const name of ['It took', 'Did not take']) {
      const key = page.getByRole('button', { name, exact: true }).element();
      expect(key.getBoundingClientRect().height).toBeGreaterThanOrEqual(76);
    }
  });
});

describe('a step with readings', () => {
  test('is worked from the first figure to the last, and the record takes every saying', async () => {
    await on('steering-zero', rack);
    expect(await bench.words()).toMatch(/^Before it starts Battery voltage at least 12.2 V/);
    await figure('12.6');
    await tap('Start');
    await bench.drawn();
    expect(await bench.words()).toContain('Running since');
    expect(await bench.words()).toContain('Try 1 of 3.');
    await figure('-0.4');
    await tap('It took');
    expect(bench.refused).toEqual([]);
    expect(bench.said.map(({ type }) => type)).toEqual(['noted', 'started', 'noted', 'took']);
    expect(bench.said.at(-1)).toMatchObject({ values: { [ENTRY]: { value: 12.6 }, [ANGLE]: { value: -0.4 } } });
    expect(stageOf()).toBe('took');
  });

  test('refuses a start and a took without them, says why, and turns to what is wanting', async () => {
    await on('steering-zero', rack);
    await tap('Start');
    expect(bench.said).toEqual([]);
    await expect.element(page.getByRole('alert')).toHaveTextContent('Wants a figure for "Battery voltage"');
    await expect.poll(focused).toBe('figure');
    await figure('12.6');
    await tap('Start');
    await bench.drawn();
    await tap('It took');
    await expect
      .element(page.getByRole('alert'))
      .toHaveTextContent('Wants a figure for "Angle straight ahead", or a photo of the tool');
    expect(stageOf()).toBe('running');
  });

  test('a figure outside its limit does not let a safety item take', async () => {
    await on('steering-zero', [
      ...rack,
      { type: 'noted', step: 'steering-zero', values: { [ENTRY]: number(12.6) } },
      { type: 'started', step: 'steering-zero' },
    ]);
    await figure('3');
    expect(await bench.words()).toContain('Angle straight ahead: 3° is over the 2.5° allowed.');
    await tap('It took');
    await expect.element(page.getByRole('alert')).toHaveTextContent('So it did not take.');
    expect(stageOf()).toBe('running');
    await tap('Did not take');
    expect(await bench.words()).toContain('2 more tries are left; then: Read the brake controller for open codes.');
    await tap('It did not take');
    expect(bench.said.at(-1)).toMatchObject({ type: 'did-not-take', values: { [ANGLE]: { value: 3 } } });
    expect(bench.refused).toEqual([]);
  });

  test('a slip is asked about, and put right by one tap', async () => {
    await on('steering-zero', rack);
    for (const letter of ['1', '2', '6']) await tap(letter);
    await expect.element(page.getByRole('status')).toHaveTextContent('126 V? 12.6 V? Say which it is.');
    await tapAnyway('Say which it is');
    expect(bench.said).toEqual([]);
    await tap('It is 12.6 V');
    expect(valueOf(ENTRY)).toMatchObject({ kind: 'number', value: 12.6 });
  });

  test('that it is no slip is said by one tap too', async () => {
    await on('steering-zero', rack);
    for (const letter of ['1', '2', '6']) await tap(letter);
    await tap('126 V is right');
    expect(valueOf(ENTRY)).toMatchObject({ value: 126, sure: true });
    expect(bench.refused).toEqual([]);
  });

  test('after the last try it is stuck, and says what then', async () => {
    const failed = { type: 'did-not-take', step: 'steering-zero' };
    await on('steering-zero', [...rack, failed, failed]);
    expect(await bench.words()).toContain('That was try 2 of 3.');
    await tap('Start again');
    await bench.drawn();
    await tap('Did not take');
    expect(await bench.words()).toContain(
      'Try 3 of 3. That is the last try. Then: Read the brake controller for open codes.',
    );
    await tap('It did not take');
    expect(stageOf()).toBe('stuck');
    expect(await bench.words()).toContain('Now: Read the brake controller for open codes.');
    await tap('Start again');
    expect(bench.refused).toEqual([]);
    expect(await bench.words()).toContain('Try 1 of 3.');
  });

  test('words that say nothing are refused before they are said', async () => {
    await on(
      'glass-wait',
      [
        ...opened('windscreen', 'refitted'),
        { type: 'trait-told', trait: 'camera', answer: 'none' },
        { type: 'answered', question: 'wait:glass-wait', answer: 30 },
      ],
      { later: 40 * 60_000 },
    );
    const field = page.getByRole('textbox', { name: 'Adhesive and batch' });
    await field.fill('ok');
    await tap('Write it down');
    await expect.element(page.getByText('says nothing that can be checked')).toBeVisible();
    await field.fill('Sealfast 2, batch 1188');
    await tap('Write it down');
    expect(valueOf('proof/glass-wait/Adhesive and batch')).toEqual({ kind: 'text', value: 'Sealfast 2, batch 1188' });
  });

  test('a choice is one tap; the one that does not pass is shown for what it is', async () => {
    await on('brake-close', opened('pads', 'refitted'));
    await tap('Start');
    await bench.drawn();
    await tap('Does not hold');
    expect(await bench.words()).toContain('"does not hold", not "holds"');
    await tap(/^Holds on the slope/);
    await tap('Holds');
    await tap('It took');
    expect(bench.refused).toEqual([]);
    expect(stageOf()).toBe('took');
  });

  test('a photo is in the job before it is named', async () => {
    await on('alignment', [
      ...opened('tie-rod'),
      { type: 'started', step: 'alignment' },
      { type: 'noted', step: 'alignment', values: { 'proof/alignment/Toe': number(0.1) } },
    ]);
    await photograph('Photograph it');
    await expect.poll(() => valueOf('proof/alignment/Sheet')?.kind).toBe('photo');
    expect(bench.refused).toEqual([]);
    await bench.drawn();
    await tap('It took');
    expect(bench.refused).toEqual([]);
    expect(stageOf()).toBe('took');
  });

  test('what the tool does not support is an answer, with its screen photographed', async () => {
    await on('steering-zero', [
      ...rack,
      { type: 'noted', step: 'steering-zero', values: { [ENTRY]: number(12.6) } },
      { type: 'started', step: 'steering-zero' },
    ]);
    await page.getByText('It can not be answered like that').first().click();
    await photograph("Photograph the tool's screen");
    await expect.poll(() => valueOf(ANGLE)?.kind).toBe('not-supported');
    await bench.drawn();
    await tap('It took');
    expect(bench.refused).toEqual([]);
    expect(stageOf()).toBe('took');
  });
});

describe('out of reach of the server', () => {
  test('figures wait for the end of the step, and turning away and back loses none', async () => {
    const given = [
      ...rack,
      { type: 'noted', step: 'steering-zero', values: { [ENTRY]: number(12.6) } },
      { type: 'started', step: 'steering-zero' },
    ];
    await on('steering-zero', given, { server: false });
    await figure('0.4');
    expect(bench.said).toEqual([]);
    const { runner } = bench;
    bench.stage.replaceChildren();
    bench.stage.remove();
    bench = Object.assign(new Bench([], 'steering-zero'), { server: false, runner });
    expect(await bench.words()).toContain('Angle straight ahead −2.5° to 2.5°, met 0.4°');
    await tap('It took');
    expect(bench.said).toMatchObject([{ type: 'took', values: { [ANGLE]: { value: 0.4 } } }]);
    expect(bench.refused).toEqual([]);
  });

  test('of two answers to a safety item both are shown, and the foreman says which stands', async () => {
    const rival: Told = { ...zeroTook, by: 'Ben', values: { [ENTRY]: number(12.6), [ANGLE]: number(1.4) } };
    await on('steering-zero', [...rack, zeroTook, rival]);
    const words = await bench.words();
    expect(words).toContain('Two answers. The foreman says which one stands.');
    expect(words).toMatch(/Ana, \d\d:\d\d It took\. Battery voltage: 12.6 V? ?Angle straight ahead: 0.4°?/);
    expect(words).toContain('1.4');
    expect(page.getByRole('button', { name: 'This one stands' }).elements()).toHaveLength(0);
    bench.foreman = true;
    await bench.drawn();
    await page.getByRole('group', { name: 'Answer of Ben' }).getByRole('button').click();
    expect(bench.refused).toEqual([]);
    expect(valueOf(ANGLE)).toMatchObject({ value: 1.4 });
  });
});

describe('what stands in the way', () => {
  test.each<[string, readonly Told[], string]>([
    [
      'steering-zero',
      opened('tie-rod'),
      'Not yet It waits for Wheel alignment. It needs "wheel alignment in specification".',
    ],
    [
      'window-learn',
      opened('battery').slice(0, 2),
      'Not yet It comes after the work. Say first that the work is done.',
    ],
    [
      'steering-zero',
      [...opened('tie-rod'), { type: 'not-done', step: 'alignment', reason: 'no-tool' }],
      'Not yet It can not be done: Wheel alignment was not done. It needs "wheel alignment in specification".',
    ],
  ])('of %s is said instead of a dead key', async (step, given, says) => {
    await on(step, given);
    expect(await bench.words()).toContain(says);
    expect(page.getByRole('button', { name: /took|Start/ }).elements()).toHaveLength(0);
  });

  test('a wait shows how long it still runs, and is over by the clock', async () => {
    const given = [...opened('windscreen', 'refitted'), { type: 'answered', question: 'wait:glass-wait', answer: 30 }];
    await on('glass-wait', given);
    expect(await bench.words()).toMatch(/29 min Until \d\d:\d\d/);
    await tap('It took');
    await expect.element(page.getByRole('alert')).toHaveTextContent(/It runs until \d\d:\d\d, 29 min from now/);
    bench.later = 60 * 60_000;
    expect(await bench.words()).toMatch(/Over Since \d\d:\d\d/);
  });

  test('a state that has to be confirmed is asked for before it takes', async () => {
    await on('steering-zero', [
      ...opened('rack'),
      { type: 'noted', step: 'steering-zero', values: { [ENTRY]: number(12.6), [ANGLE]: number(0.1) } },
      { type: 'started', step: 'steering-zero' },
    ]);
    await tap('It took');
    await expect
      .element(page.getByRole('alert'))
      .toHaveTextContent('Answer first: Does it run straight, with nothing knocked?');
  });

  test('on a job that is closed nothing can be tapped', async () => {
    await on('window-learn', opened('battery'));
    Object.assign(bench.runner, { job: { ...bench.runner.job, status: 'released' } });
    await bench.drawn();
    expect(page.getByRole('button').elements()).toHaveLength(0);
  });
});

describe('after it took', () => {
  test('it is closed when its time is over, not before', async () => {
    await on('steering-zero', [...rack, zeroTook]);
    expect(await bench.words()).toContain(
      'Not settled before it is closed. Ignition off for 30 s, so that it is stored.',
    );
    await tapAnyway(/^Closed at \d\d:\d\d, in 30 s$/);
    expect(bench.said).toEqual([]);
    // the record judges by the time of who says it, a minute later here
    bench.later = 31_000;
    await bench.drawn();
    await tap('It is closed');
    expect(bench.refused).toEqual([]);
    expect(bench.runner.job.steps.get('steering-zero')?.closed).toBeDefined();
  });

  test('who sent it back and why is the reason why it is there again', async () => {
    await on('window-learn', [
      ...opened('battery'),
      { type: 'took', step: 'window-learn' },
      { type: 'sent-back', step: 'window-learn', because: 'rear left stops', by: 'Eva' },
    ]);
    expect(await bench.words()).toContain('To be done again: Sent back by Eva: rear left stops.');
    await tap('It took');
    expect(bench.refused).toEqual([]);
  });

  test('a round that is begun again asks for its figures again', async () => {
    await on('steering-zero', [
      ...rack,
      zeroTook,
      { type: 'closed', step: 'steering-zero' },
      { type: 'line-added', line: { part: 'rack', did: 'replaced' } },
      { type: 'work-done' },
    ]);
    expect(await bench.words()).toContain('To be done again: New work since it took');
    await figure('12.4');
    await tap('Start');
    expect(bench.refused).toEqual([]);
    expect(bench.said.map(({ type }) => type)).toEqual(['started', 'noted']);
    expect(valueOf(ANGLE)).toBeUndefined();
  });
});

describe('other things', () => {
  async function fold(what: string) {
    await on('keys-taught', [...opened('module'), { type: 'took', step: 'keys-collected' }]);
    await page.getByText('Sent out, waiting, not done').click();
    await tap(what);
  }

  test('lie folded up until somebody wants them', async () => {
    await on('window-learn', opened('battery'));
    expect(await bench.words()).not.toContain('Waits for a part');
  });

  test('sent out to a firm, it comes back only with its paper', async () => {
    await fold('Sent out');
    await tap('It is sent out');
    expect(bench.said).toEqual([]);
    await page.getByLabelText('To which firm').fill('Norden Keys');
    await tap('It is sent out');
    expect(bench.said).toMatchObject([{ type: 'sent-out', firm: 'Norden Keys', on: '2026-03-02' }]);
    expect(await bench.words()).toContain(
      'With Norden Keys since 2 Mar 2026. It comes back only with the paper of that firm, photographed.',
    );
    expect(page.getByRole('button', { name: 'It took' }).elements()).toHaveLength(0);
    await photograph('It is back: photograph its paper');
    await expect.poll(stageOf).toBe('took');
    expect(bench.refused).toEqual([]);
    expect(await bench.words()).toContain('Came back with its paper');
  });

  test('waits for a part that is promised', async () => {
    await fold('Waits for a part');
    await page.getByLabelText('For which part').fill('transponder ring');
    await page.getByLabelText('Promised for').fill('2026-03-05');
    await tap('It waits');
    expect(stageOf()).toBe('waiting');
    expect(await bench.words()).toContain('Waits for transponder ring, promised for 5 Mar 2026.');
    await tap('It took');
    expect(stageOf()).toBe('took');
    expect(bench.refused).toEqual([]);
  });

  test.each([
    ['The customer declined it', 'declined'],
    ['No tool for it', 'no-tool'],
    ['A part is missing', 'part-missing'],
    ['Does not fit this car', 'does-not-fit'],
  ])('not done: %s', async (words, reason) => {
    await fold('Not done');
    await tapAnyway('First say why');
    expect(bench.said).toEqual([]);
    await tap(words);
    await page.getByLabelText('More about it').fill('comes back on Monday');
    await tap('It is not done');
    expect(bench.said).toEqual([{ type: 'not-done', step: 'keys-taught', reason, note: 'comes back on Monday' }]);
    expect(await bench.words()).toContain(`Not done: ${words.toLowerCase()}; comes back on Monday`);
    await tap('Do it after all');
    expect(bench.refused).toEqual([]);
    expect(stageOf()).toBe('running');
  });

  test('stuck, with what is in the way', async () => {
    await fold('Stuck');
    await page.getByLabelText('What is in the way').fill('tool loses the car');
    await tap('It is stuck');
    expect(stageOf()).toBe('stuck');
    expect(await bench.words()).toContain('Now: Tool loses the car.');
  });
});

describe('without a finger', () => {
  test('a step is worked by keyboard alone', async () => {
    await on('steering-zero', rack);
    await userEvent.tab();
    await expect.poll(focused).toBe('figure');
    await userEvent.keyboard('12,6{Enter}');
    await bench.drawn();
    await tabTo('Start');
    await userEvent.keyboard('{Enter}');
    await bench.drawn();
    await expect.poll(focused).toBe('figure');
    await userEvent.keyboard('-0.4{Enter}');
    await bench.drawn();
    await tabTo('It took');
    await userEvent.keyboard(' ');
    expect(bench.refused).toEqual([]);
    expect(stageOf()).toBe('took');
  });
});

const looks: readonly [string, string, readonly Told[]][] = [
  ['plain', 'window-learn', opened('battery')],
  ['barred', 'steering-zero', opened('tie-rod')],
  ['before it starts', 'steering-zero', rack],
  ['running', 'steering-zero', [...rack, { type: 'started', step: 'steering-zero' }]],
  ['a choice', 'module-program', [...opened('module'), { type: 'started', step: 'module-program' }]],
  ['took, to be closed', 'steering-zero', [...rack, zeroTook]],
  ['stuck', 'window-learn', [...opened('battery'), { type: 'stuck', step: 'window-learn', why: 'no tool answers' }]],
  [
    'sent out',
    'window-learn',
    [...opened('battery'), { type: 'sent-out', step: 'window-learn', firm: 'Norden', on: '2026-03-02' }],
  ],
  ['not done', 'window-learn', [...opened('battery'), { type: 'not-done', step: 'window-learn', reason: 'declined' }]],
];

describe.each(['light', 'dark'])('on %s paper', (theme) => {
  test.each(looks)('%s: no finding of an accessibility checker, no small target', async (_, step, given) => {
    document.documentElement.dataset.theme = theme;
    await on(step, given);
    bench.stage.style.background = 'var(--paper)';
    bench.stage.style.color = 'var(--ink)';
    for (const folded of deep(bench.stage, 'details')) (folded as HTMLDetailsElement).open = true;
    await settled(await bench.drawn());
    expect(await findings(bench.stage, true)).toEqual([]);
    expect(smallTargets()).toEqual([]);
  });
});

/** What the focus is on, through all shadows: its id, or its words. */
function focused(): string {
  let active = document.activeElement;
  while (active?.shadowRoot?.activeElement) active = active.shadowRoot.activeElement;
  return active?.id || (active?.textContent?.trim() ?? '');
}

async function tabTo(words: string): Promise<void> {
  for (let i = 0; i < 40 && focused() !== words; i++) await userEvent.tab();
  expect(focused()).toBe(words);
}

function deep(root: ParentNode, selector: string): Element[] {
  return [...root.querySelectorAll('*')].flatMap((element) => [
    ...(element.matches(selector) ? [element] : []),
    ...(element.shadowRoot ? deep(element.shadowRoot, selector) : []),
  ]);
}

/** Puts a picture into the camera's field of that name. */
async function photograph(label: string): Promise<void> {
  await bench.drawn();
  const found = deep(bench.stage, 'lb-photo').find(
    (photo) => (photo as HTMLElement & { label: string }).label === label,
  );
  const field = found?.shadowRoot?.querySelector('input') as HTMLInputElement;
  const canvas = document.createElement('canvas');
  canvas.getContext('2d')?.fillRect(0, 0, 20, 20);
  const blob = await new Promise<Blob>((resolve) => canvas.toBlob((made) => resolve(made as Blob), 'image/png'));
  const given = new DataTransfer();
  given.items.add(new File([blob], 'a.png', { type: 'image/png' }));
  field.files = given.files;
  field.dispatchEvent(new Event('change'));
}
