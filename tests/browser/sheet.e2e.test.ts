import { fileURLToPath } from 'node:url';
import { beforeEach, describe, expect, test } from 'vitest';
import { hasDrawing } from '../../components/question/drawings.ts';
import { modelName, modelsOf } from '../../src/app/models.ts';
import { readyHere, readySteps } from '../../src/app/now.ts';
import type { Planned } from '../../src/app/plan.ts';
import { checklist } from '../../src/checklist.ts';
import { type JobFile, readFacts } from '../../src/resolve/facts.ts';
import { loadRulebook } from '../../src/rulebook/load.ts';
import { demoJobs } from '../../src/server/demo/seed.ts';
import { readRules } from '../../src/server/rule-files.ts';
import { headersOf } from '../signed-in.ts';
import { pressed, rows, settled, tabTo } from './hand.ts';
import { type Kept, put } from './served.ts';
import { setStage } from './stage.ts';

const top = fileURLToPath(new URL('../..', import.meta.url));
const { rulebook } = loadRulebook(new Map(Object.entries(readRules(`${top}rules`).files)));

const stage = setStage();

/** The invented sheets that are only written up, the first one on top. */
beforeEach(async () => {
  for (const job of demoJobs.toReversed()) await put(stage.base, job as Kept['job'], 0, stage.who);
});

describe('planning', () => {
  test('goes on in a worker, and the last of many answers is what stands', async () => {
    await open('job/48213/car');
    expect(stage.page.workers()).toHaveLength(1);
    const card = question('camera behind the windscreen');
    for (const name of ['Aimed on targets', 'Not fitted', 'Aimed on the road', 'Not fitted', 'Aimed on the road'])
      await card.getByRole('button', { name, exact: true }).click();
    expect(await pressed(card)).toEqual(['Aimed on the road']);
    await stage.page.getByText('Every sheet is on the server.').waitFor();
    await open('job/48213/route');
    const expected = listOf((await kept('48213')).job as unknown as JobFile)
      .steps.filter(({ phase }) => phase !== 'before')
      .map(({ title }) => title);
    await expect.poll(() => rows(stage.page)).toEqual(expected);
    expect(stage.troubles).toEqual([]);
  });

  test('goes on in the page where there is no worker, says so, and comes to the same list', async () => {
    await open('job/48213/route');
    const inWorker = await rows(stage.page);
    await stage.context.addInitScript(() => {
      Object.assign(window, {
        Worker: class {
          constructor() {
            throw new Error('workers are switched off');
          }
        },
      });
    });
    await stage.page.reload();
    await stage.page.getByText('cannot plan beside the page (workers are switched off)').waitFor();
    await expect.poll(() => rows(stage.page)).toEqual(inWorker);
  });
});

describe('an answer', () => {
  test('tells what it changed, and is taken back with one tap', async () => {
    await open('job/48213/car');
    const card = question('camera behind the windscreen');
    await card.getByRole('button', { name: 'Not fitted' }).click();
    const note = stage.page.locator('lb-change-note .note');
    await expect.poll(() => note.innerText()).toMatch(/Forward camera aim (is not needed|is no longer needed)/);
    expect(await pressed(card)).toEqual(['Not fitted']);
    await note.getByRole('button', { name: 'Take it back' }).click();
    await expect.poll(() => pressed(card)).toEqual([]);
    await expect.poll(() => note.innerText()).toMatch(/Forward camera aim (may be needed now|is needed now)/);
    await note.getByRole('button', { name: 'Noted' }).click();
    await note.waitFor({ state: 'hidden' });
  });

  test('that is only likely stands beside the keys and presses none', async () => {
    await change('48213', { maker: 'honda' });
    await open('job/48213/car');
    const likely = stage.page.locator('lb-question-card', { has: stage.page.locator('.likely') }).first();
    expect(await likely.locator('.likely').innerText()).toMatch(/^Likely: .+; because .+/);
    expect(await pressed(likely)).toEqual([]);
    await likely.getByRole('button').first().click();
    await likely.locator('.likely').waitFor({ state: 'detached' });
  });

  test('to "which model" is on keys only for models of the maker that is known, and can be written', async () => {
    const [found] = demoJobs.flatMap((job) =>
      [...rulebook.makers.keys()]
        .filter((maker) => modelsOf(maker, rulebook).length > 0)
        .map((maker) => ({ ...job, vehicle: { ...job.vehicle, maker } }))
        .filter((told) => listOf(told).questions.some(({ id }) => id === 'model')),
    );
    const { ro, vehicle } = found as JobFile & { vehicle: { maker: string } };
    await change(ro, vehicle);
    await open(`job/${ro}/car`);
    const card = question('Which model is it?');
    const keys = await card.getByRole('button').allInnerTexts();
    expect(keys).toEqual(['Write it down', ...modelsOf(vehicle.maker, rulebook).map(modelName), "Looked, can't tell"]);
    await card.getByRole('textbox').fill('Note');
    await stage.page.keyboard.press('Enter');
    await expect.poll(async () => ((await kept(ro)).job as unknown as JobFile).vehicle?.model).toBe('Note');
  });
});

test.each([
  ['versa-note', 'Versa Note'],
  ['cx-5', 'CX-5'],
  ['ev6', 'EV6'],
  ['maxima', 'Maxima'],
])('the model %s is shown as %s', (slug, name) => {
  expect(modelName(slug)).toBe(name);
});

test('every trait that a demo job asks has a drawing', () => {
  const asked = demoJobs.flatMap((job) => listOf(job).questions.filter(({ kind }) => kind === 'trait'));
  expect(asked.length).toBeGreaterThan(10);
  expect([...new Set(asked.map(({ id }) => id))].filter((id) => !hasDrawing(id))).toEqual([]);
});

describe('a run of road steps', () => {
  beforeEach(async () => {
    await change('48213', {
      maker: 'honda',
      traits: { 'forward-camera': 'road', 'steering-zero-method': 'self-centring' },
    });
  });

  test('is one stop with its legs, and a card for a passenger in words, km/h and mph', async () => {
    const { drives, steps } = listOf((await kept('48213')).job as unknown as JobFile);
    const [drive] = drives;
    expect(drive).toBeDefined();
    await open('job/48213/route');
    const legs = stage.page.locator('lb-drive-legs').first();
    expect(await legs.locator('ol li').count()).toBe(drive?.legs.length);
    await legs.getByRole('link', { name: 'Route card for the passenger' }).click();
    const card = stage.page.getByRole('article', { name: 'Route card' });
    const words = await card.innerText();
    expect(words).toContain('The driver never handles the tablet. A passenger reads this out.');
    expect(words).toContain('Local law');
    for (const leg of drive?.legs ?? []) {
      for (const line of leg.card.filter((one) => !one.startsWith('for ')))
        expect(words.toLowerCase()).toContain(line.toLowerCase());
      for (const id of leg.serves) expect(words).toContain(steps.find((step) => step.id === id)?.title);
    }
    expect(stage.troubles).toEqual([]);
  });

  test('prints its card alone, on one page, on A4 and Letter', async () => {
    await open('job/48213/drive/1');
    await stage.page.locator('lb-route-card').waitFor();
    for (const format of ['A4', 'Letter'] as const) {
      const pdf = (await stage.page.pdf({ format })).toString('latin1');
      expect(pdf.startsWith('%PDF-')).toBe(true);
      expect(pdf.match(/\/Type\s*\/Page\b/g)).toHaveLength(1);
    }
    await stage.page.emulateMedia({ media: 'print' });
    expect(await stage.page.locator('button:visible').count()).toBe(0);
    expect(await stage.page.locator('lb-printed-sheet').count()).toBe(0);
    expect(await stage.page.locator('lb-route-card .paper.head').innerText()).toContain('48213');
  });
});

describe('the route picture', () => {
  test('is a list of stops with time and steps, and leads to each', async () => {
    await open('job/48213/route');
    const picture = stage.page.getByRole('navigation', { name: 'Route in one line' });
    await picture.getByRole('link').first().waitFor();
    const names = await picture
      .getByRole('link')
      .evaluateAll((links) => links.map((link) => link.querySelector('.unseen')?.textContent ?? ''));
    expect(names.length).toBe(await stage.page.locator('lb-stop-row').count());
    expect(names[0]).toMatch(/^Stop A: .+ min, \d+ steps?/);
    await picture.getByRole('link').last().click();
    await expect.poll(() => stage.page.locator('lb-step-row[opened]').count()).toBe(1);
    await open('job/48213/before');
    const ahead = stage.page.getByRole('navigation', { name: 'Route in one line' }).getByRole('link');
    await expect.poll(() => ahead.count()).toBe(names.length);
  });
});

describe('what can be done here now', () => {
  test('is told of all cars, by where one stands and what is at hand', async () => {
    await change('48207', {}, { 'work-done': true });
    await open('');
    const here = stage.page.locator('lb-here-now');
    const able = here.getByRole('list', { name: 'Steps that can be begun' });
    const jobs = await Promise.all((await ros()).map(async (ro) => (await kept(ro)).job as unknown as JobFile));
    const ready = jobs.flatMap((job) => readySteps(plannedOf(job), rulebook));
    expect(ready.length).toBeGreaterThan(3);
    const shown = () => able.getByRole('listitem').count();
    await expect.poll(shown).toBe(Math.min(10, readyHere(ready, '', []).length));
    expect(await able.innerText()).toMatch(/48213[\s\S]*48207|48207[\s\S]*48213/);
    expect(await able.innerText()).toMatch(/\d+ min/);

    await here.getByRole('button', { name: 'Alignment rack' }).click();
    await stage.page.waitForURL('**/#/here/alignment-rack');
    const waiting = here.getByRole('list', { name: 'Steps that wait' });
    expect(await waiting.innerText()).toMatch(/Wheel alignment[\s\S]*48213[\s\S]*Waits for/);

    await here.getByRole('button', { name: 'Anywhere' }).click();
    await here.getByRole('button', { name: 'Scan tool' }).click();
    await stage.page.waitForURL('**/#/here//scan-tool');
    await expect.poll(shown).toBe(Math.min(10, readyHere(ready, '', ['scan-tool']).length));
    await able
      .getByRole('link', { name: /Go to it/ })
      .first()
      .click();
    await stage.page.locator('lb-open-step').first().waitFor();
    expect(stage.troubles).toEqual([]);
  });
});

describe('a sheet', () => {
  test('gets another number everywhere, but not one that is taken', async () => {
    await open('job/48198/write-up');
    await stage.page.getByRole('button', { name: 'Change the RO number' }).click();
    const field = stage.page.getByLabel('Right number of the repair order');
    await field.fill('48201');
    await stage.page.keyboard.press('Enter');
    await stage.page.getByText('48201 has a sheet already.').waitFor();
    await field.fill('48199');
    await stage.page.keyboard.press('Enter');
    await stage.page.waitForURL('**/#/job/48199/write-up');
    await stage.page.getByText('Every sheet is on the server.').waitFor();
    await expect.poll(ros).toEqual(['48199', '48201', '48207', '48213', '48224']);
    expect(stage.troubles).toEqual([]);
  });

  test('is struck off only when asked twice, goes from other tablets, and can be put back', async () => {
    const other = await stage.context.newPage();
    await other.goto(`${stage.base}#/`);
    await other.getByText('48198').first().waitFor();

    await open('job/48198/write-up');
    await stage.page.getByRole('button', { name: 'Strike the sheet off' }).click();
    await stage.page.getByRole('button', { name: 'Keep it' }).click();
    await stage.page.getByRole('button', { name: 'Strike the sheet off' }).click();
    await stage.page.getByRole('button', { name: 'Strike 48198 off' }).click();
    await stage.page.waitForURL('**/#/');
    await expect.poll(ros).toEqual(['48201', '48207', '48213', '48224']);
    await other.reload();
    await other.getByText('4 cars in').waitFor();

    await stage.page.getByRole('button', { name: 'Put 48198 back' }).click();
    await expect.poll(ros).toEqual(['48198', '48201', '48207', '48213', '48224']);
    await stage.page.getByText('5 cars in').waitFor();
  });

  test('is not struck off over what another tablet wrote', async () => {
    const { revision } = await kept('48198');
    const answer = await fetch(`${stage.base}api/jobs/48198`, {
      method: 'DELETE',
      headers: { 'if-match': `"${revision + 1}"`, ...headersOf(stage.who) },
    });
    expect(answer.status).toBe(409);
    expect(await answer.json()).toMatchObject({ current: { revision } });
    expect(await ros()).toContain('48198');
  });

  test('takes codes out of a pasted report, and strikes one that was wrong', async () => {
    await open('job/48213/write-up');
    await stage.page
      .getByRole('textbox', { name: /Codes on arrival/ })
      .fill('engine: p0420 stored, ABS C0529-54; mileage 120345');
    expect(await stage.page.locator('lb-codes-field .found').first().innerText()).toBe('Recognised: P0420, C0529-54');
    await stage.page.getByRole('button', { name: 'Write them down' }).click();
    await expect
      .poll(async () => ((await kept('48213')).job as unknown as JobFile).codes?.before)
      .toEqual(['P0420', 'C0529-54']);
    await stage.page.getByRole('button', { name: 'Strike P0420' }).click();
    await expect
      .poll(async () => ((await kept('48213')).job as unknown as JobFile).codes?.before)
      .toEqual(['C0529-54']);
  });
});

test('write-up, question and route are gone through with the keyboard alone', { timeout: 90_000 }, async () => {
  await open('new');
  await stage.page.keyboard.type('7003');
  await stage.page.keyboard.press('Enter');
  await stage.page.getByRole('heading', { name: /Write-up/ }).waitFor();
  await tabTo(stage.page, 'What was worked on?');
  await stage.page.keyboard.type('windscreen');
  await stage.page.locator('.hit').first().waitFor();
  await stage.page.keyboard.press('Enter');
  await tabTo(stage.page, 'Replaced');
  await stage.page.keyboard.press('Space');
  await expect.poll(() => stage.page.locator('lb-work-line').count()).toBe(1);
  await tabTo(stage.page, 'What has this car?');
  await stage.page.keyboard.press('Enter');
  const card = question('camera behind the windscreen');
  await card.waitFor();
  await tabTo(stage.page, 'Aimed on targets');
  await stage.page.keyboard.press('Space');
  await expect.poll(() => pressed(card)).toEqual(['Aimed on targets']);
  await tabTo(stage.page, 'Before you start', 200);
  await stage.page.keyboard.press('Enter');
  await stage.page.locator('lb-before-leaf').waitFor();
  await tabTo(stage.page, 'Route');
  await stage.page.keyboard.press('Enter');
  await stage.page.locator('lb-step-row').first().waitFor();
  await tabTo(stage.page, /Glass adhesive wait/);
  await stage.page.keyboard.press('Enter');
  await stage.page.locator('lb-open-step').waitFor();
  expect(stage.troubles).toEqual([]);
});

async function open(hash: string): Promise<void> {
  await stage.page.goto(`${stage.base}#/${hash}`);
  await settled(stage.page);
}

function question(words: string) {
  return stage.page.locator('lb-question-card', { hasText: words });
}

async function kept(ro: string): Promise<Kept> {
  return (await (await fetch(`${stage.base}api/jobs/${ro}`, { headers: headersOf(stage.who) })).json()) as Kept;
}

async function ros(): Promise<string[]> {
  const { jobs } = (await (await fetch(`${stage.base}api/jobs`, { headers: headersOf(stage.who) })).json()) as {
    jobs: { ro: string }[];
  };
  return jobs.map(({ ro }) => ro).sort();
}

/** Changes a demo job on the server before the page is opened. */
async function change(ro: string, vehicle: JobFile['vehicle'], rest: Partial<JobFile> = {}): Promise<void> {
  const { job, revision } = await kept(ro);
  const was = job as unknown as JobFile;
  await put(
    stage.base,
    { ...was, ...rest, vehicle: { ...was.vehicle, ...vehicle } } as unknown as Kept['job'],
    revision,
    stage.who,
  );
}

function listOf(job: JobFile) {
  const { facts, faults } = readFacts(job, rulebook);
  if (!facts) throw new Error(JSON.stringify(faults));
  return checklist(facts, rulebook);
}

function plannedOf(job: JobFile): Planned {
  return {
    job,
    record: undefined,
    faults: [],
    facts: undefined,
    list: listOf(job),
    sight: undefined,
    refused: [],
    numbers: new Map(),
    pending: false,
    planned: job,
  };
}
