import '../../components/codes/codes.ts';
import '../../components/comeback/comeback.ts';
import { html, type LitElement, render, type TemplateResult } from 'lit';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { Said, Saying } from '../../components/record/said.ts';
import { mayNotSay, type Person, ROLES } from '../../src/job/people.ts';
import { clearBoard, newBoard } from './board.ts';
import { answer, BACKS, Bay, OLD, returned, rulebook, STAGES } from './codes-samples.ts';

/** Whatever a hand can press is taken by the server from whoever is signed in; what is not is grey and says why. */

const NOW = Date.UTC(2026, 2, 2, 9);
let stage: HTMLElement;
let heard: Saying[];

beforeEach(() => {
  heard = [];
  stage = newBoard();
  stage.addEventListener('lb-said', (event) => heard.push(...(event as Said).sayings));
});
afterEach(() => clearBoard(stage));

const codes = (person: Person) =>
  Object.values(STAGES).map(
    (given) =>
      html`<lb-codes .sight=${new Bay(given).sight} .rulebook=${rulebook} .person=${person} .now=${NOW}></lb-codes>`,
  );
const comeback = (person: Person) => [
  html`<lb-comeback .answer=${answer(BACKS.told)} .back=${BACKS.told} .job=${returned(BACKS.told).sight.job} .old=${OLD.sight} .rulebook=${rulebook} .person=${person} .now=${NOW}></lb-comeback>`,
];

describe.each([
  ['codes', codes],
  ['it came back', comeback],
] as const)('%s', (_, leaves: (person: Person) => TemplateResult[]) => {
  test.each(ROLES)('%s', async (role) => {
    const person: Person = { id: 'ana', name: 'Ana', roles: [role] };
    for (const leaf of leaves(person)) {
      render(leaf, stage);
      await pressAll();
      render(html``, stage);
    }
    for (const saying of heard) expect(mayNotSay(saying.type, person), saying.type).toBeUndefined();
    // It does not pass by nothing being said at all.
    if (role === 'technician') expect(heard.length).toBeGreaterThan(0);
  });
});

test('what is barred says who may', async () => {
  const [first] = codes({ id: 'pia', name: 'Pia', roles: ['desk'] });
  render(first, stage);
  await settle();
  const words = deep(stage)
    .map((one) => one.textContent ?? '')
    .join(' ');
  expect(words).toContain('Pia is desk: "scanned" is said by a technician or foreman.');
  const report = deep(stage).find((one) => one.id === 'before');
  expect(report?.getAttribute('aria-disabled')).toBe('true');
});

/** A key of each name once, and what opens behind it before the next. */
async function pressAll(pressed: Set<string> = new Set()): Promise<void> {
  await settle();
  for (const field of deep(stage))
    if (field instanceof HTMLTextAreaElement && field.value === '') {
      field.value = 'seen by hand';
      field.dispatchEvent(new Event('input', { bubbles: true }));
    }
  await settle();
  const name = (key: Element) => `${key.getAttribute('aria-label') ?? ''} ${key.textContent}`.trim();
  const keys = deep(stage).filter((one): one is HTMLButtonElement => one instanceof HTMLButtonElement);
  const fresh = keys.filter((key) => !pressed.has(name(key)));
  for (const key of fresh) {
    if (pressed.has(name(key)) || !key.isConnected || key.getAttribute('aria-disabled') === 'true') continue;
    pressed.add(name(key));
    key.click();
    if (pressed.size < 40) await pressAll(pressed);
  }
}

async function settle(): Promise<void> {
  for (let i = 0; i < 3; i++) for (const one of deep(stage)) await (one as LitElement).updateComplete;
}

function deep(root: Element | ShadowRoot): Element[] {
  return [...root.querySelectorAll('*')].flatMap((one) => [one, ...(one.shadowRoot ? deep(one.shadowRoot) : [])]);
}
