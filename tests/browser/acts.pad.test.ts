import '../../components/sheet/tokens.css';
import '../../components/pad/number-pad.ts';
import { html, type LitElement, render } from 'lit';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { page, userEvent } from 'vitest/browser';
import { limitWords } from '../../components/pad/limits.ts';
import type { Written } from '../../components/pad/written.ts';
import type { Asked } from '../../src/job/asked.ts';
import type { Units } from '../../src/job/readings.ts';
import type { ReadingValue } from '../../src/job/values.ts';

let stage: HTMLElement;
let heard: ReadingValue[];

beforeEach(() => {
  stage = document.createElement('main');
  document.body.append(stage);
  heard = [];
  stage.addEventListener('lb-written', (event) => heard.push((event as Written).value));
});

afterEach(() => {
  stage.remove();
});

function asked(unit: string | undefined, limits: Asked['limits'], limitText: readonly string[] = []): Asked {
  const base = { key: 'proof/x/Figure', when: 'proof', label: 'figure', answer: 'number', choices: [] } as const;
  return { ...base, limits, limitText, must: true, ...(unit ? { unit } : {}) };
}

async function put(what: Asked, units: Units = 'metric', more: { value?: ReadingValue; explains?: boolean } = {}) {
  render(
    html`<lb-number-pad .asked=${what} .units=${units} .value=${more.value} .explains=${more.explains ?? false}></lb-number-pad>`,
    stage,
  );
  await (stage.firstElementChild as LitElement).updateComplete;
}

const tap = (name: string) => page.getByRole('button', { name, exact: true }).click();
const volts = asked('V', [{ min: 12.2 }]);
const toe = asked('deg', [{ min: -0.2, max: 0.2 }]);

interface Case {
  readonly says: string;
  readonly asked: Asked;
  readonly units?: Units;
  readonly explains?: true;
  /** Keys, one after the other. */
  readonly taps: readonly string[];
  /** What the pad says then. */
  readonly judged?: string;
  readonly written: readonly ReadingValue[];
}

const cases: readonly Case[] = [
  {
    says: 'a figure within its limit is written down',
    asked: volts,
    taps: ['1', '2', 'Point', '6', 'Write it down'],
    judged: 'Within the limit.',
    written: [{ kind: 'number', value: 12.6, unit: 'V' }],
  },
  {
    says: 'the minus turns the sign, whenever it is tapped',
    asked: toe,
    taps: ['0', 'Point', '1', 'Plus or minus', 'Write it down'],
    judged: 'Within the limit.',
    written: [{ kind: 'number', value: -0.1, unit: 'deg' }],
  },
  {
    says: 'and turns it back',
    asked: toe,
    taps: ['1', 'Plus or minus', 'Plus or minus', 'Write it down'],
    written: [{ kind: 'number', value: 1, unit: 'deg' }],
  },
  {
    says: 'a point without a figure before it is nought point',
    asked: toe,
    taps: ['Point', '2', 'Write it down'],
    written: [{ kind: 'number', value: 0.2, unit: 'deg' }],
  },
  {
    says: 'a second point is none',
    asked: volts,
    taps: ['1', '2', 'Point', '5', 'Point', '1', 'Write it down'],
    written: [{ kind: 'number', value: 12.51, unit: 'V' }],
  },
  {
    says: 'rubbed out, figure by figure',
    asked: volts,
    taps: ['1', '3', '9', 'Rub out', 'Write it down'],
    written: [{ kind: 'number', value: 13, unit: 'V' }],
  },
  {
    says: 'over its limit it says by what, and is written down all the same',
    asked: toe,
    taps: ['0', 'Point', '3', 'Write it down'],
    judged: 'Figure: 0.3° is over the 0.2° allowed.',
    written: [{ kind: 'number', value: 0.3, unit: 'deg' }],
  },
  {
    says: 'ten times too large it is asked about, and put right by one tap',
    asked: volts,
    taps: ['1', '3', '1', 'It is 13.1 V'],
    written: [{ kind: 'number', value: 13.1, unit: 'V' }],
  },
  {
    says: 'or is meant as it stands',
    asked: volts,
    taps: ['1', '3', '1', '131 V is right'],
    written: [{ kind: 'number', value: 131, unit: 'V', sure: true }],
  },
  {
    says: 'in another unit of its kind, it is judged in that unit',
    asked: asked('bar', [{ min: 2.1, max: 2.5 }]),
    taps: ['Unit bar, choose another', 'kPa', '2', '3', '0', 'Write it down'],
    judged: 'Within the limit.',
    written: [{ kind: 'number', value: 230, unit: 'kPa' }],
  },
  {
    says: 'a US shop reads in its own unit from the first',
    asked: asked('bar', [{ min: 2.1, max: 2.5 }]),
    units: 'us',
    taps: ['3', '3', 'Write it down'],
    judged: 'Within the limit.',
    // 33 psi = 33 x 6.894757 kPa = 227.5 kPa = 2.28 bar
    written: [{ kind: 'number', value: 33, unit: 'psi' }],
  },
  {
    says: 'read in the unit of the other, it is seen for what it is',
    asked: asked('bar', [{ min: 2.1, max: 2.5 }]),
    taps: ['3', '3', 'It is 33 psi'],
    written: [{ kind: 'number', value: 33, unit: 'psi' }],
  },
  {
    says: 'what has no limit is written as it is',
    asked: asked('V', [], ["the maker's figure"]),
    taps: ['7', 'Write it down'],
    judged: 'No limit to hold it against.',
    written: [{ kind: 'number', value: 7, unit: 'V' }],
  },
  {
    says: 'a count has no unit',
    asked: asked(undefined, [{ max: 0 }]),
    taps: ['0', 'Write it down'],
    written: [{ kind: 'number', value: 0 }],
  },
];

describe('the number pad', () => {
  test.each(cases.map((one) => [one.says, one] as const))(
    '%s',
    async (_, { asked: what, units, explains, taps, judged, written }) => {
      await put(what, units, { explains: explains ?? false });
      for (const name of taps.slice(0, -1)) await tap(name);
      if (judged) await expect.element(page.getByRole('status')).toHaveTextContent(judged);
      await tap(taps.at(-1) as string);
      expect(heard).toEqual(written);
    },
  );

  test.each([
    ['12,6{Enter}', [{ kind: 'number', value: 12.6, unit: 'V' }]],
    ['12.6 V{Enter}', [{ kind: 'number', value: 12.6, unit: 'V' }]],
    ['12600 mV{Enter}', [{ kind: 'number', value: 12600, unit: 'mV' }]],
    ['twelve{Enter}', []],
    ['131{Enter}', []],
    ['1,234{Enter}', []],
    ['{Enter}', []],
  ])('typed: %s', async (keys, written) => {
    await put(volts);
    await page.getByRole('textbox').click();
    await userEvent.keyboard(keys);
    expect(heard).toEqual(written);
  });

  test('says of what it can not read why not, and gives no dead key', async () => {
    await put(volts);
    await page.getByRole('textbox').fill('12 bananas');
    await expect.element(page.getByRole('status')).toHaveTextContent('"bananas" is no unit that is known here.');
    await expect.element(page.getByRole('button', { name: 'No figure yet' })).toHaveAttribute('aria-disabled', 'true');
  });

  test('takes a reason beside a figure outside its limit, where that is no safety item', async () => {
    await put(toe, 'metric', { explains: true });
    for (const name of ['0', 'Point', '3']) await tap(name);
    await page.getByLabelText('Why it is good as it is').fill('the maker allows it on this axle');
    await tap('Write it down');
    expect(heard).toEqual([{ kind: 'number', value: 0.3, unit: 'deg', because: 'the maker allows it on this axle' }]);
  });

  test('has no place for a reason on a safety item', async () => {
    await put(toe);
    for (const name of ['0', 'Point', '3']) await tap(name);
    expect(page.getByLabelText('Why it is good as it is').elements()).toHaveLength(0);
  });

  test('shows what was written, in the unit it was read in, and gives way to the next reading', async () => {
    await put(asked('bar', [{ min: 2 }]), 'metric', { value: { kind: 'number', value: 33, unit: 'psi' } });
    await expect.element(page.getByRole('textbox')).toHaveValue('33');
    await expect.element(page.getByRole('button', { name: 'Unit psi, choose another' })).toBeVisible();
    await put({ ...volts, key: 'proof/x/Next' });
    await expect.element(page.getByRole('textbox')).toHaveValue('');
  });

  test('shows by a pointer where the figure lies', async () => {
    await put(toe);
    const pointer = () =>
      stage.firstElementChild?.shadowRoot?.querySelector<SVGPathElement>('svg.gauge path[fill]')?.getBBox().x;
    expect(pointer()).toBeUndefined();
    const at: number[] = [];
    for (const name of ['Plus or minus', 'Point', '1', '9', 'Plus or minus']) {
      await tap(name);
      at.push(pointer() ?? 0);
    }
    // typed so far: nothing, −0, −0.1, −0.19, 0.19
    const [, zero, tenth, more, right] = at as [number, number, number, number, number];
    expect(zero).toBeGreaterThan(tenth);
    expect(tenth).toBeGreaterThan(more);
    expect(right).toBeGreaterThan(zero);
  });

  test('has keys that a gloved finger hits', async () => {
    await put(volts);
    const small = [...(stage.firstElementChild?.shadowRoot?.querySelectorAll('button') ?? [])]
      .map((key) => key.getBoundingClientRect())
      .filter(({ width, height }) => width < 54 || height < 54);
    expect(small).toEqual([]);
  });
});

test.each<[Asked, Units, string]>([
  [volts, 'metric', 'at least 12.2 V'],
  [toe, 'metric', '−0.2° to 0.2°'],
  [asked('bar', [{ max: 2.5 }]), 'us', 'at most 36.3 psi'],
  [asked('V', [{ min: 5, max: 5 }]), 'metric', '5 V exactly'],
  [asked('V', [], ["the maker's figure"]), 'metric', "the maker's figure"],
  [{ ...volts, answer: 'choice', limits: [], choices: ['holds', 'does not'] }, 'metric', 'holds'],
])('a limit is written %#', (what, units, words) => {
  expect(limitWords(what, units)).toBe(words);
});
