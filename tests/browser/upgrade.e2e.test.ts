import { expect, test } from 'vitest';
import { loadRulebook } from '../../src/rulebook/load.ts';
import { openShop } from '../../src/store/open.ts';
import { rules } from '../server.shop.ts';
import { by, line, opened } from '../store.events.ts';
import { settled } from './hand.ts';
import { setStage } from './stage.ts';

/** A job that was opened under other rules than those in force. */

const stage = setStage();

const files = Object.fromEntries(
  Object.entries(rules.files).map(([name, text]) => [
    name,
    text.replace('"title": "Idle air learn"', '"title": "Former idle air learn"'),
  ]),
);
const former = { version: loadRulebook(new Map(Object.entries(files))).rulebook.version, files };

test('says so on its write-up and route, leads to its rules, and is planned by them; any other says nothing', async () => {
  expect(former.version).not.toBe(rules.version);
  const shop = await openShop(stage.data, former);
  await shop.log.append('4711', 0, [
    { ...opened('4711'), rulebook: former.version },
    { ...line('e2'), line: { part: 'throttle-body', did: 'cleaned' } },
  ]);
  await shop.log.append('4712', 0, [{ ...opened('4712'), rulebook: rules.version, by }, line('e2')]);
  await shop.close();
  const { page } = stage;
  await page.goto(`${stage.base}#/job/4711/route`);
  const notice = page.locator('.notice', { hasText: 'under the rules it was opened with' });
  await notice.waitFor();
  await settled(page);
  expect(await notice.textContent()).toBe(
    `This job goes on under the rules it was opened with, version ${former.version}. New jobs are opened under ${rules.version}.`,
  );
  expect(
    await page
      .locator('lb-route-leaf')
      .textContent()
      .catch(() => ''),
  ).not.toContain('cannot be planned');
  await notice.getByRole('link').click();
  await page.getByRole('link', { name: 'Former idle air learn' }).first().waitFor();
  await page.goto(`${stage.base}#/job/4711/write-up`);
  await notice.waitFor();
  await page.goto(`${stage.base}#/job/4712/route`);
  await page.locator('lb-leaf-head', { hasText: '4712' }).waitFor();
  await settled(page);
  expect(await notice.count()).toBe(0);
  expect(stage.troubles).toEqual([]);
});
