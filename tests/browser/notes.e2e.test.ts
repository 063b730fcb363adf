import AxeBuilder from '@axe-core/playwright';
import { expect, test } from 'vitest';
import { headersOf } from '../signed-in.ts';
import { openFromShelf } from './hand.ts';
import { serve, stop } from './served.ts';
import { setStage } from './stage.ts';

const stage = setStage('--demo');

test('an item is noted as wrong in one tap and one as missing, without a signal too; a note is taken back', {
  timeout: 120_000,
}, async () => {
  const { page } = stage;
  await openFromShelf(page, stage.base);
  await page.goto(`${stage.base}#/job/48181/route/rain-light-sensor`);
  await page.getByRole('list', { name: 'Route' }).waitFor();
  const before = await events();
  const link = page.locator('lb-step-row', { hasText: 'Window end stops' }).getByRole('link');
  await link.click();
  const note = page.locator('lb-item-note');

  // One tap, no words.
  await note.getByRole('button', { name: 'Wrong on this list' }).click();
  await note.getByText('Noted for the keeper of the rules: wrong here.').waitFor();
  await expect
    .poll(async () => (await events()).slice(before.length))
    .toMatchObject([{ type: 'item-noted', was: 'wrong', step: 'window-initialise' }]);
  const found = await new AxeBuilder({ page }).analyze();
  expect(found.violations.map(({ id, nodes }) => `${id}: ${nodes[0]?.html}`)).toEqual([]);

  // Why, in one more; without a signal.
  const { port } = new URL(stage.base);
  await stop(stage.server);
  await note.getByRole('button', { name: 'This car has none' }).click();
  await note.getByText('This car has none.').waitFor();
  await page.getByText('Kept on this tablet').waitFor();
  await page.getByRole('button', { name: 'An item is missing here' }).click();
  const missing = page.locator('lb-missing');
  await missing.getByRole('searchbox').fill('seat memory');
  await missing.getByRole('button', { name: 'Seat memory', exact: false }).first().click();
  await missing.getByText('Noted as missing: Seat memory').waitFor();
  await page.getByRole('button', { name: 'An item is missing here' }).click();
  await missing.getByRole('searchbox').fill('the winch wants its zero');
  await missing.getByRole('button', { name: 'Note it in these words' }).click();
  await missing.getByText('The winch wants its zero.').waitFor();
  await missing.getByRole('button', { name: 'Take the note back' }).first().click();
  await expect.poll(() => missing.getByText('Noted as missing: Seat memory').count()).toBe(0);

  // Kept over a reload, and sent once.
  await page.reload();
  await page.locator('lb-item-note').getByText('This car has none.').waitFor();
  Object.assign(stage, await serve(stage.data, '--port', port));
  await page.getByText('Every sheet is on the server.').waitFor({ timeout: 30_000 });
  const said = (await events()).slice(before.length);
  expect(said.map(({ type, note: words }) => (words ? `${type}: ${words}` : type))).toEqual([
    'item-noted',
    'item-note-struck',
    'item-noted: this car has none',
    'item-noted',
    'item-noted: the winch wants its zero',
    'item-note-struck',
  ]);
  await note.getByRole('button', { name: 'Take the note back' }).click();
  await note.getByRole('button', { name: 'Wrong on this list' }).waitFor();
  await expect.poll(async () => (await events()).at(-1)?.type).toBe('item-note-struck');
});

async function events(): Promise<{ type: string; note?: string }[]> {
  const answer = await fetch(`${stage.base}api/records/48181`, { headers: headersOf(stage.who) });
  return ((await answer.json()) as { events: { type: string; note?: string }[] }).events;
}
