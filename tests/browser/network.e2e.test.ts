import { createHash, X509Certificate } from 'node:crypto';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { type Child, startChild } from '../server.child-process.ts';
import { settled } from './hand.ts';
import { launch } from './launch.ts';

let data: string;
let server: Child | undefined;
let browser: Browser | undefined;
let troubles: string[];

beforeEach(() => {
  data = mkdtempSync(join(tmpdir(), 'lastbolt-network-'));
  troubles = [];
});
afterEach(async () => {
  await browser?.close();
  await server?.end('SIGTERM');
  rmSync(data, { recursive: true, force: true });
});

/** A browser to which every name is this machine, as a shop's own name server would say. */
async function tablet(...more: string[]): Promise<Page> {
  browser = await launch({ args: ['--host-resolver-rules=MAP *.test 127.0.0.1', ...more] });
  const page = await (await browser.newContext({ viewport: { width: 1280, height: 800 } })).newPage();
  page.setDefaultTimeout(30_000);
  page.on('pageerror', (error) => troubles.push(error.message));
  page.on('console', (message) => {
    if (message.type() === 'error') troubles.push(message.text());
  });
  return page;
}

async function signIn(page: Page, base: string): Promise<void> {
  await page.goto(base);
  await page
    .getByRole('button', { name: /foreman/i })
    .first()
    .click();
  for (const digit of '2468') await page.getByRole('button', { name: digit, exact: true }).click();
  await page.getByRole('button', { name: /^Sign in/ }).click();
  await page.getByRole('list', { name: /^Cars/ }).waitFor();
}

const what = (page: Page) =>
  page.evaluate(() => ({
    secure: isSecureContext,
    worker: 'serviceWorker' in navigator,
    camera: navigator.mediaDevices !== undefined,
    ids: typeof crypto.randomUUID === 'function',
  }));

test('on plain http under a name of the network all work is done, and what is off is said', {
  timeout: 240_000,
}, async () => {
  const listen = { port: 0, data, network: true, plain: true, listen: '127.0.0.1', hosts: ['bolt.test'] };
  server = await startChild({ ...listen, demo: true });
  const base = `http://bolt.test:${new URL(server.url).port}/`;
  const page = await tablet();
  await signIn(page, base);
  expect(await what(page)).toEqual({ secure: false, worker: false, camera: false, ids: false });
  await page.getByText('On plain http a browser keeps no page, opens no camera and installs nothing').first().waitFor();
  // A step is done, and the record has it: ids and hashes come without the browser's own.
  await page.goto(`${base}#/job/48181/route/rain-light-sensor`);
  await page.getByRole('list', { name: 'Route' }).waitFor();
  await page.locator('lb-step-row', { hasText: 'Window end stops' }).getByRole('link').click();
  await page.getByText('Sent out, waiting, not done').click();
  await page.getByRole('button', { name: 'Not done', exact: true }).click();
  await page.getByRole('button', { name: /tool/i }).first().click();
  await page.getByRole('button', { name: 'It is not done' }).click();
  await page.locator('lb-open-step .state', { hasText: 'Not done' }).waitFor();
  await page.getByText('Every sheet is on the server.').first().waitFor();
  for (const leaf of ['write-up', 'car', 'before', 'codes', 'check', 'hand-over']) {
    await page.goto(`${base}#/job/48181/${leaf}`);
    await settled(page);
    await expect.poll(() => page.getByText('Being fetched.').count()).toBe(0);
  }
  await page.goto(`${base}#/job/48213/write-up`);
  await page.getByRole('button', { name: 'Read it with the camera' }).click();
  await page.getByText('the camera does not run in the page (it wants https)').waitFor();
  await page.goto(`${base}#/shop`);
  const link = page.getByRole('link', { name: 'how it comes to trust it' });
  expect(new URL((await link.getAttribute('href')) ?? '', base).pathname).toBe('/trust');
  await page.goto(`${base}trust`);
  await page.getByText('this server has no certificate').waitFor();
  expect(troubles).toEqual([]);
});

test('over TLS with the made certificate all is on, and one site’s page sees nothing of another’s', {
  timeout: 240_000,
}, async () => {
  const sites = {
    north: { name: 'North', hosts: ['north.test'] },
    south: { name: 'South', hosts: ['south.test'] },
  };
  server = await startChild({ port: 0, data, network: true, listen: '127.0.0.1', sites, demo: 'north' });
  const { publicKey } = new X509Certificate(readFileSync(join(data, 'tls/server.crt')));
  // As trusted as an authority that a tablet has taken in; this browser has no list of its own to put one into.
  const key = createHash('sha256')
    .update(publicKey.export({ type: 'spki', format: 'der' }))
    .digest('base64');
  const page = await tablet(`--ignore-certificate-errors-spki-list=${key}`);
  const { port } = new URL(server.url);
  await signIn(page, `https://north.test:${port}/`);
  expect(await what(page)).toEqual({ secure: true, worker: true, camera: true, ids: true });
  await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
  await page.reload();
  await page.getByRole('list', { name: /^Cars/ }).waitFor();
  const [cookie, ...more] = await page.context().cookies(`https://north.test:${port}/api/door`);
  expect([cookie?.secure, cookie?.httpOnly, cookie?.sameSite, cookie?.domain, more]).toEqual([
    true,
    true,
    'Strict',
    'north.test',
    [],
  ]);
  // The page about trust is the server's, though everything else opens from the shelf.
  await page.goto(`https://north.test:${port}/trust`);
  await page.getByRole('heading', { name: 'Have a tablet trust this server' }).waitFor();
  expect((await page.locator('.print').innerText()).replaceAll(/\s/g, '')).toBe(server.trust?.fingerprint);
  const keeps = () =>
    page.evaluate(async () => ({
      bases: (await indexedDB.databases()).map(({ name }) => name),
      shelves: await caches.keys(),
      workers: (await navigator.serviceWorker.getRegistrations()).length,
    }));
  const north = await keeps();
  expect([north.bases.length, north.shelves.length, north.workers]).toEqual(
    [1, 1, 1].map((least) => expect.toSatisfy((is: number) => is >= least)),
  );
  await page.goto(`https://south.test:${port}/trust`);
  expect(await keeps()).toEqual({ bases: [], shelves: [], workers: 0 });
  expect(await page.context().cookies(`https://south.test:${port}/api/door`)).toEqual([]);
  await page.goto(`https://south.test:${port}/`);
  // Nobody works in the south: its door wants the code, and shows nobody of the north.
  await page.getByText(/code/i).first().waitFor();
  expect(await page.getByRole('button', { name: /foreman/i }).count()).toBe(0);
  expect(troubles).toEqual([]);
});
