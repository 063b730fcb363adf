import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { headersOf } from '../signed-in.ts';
import { Hand, pressed, rows, VIN, writeUp } from './hand.ts';
import { type Kept, put } from './served.ts';
import { setStage } from './stage.ts';

const stage = setStage();

describe('a job written up by hand', () => {
  test('comes to its list in at most 25 taps, with a why on every step', async () => {
    const hand = new Hand(stage.page);
    await writeUp(stage.base, hand);
    await hand.tap('What has this car?');
    await hand.tap('Before you start');
    await hand.tap('Route');
    await stage.page.getByRole('list', { name: 'Route' }).waitFor();

    // Typed letters are counted apart: a scanner or a paste brings the VIN in one go.
    console.log(`VIN and three lines to the list: ${hand.taps} taps, ${hand.letters} letters typed`);
    expect(hand.taps).toBeLessThanOrEqual(25);

    const steps = await rows(stage.page);
    expect(steps.length).toBeGreaterThan(3);
    expect(steps.some((name) => /wheel alignment/i.test(name))).toBe(true);
    expect(steps.some((name) => /adhesive/i.test(name))).toBe(true);
    for (const link of await stage.page.locator('lb-step-row').all()) {
      await link.getByRole('link').click();
      await expect.poll(() => stage.page.locator('lb-open-step .why').textContent()).toMatch(/Why it is here:\s+\S+/);
    }
    expect(stage.troubles).toEqual([]);
  });

  test('asks what the car has, takes answers, and lets them be corrected', async () => {
    const hand = new Hand(stage.page);
    await writeUp(stage.base, hand);
    await hand.tap('What has this car?');
    const card = stage.page.locator('lb-question-card', { hasText: 'camera behind the windscreen' });
    await stage.page.locator('lb-question-card').first().waitFor();
    // The plan is made beside the page, so the list follows the answer a moment later.
    const aimed = async () => (await rows(stage.page)).some((name) => /camera aim/i.test(name));

    await card.getByRole('button', { name: 'Aimed on targets', exact: true }).click();
    expect(await pressed(card)).toEqual(['Aimed on targets']);
    // One maker spares one model the aim after new glass: until the maker is known, it is only perhaps needed.
    await stage.page.goto(`${stage.base}#/job/7001/route`);
    await stage.page.locator('lb-route-leaf .perhaps', { hasText: 'camera aim' }).waitFor();

    await stage.page.goto(`${stage.base}#/job/7001/car`);
    await stage.page
      .locator('lb-question-card', { hasText: 'Who made the car?' })
      .getByRole('combobox')
      .selectOption('honda');
    await stage.page.goto(`${stage.base}#/job/7001/route`);
    await expect.poll(aimed).toBe(true);

    await stage.page.goto(`${stage.base}#/job/7001/car`);
    await card.getByRole('button', { name: 'Not fitted' }).click();
    expect(await pressed(card)).toEqual(['Not fitted']);
    await stage.page.goto(`${stage.base}#/job/7001/route`);
    await expect.poll(aimed).toBe(false);
    expect(stage.troubles).toEqual([]);
  });

  test('is there after a reload, on another tablet, and while the server is away', async () => {
    await writeUp(stage.base, new Hand(stage.page));
    await stage.page.getByText('Every sheet is on the server.').waitFor();
    await stage.page.reload();
    await expect.poll(() => stage.page.locator('lb-work-line').count()).toBe(3);

    const other = await stage.tablet();
    await other.goto(`${stage.base}#/job/7001/write-up`);
    await expect.poll(() => other.locator('lb-work-line').count()).toBe(3);
    await other.close();

    // The page itself comes from the browser here: what is tested is that its data needs no server.
    await stage.context.route('**/api/**', (route) => route.abort());
    await stage.page.reload();
    await expect.poll(() => stage.page.locator('lb-work-line').count()).toBe(3);
    await stage.page.getByRole('button', { name: 'Strike 12 V battery' }).click();
    await stage.page.getByText('Kept on this tablet').waitFor();
    await stage.page.reload();
    await expect.poll(() => stage.page.locator('lb-work-line').count()).toBe(2);

    await stage.context.unroute('**/api/**');
    await stage.page.getByText('Every sheet is on the server.').waitFor({ timeout: 15_000 });
    const kept = (await (await fetch(`${stage.base}api/jobs/7001`, { headers: headersOf(stage.who) })).json()) as {
      job: { work: unknown[] };
    };
    expect(kept.job.work).toHaveLength(2);
  });

  test('lets a person choose when two tablets changed it', async () => {
    await writeUp(stage.base, new Hand(stage.page));
    await stage.page.getByText('Every sheet is on the server.').waitFor();
    const { job, revision } = (await (
      await fetch(`${stage.base}api/jobs/7001`, { headers: headersOf(stage.who) })
    ).json()) as Kept;
    // With a signal this tablet would hear of it at once.
    await stage.context.route('**/api/**', (route) => route.abort());
    await put(stage.base, { ...job, work: job.work.slice(0, 1) }, revision, stage.who);
    await stage.page.getByRole('button', { name: 'Strike 12 V battery' }).click();
    await stage.page.getByText('Kept on this tablet').waitFor();
    await stage.context.unroute('**/api/**');
    await stage.page.getByText('was changed on another tablet too').waitFor();
    await stage.page.getByRole('button', { name: 'Take the other sheet' }).click();
    await expect.poll(() => stage.page.locator('lb-work-line').count()).toBe(1);
    await stage.page.getByText('Every sheet is on the server.').waitFor();
  });

  test('asks whether the before-steps were done, once the work is', async () => {
    await writeUp(stage.base, new Hand(stage.page));
    await stage.page.goto(`${stage.base}#/job/7001/before`);
    await stage.page.getByRole('button', { name: 'The work is done' }).click();
    const first = stage.page.getByRole('group', { name: /was it done\?/ }).first();
    await first.getByRole('button', { name: 'No', exact: true }).click();
    expect(await pressed(first)).toEqual(['No']);
  });

  test('opens a step on a phone under the hand, takes a waiting time, and folds it up again', async () => {
    await writeUp(stage.base, new Hand(stage.page));
    await stage.page.setViewportSize({ width: 390, height: 844 });
    await stage.page.goto(`${stage.base}#/job/7001/route`);
    await stage.page.locator('lb-step-row', { hasText: 'adhesive' }).getByRole('link').click();
    const opened = stage.page.getByRole('region', { name: 'The opened step' });
    await expect
      .poll(() => opened.evaluate((one) => (one.getRootNode() as ShadowRoot).activeElement === one))
      .toBe(true);

    await opened.getByLabel(/drive-away/i).fill('75');
    await opened.getByRole('button', { name: 'Write it down' }).click();
    await expect.poll(() => opened.locator('.state').innerText()).toContain('1 h 15 min waiting');
    await opened.getByRole('link', { name: 'Fold it up' }).click();
    await opened.waitFor({ state: 'detached' });
    expect(await stage.page.locator('lb-step-row a', { hasText: 'adhesive' }).innerText()).toContain('1 h 15 min');
    expect(stage.troubles).toEqual([]);
  });

  test('says why a step is not on the sheet', async () => {
    await writeUp(stage.base, new Hand(stage.page));
    await stage.page.goto(`${stage.base}#/job/7001/route`);
    await stage.page.getByLabel('The step you miss').fill('injector');
    await expect
      .poll(() => stage.page.locator('lb-why-not lb-part-search').getByRole('list').innerText())
      .toMatch(/nothing on this job calls for it|would call for it/i);
  });

  test('prints on A4 and Letter: every step, with RO, VIN, rulebook and page numbers', async () => {
    await writeUp(stage.base, new Hand(stage.page));
    await stage.page.goto(`${stage.base}#/job/7001/route`);
    const steps = await rows(stage.page);
    await stage.page.locator('lb-printed-sheet article').waitFor({ state: 'attached' });
    for (const format of ['A4', 'Letter'] as const) {
      const pdf = await stage.page.pdf({ format, preferCSSPageSize: false });
      expect(pdf.subarray(0, 5).toString()).toBe('%PDF-');
      expect(pdf.length).toBeGreaterThan(20_000);
    }
    await stage.page.emulateMedia({ media: 'print' });
    const paper = await stage.page.locator('lb-printed-sheet article').innerText();
    for (const name of steps) expect(paper).toContain(name);
    expect(paper).toContain('7001');
    expect(paper).toContain(VIN);
    const rules = ((await (await fetch(`${stage.base}api/health`)).json()) as { rules: string }).rules;
    const frame = await stage.page.evaluate(() =>
      document.adoptedStyleSheets.map((one) => [...one.cssRules].map((rule) => rule.cssText).join()).join(),
    );
    expect(frame).toContain(`Rules ${rules}, page `);
    expect(frame).toContain('counter(pages)');
    expect(await stage.page.locator('button:visible').count()).toBe(0);
  });
});

describe('the built server', () => {
  test('says that its port is taken, and exits with 2', async () => {
    const { port } = new URL(stage.base);
    const second = spawn(process.execPath, [
      'dist/cli/main.js',
      'serve',
      '--port',
      port,
      '--data',
      join(stage.data, 'second'),
    ]);
    let errors = '';
    second.stderr.on('data', (chunk: Buffer) => (errors += chunk.toString()));
    const [code] = (await once(second, 'close')) as [number];
    expect([code, errors.trim()]).toEqual([
      2,
      `port ${port} is taken by another program; choose another with --port N`,
    ]);
  });

  test('ends by itself when it is told to, with a page still open', async () => {
    await stage.page.goto(stage.base);
    const started = performance.now();
    const ended = once(stage.server, 'exit');
    stage.server.kill('SIGTERM');
    expect(await ended).toEqual([0, null]);
    expect(performance.now() - started).toBeLessThan(5_000);
  });
});
