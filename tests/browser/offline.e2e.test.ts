import { join } from 'node:path';
import { expect, test } from 'vitest';
import { cookies, headersOf } from '../signed-in.ts';
import { openFromShelf, settled } from './hand.ts';
import { serve, stop } from './served.ts';
import { setStage } from './stage.ts';

const stage = setStage('--demo');

test('opens and works while the server is away, and what was said then is sent once', {
  timeout: 120_000,
}, async () => {
  const { page } = stage;
  await openFromShelf(page, stage.base);
  const before = await events();
  const { port } = new URL(stage.base);
  await stop(stage.server);

  const began = Date.now();
  await page.goto(`${stage.base}#/job/48181/route/rain-light-sensor`);
  await page.reload();
  await page.getByText('No signal. Go on').waitFor();
  await page.getByRole('list', { name: 'Route' }).waitFor();
  console.log(`cold start without a server: ${Date.now() - began} ms to the planned route`);

  // Every leaf opens; those fetched late come from the shelf too.
  for (const leaf of ['write-up', 'car', 'before', 'codes', 'check', 'hand-over', 'route']) {
    await page.goto(`${stage.base}#/job/48181/${leaf}`);
    await settled(page);
    await expect.poll(() => page.getByText('Being fetched.').count()).toBe(0);
  }
  await page.locator('lb-step-row', { hasText: 'Window end stops' }).getByRole('link').click();
  await page.getByText('Sent out, waiting, not done').click();
  await page.getByRole('button', { name: 'Not done', exact: true }).click();
  await page.getByRole('button', { name: /tool/i }).first().click();
  await page.getByRole('button', { name: 'It is not done' }).click();
  await page.locator('lb-open-step .state', { hasText: 'Not done' }).waitFor();
  await page.getByText('Kept on this tablet').waitFor();

  // Kept over a reload, and sent once the server is there again.
  await page.reload();
  await page.locator('lb-open-step .state', { hasText: 'Not done' }).waitFor();
  // On the same record, and to the same sessions.
  Object.assign(stage, await serve(stage.data, '--port', port));
  await page.getByText('Every sheet is on the server.').waitFor({ timeout: 30_000 });
  const after = await events();
  expect(after.slice(0, before.length)).toEqual(before);
  expect(after.slice(before.length).map(({ type }) => type)).toEqual(['not-done']);
});

test('asks the browser not to throw away what is kept once there is a job to lose, and once only', async () => {
  // A shop in which no car has been yet.
  const { server, base, who } = await serve(join(stage.data, 'empty'));
  try {
    const page = await stage.tablet(undefined, false);
    await page.context().addCookies(cookies(who, base));
    await page.addInitScript(() => {
      const asked: number[] = [];
      Object.assign(window, { asked });
      const persist = navigator.storage.persist.bind(navigator.storage);
      Object.assign(navigator.storage, {
        persist() {
          asked.push(performance.now());
          return persist();
        },
      });
    });
    const asked = () => page.evaluate(() => (window as { asked?: number[] }).asked?.length);
    await page.goto(base);
    await page.getByText('No car is in.').waitFor();
    await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
    expect(await asked()).toBe(0);
    for (const ro of ['5101', '5102']) {
      await page.goto(`${base}#/new`);
      await page.getByLabel(/number/i).fill(ro);
      await page.keyboard.press('Enter');
      await page.locator('lb-job-page').waitFor();
      await page.getByText('Every sheet is on the server.').waitFor();
      await expect.poll(asked).toBe(1);
    }
  } finally {
    await stop(server);
  }
});

async function events(): Promise<{ type: string }[]> {
  const answer = await fetch(`${stage.base}api/records/48181`, { headers: headersOf(stage.who) });
  return ((await answer.json()) as { events: { type: string }[] }).events;
}
