import '../../components/sheet/tokens.css';
import '../../components/pasted/pasted-lines.ts';
import { html, render } from 'lit';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { page, userEvent } from 'vitest/browser';
import '../../src/app/screens/write-up.ts';
import { letterOf, stretches } from '../../components/pasted/marked.ts';
import type { LineMade } from '../../components/work-line/line-maker.ts';
import type { JobChanged } from '../../src/app/screens/leaf.ts';
import { loadRulebook } from '../../src/rulebook/load.ts';
import { readLines } from '../../src/write-up/read.ts';
import { clearBoard, findings, newBoard } from './board.ts';

const files = import.meta.glob<string>('../../rules/**/*.json', { query: '?raw', import: 'default', eager: true });
const { rulebook } = loadRulebook(
  new Map(Object.entries(files).map(([path, text]) => [path.replace('../../rules/', ''), text])),
);

const ORDER = `Cust hit pothole + stone
fit new w/screen, RF outer TRE worn - replace, prog BCM
bumper repaired; front strut replaced
alternator
pt declined wipers
<img src=x onerror=alert(1)> replaced cup holder`;

interface OnSheet {
  part: string;
  did: string;
  at?: readonly string[];
}

let stage: HTMLElement;
let made: OnSheet[];

beforeEach(() => {
  stage = newBoard();
  made = [];
});

afterEach(() => clearBoard(stage));

/** As the write-up does: what is put on stands on the sheet at once. */
function show(market: string | undefined = 'US'): void {
  render(
    html`<lb-pasted-lines .rulebook=${rulebook} .market=${market} .sheet=${made} @lb-line-made=${({
      part,
      did,
      at,
    }: LineMade) => {
      made = [...made, { part, did, at }];
      show(market);
    }}></lb-pasted-lines>`,
    stage,
  );
}

async function paste(text: string, market?: string): Promise<void> {
  show(market);
  await page.getByLabelText("Paste the repair order's lines").fill(text);
  await page.getByRole('button', { name: 'Read the lines' }).click();
}

const key = (name: string | RegExp) => page.getByRole('button', { name });

describe('pasted lines', () => {
  test('are proposals, of which none is on the sheet before a person puts it on', async () => {
    await paste(ORDER);
    await expect
      .element(page.getByRole('status'))
      .toHaveTextContent('6 work lines are proposed. Nothing goes on the sheet by itself.');
    expect(made).toEqual([]);
    expect(stage.querySelector('[aria-pressed="true"], :checked')).toBeNull();
    expect(page.getByRole('button', { name: /all/i }).elements()).toEqual([]);
    await key('Put on: Track rod end, replaced, front right').click();
    expect(made).toEqual([{ part: 'tie-rod-end', did: 'replaced', at: ['front-right'] }]);
    await expect.element(page.getByText('On the sheet', { exact: true })).toBeVisible();
  });

  test('ask what is open: which part, what was done, where', async () => {
    await paste(ORDER);
    await key(/^First say which: /).click({ force: true });
    expect(made).toEqual([]);
    await page
      .getByRole('group', { name: /Which of these/ })
      .getByRole('button', { name: 'Rear bumper cover' })
      .click();
    await key('Put on: Rear bumper cover, repaired').click();
    await page.getByRole('group', { name: 'Strut: Where?' }).getByRole('button', { name: 'Front left' }).click();
    await key('Put on: Strut, replaced, front left').click();
    await page
      .getByRole('group', { name: /Alternator: What was done/ })
      .getByRole('button', { name: 'Refitted' })
      .click();
    await key('Put on: Alternator, refitted').click();
    expect(made).toEqual([
      { part: 'rear-bumper', did: 'repaired', at: [] },
      { part: 'strut', did: 'replaced', at: ['front-left'] },
      { part: 'alternator', did: 'refitted', at: [] },
    ]);
  });

  test('are left off and taken back', async () => {
    await paste('R&R alternator');
    await key('Leave off Alternator').click();
    expect(key(/^Put on/).elements()).toEqual([]);
    await key('Alternator is left off. Undo').click();
    await expect.element(key('Put on: Alternator, replaced')).toBeVisible();
  });

  test('say what was passed over and why, folded up; markup is text', async () => {
    await paste(ORDER);
    const folded = page.getByText(/pieces were passed over/);
    await expect.element(page.getByText('declined, or not done')).not.toBeVisible();
    await folded.click();
    await expect.element(page.getByText('declined, or not done')).toBeVisible();
    await expect.element(page.getByText('no such part here')).toBeVisible();
    expect(deep(stage, 'img')).toBeNull();
  });

  test('are worked by keys alone, and focus stays where the hand is', async () => {
    await paste('R&R alternator, R&R starter');
    key('Put on: Alternator, replaced').element().closest('button')?.focus();
    await userEvent.keyboard('{Enter}');
    expect(made).toHaveLength(1);
    await expect.poll(() => active()?.textContent?.trim()).toBe('On the sheet');
    await userEvent.keyboard('{Tab}');
    expect(active()?.getAttribute('aria-label')).toBe('Put on: Starter motor, replaced');
  });

  test('take the driver’s side from the market, anew when it is told', async () => {
    await paste('o/s/f strut replaced', 'GB');
    await expect.element(key('Put on: Strut, replaced, front right')).toBeVisible();
    show('CA');
    await expect.element(key('Put on: Strut, replaced, front left')).toBeVisible();
  });

  test('that name nothing say so', async () => {
    await paste('thank you');
    await expect.element(page.getByRole('status')).toHaveTextContent('No line names any work on a part.');
  });
});

test('the write-up leaf fetches the box when it is asked for, and puts what is ticked on its sheet', async () => {
  let job: JobChanged['job'] = { ro: '4471', vehicle: { market: 'GB' }, work: [] };
  const leaf = () => {
    const planned = {
      job,
      record: undefined,
      numbers: new Map(),
      pending: false,
      planned: undefined,
      list: undefined,
      faults: [],
      known: new Map(),
    };
    render(
      html`<lb-write-up .planned=${planned as never} .rulebook=${rulebook} @lb-job-changed=${(event: JobChanged) => {
        job = event.job;
        leaf();
      }}></lb-write-up>`,
      stage,
    );
  };
  leaf();
  expect(deep(stage, 'lb-pasted-lines')).toBeNull();
  await key("Paste the order's lines").click();
  await page.getByLabelText("Paste the repair order's lines").fill('o/s/f strut replaced');
  await key('Read the lines').click();
  await key('Put on: Strut, replaced, front right').click();
  expect(job.work).toEqual([{ part: 'strut', did: 'replaced', at: 'front-right' }]);
  await expect.element(page.getByText('On the sheet', { exact: true })).toBeVisible();
  await key('Strike Strut').click();
  expect(job.work).toEqual([]);
  await expect.element(key('Put on: Strut, replaced, front right')).toBeVisible();
});

describe.each(['light', 'dark'])('on %s paper', (theme) => {
  test.each([
    [1280, 800],
    [800, 1280],
  ])('at %i x %i nothing is amiss, and every target is large enough', async (width, height) => {
    document.documentElement.dataset.theme = theme;
    await page.viewport(width, height);
    await paste(ORDER);
    await page.getByText(/pieces were passed over/).click();
    expect(await findings(stage)).toEqual([]);
    const small = targets(stage).filter((target) => target.height < 48 || target.width < 48);
    expect(small.map(({ text, width: wide, height: high }) => `${text} ${wide}x${high}`)).toEqual([]);
    expect(document.documentElement.scrollWidth).toBeLessThanOrEqual(width);
  });
});

describe('a line with its words', () => {
  test('loses no character, whatever stands in it', () => {
    for (const text of ORDER.split('\n')) {
      const [line] = readLines(text, rulebook).lines;
      const parts = line
        ? stretches(
            line,
            line.proposals.map((_, n) => letterOf(n)),
          )
        : [];
      expect(parts.map((part) => part.text).join('')).toBe(text);
      expect(parts.flatMap((part) => part.letters)).toHaveLength(line?.proposals.length ?? 0);
    }
  });

  test('is lettered beyond z', () => {
    expect([0, 25, 26, 51, 52, 701, 702].map(letterOf)).toEqual(['a', 'z', 'aa', 'az', 'ba', 'zz', 'aaa']);
  });
});

/** Every element below, through shadow roots. */
function all(root: ParentNode): Element[] {
  return [...root.querySelectorAll('*')].flatMap((element) => [
    element,
    ...(element.shadowRoot ? all(element.shadowRoot) : []),
  ]);
}

function deep(root: ParentNode, selector: string): Element | null {
  return all(root).find((element) => element.matches(selector)) ?? null;
}

function targets(root: ParentNode): { text: string; width: number; height: number }[] {
  return all(root)
    .filter((element) => element.matches('button, summary, textarea'))
    .map((element) => {
      const { width, height } = element.getBoundingClientRect();
      return { text: element.textContent?.trim() ?? '', width, height };
    })
    .filter(({ height }) => height > 0);
}

function active(): Element | null {
  let element = document.activeElement;
  while (element?.shadowRoot?.activeElement) element = element.shadowRoot.activeElement;
  return element;
}
