import { createHash, X509Certificate } from 'node:crypto';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { type IncomingHttpHeaders, request as plainRequest } from 'node:http';
import { request as tlsRequest } from 'node:https';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { connect } from 'node:tls';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { CannotServe } from '../src/server/cannot-serve.ts';
import { type Running, type ServeOptions, startServer } from '../src/server/serve.ts';
import { makeAuthority, makeServer } from '../src/server/tls/authority.ts';
import { TestShop } from './server.shop.ts';
import { PIN } from './signed-in.ts';

let folder: string;
let running: Running | undefined;
const lines: object[] = [];

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'lastbolt-network-'));
  mkdirSync(join(folder, 'page'));
  writeFileSync(join(folder, 'page/index.html'), '<!doctype html><title>page</title>');
  lines.length = 0;
});
afterEach(async () => {
  await running?.close();
  running = undefined;
  rmSync(folder, { recursive: true, force: true });
});

/** On the network, but for an address: what is tried here is nobody else's on this machine. */
async function start(options: ServeOptions = {}): Promise<Running> {
  const where = { port: 0, data: join(folder, 'data'), page: join(folder, 'page'), listen: '127.0.0.1' };
  running = await startServer({ ...where, network: true, tell: (line) => void lines.push(line), ...options });
  return running;
}

interface Answer {
  readonly status: number;
  readonly headers: IncomingHttpHeaders;
  readonly body: Buffer;
}

/** A call to 127.0.0.1 under any name, trusting one authority only. */
function call(url: string, { host, ca, method = 'GET', headers = {}, body }: Asked = {}): Promise<Answer> {
  const { protocol, port, pathname, search } = new URL(url);
  const name = host ?? 'localhost';
  const told = {
    host: '127.0.0.1',
    port,
    path: pathname + search,
    method,
    headers: { host: `${name}:${port}`, ...headers },
  };
  return new Promise((resolve, reject) => {
    const sent =
      protocol === 'https:'
        ? tlsRequest({ ...told, ca, servername: name, agent: false })
        : plainRequest({ ...told, agent: false });
    sent.on('response', (answer) => {
      const chunks: Buffer[] = [];
      answer.on('data', (chunk: Buffer) => chunks.push(chunk));
      answer.on('end', () =>
        resolve({ status: answer.statusCode ?? 0, headers: answer.headers, body: Buffer.concat(chunks) }),
      );
    });
    sent.on('error', reject);
    sent.end(body);
  });
}
interface Asked {
  readonly host?: string;
  readonly ca?: string;
  readonly method?: string;
  readonly headers?: Record<string, string>;
  readonly body?: string;
}

const authority = () => readFileSync(join(folder, 'data/tls/authority.crt'), 'utf8');
const first = (code: string | undefined) => ({
  method: 'POST',
  headers: { 'content-type': 'application/json' },
  body: JSON.stringify({ code, name: 'Ona', pin: PIN, shop: 'Shop' }),
});

describe('on the network', () => {
  test('a tablet that trusts the authority comes in, one that does not is warned; the cookie stays on TLS', async () => {
    const { url, firstCode, trust } = await start({ hosts: ['bolt.shop.example'] });
    expect([url.startsWith('https://127.0.0.1:'), trust?.fingerprint]).toEqual([
      true,
      new X509Certificate(authority()).fingerprint256,
    ]);
    const ca = authority();
    const door = await call(`${url}api/door`, { ca, host: 'bolt.shop.example' });
    expect([door.status, door.headers['strict-transport-security']]).toEqual([200, undefined]);
    const came = await call(`${url}api/first`, { ca, host: 'bolt.shop.example', ...first(firstCode) });
    expect([came.status, came.headers['set-cookie']?.[0]]).toEqual([200, expect.stringMatching(/; Secure/)]);
    await expect(call(`${url}api/door`, { host: 'localhost' })).rejects.toThrow(
      /self-signed certificate|unable to verify/,
    );
    for (const host of ['evil.example', 'bolt.shop.example.evil.example'])
      await expect(call(`${url}api/door`, { ca, host })).rejects.toThrow(/does not match/);
    const bent = await call(`${url}api/door`, { ca, host: 'localhost', headers: { host: 'evil.example' } });
    expect([bent.status, bent.body.toString()]).toEqual([
      403,
      '{"error":"this server does not go by the name evil.example"}',
    ]);
  });

  test('a change is taken from the page of its own name only, though others are names of the same server', async () => {
    const { url, firstCode } = await start({ hosts: ['a.local', 'b.local'] });
    const ca = authority();
    const { port } = new URL(url);
    const from = (origin: string) => {
      const told = first(firstCode);
      return call(`${url}api/first`, { ca, host: 'a.local', ...told, headers: { ...told.headers, origin } });
    };
    expect((await from(`https://b.local:${port}`)).status).toBe(403);
    expect((await from('https://evil.example')).status).toBe(403);
    expect((await from(`https://a.local:${port}`)).status).toBe(200);
  });

  test('nothing older than TLS 1.2 is spoken', async () => {
    const { url } = await start();
    const { port } = new URL(url);
    const speak = (version: 'TLSv1.1' | 'TLSv1.2') =>
      new Promise<string>((done) => {
        const limits = {
          minVersion: version,
          maxVersion: version,
          ciphers: 'DEFAULT@SECLEVEL=0',
          rejectUnauthorized: false,
        } as const;
        const socket = connect({ host: '127.0.0.1', port: Number(port), ...limits }, () => {
          done(socket.getProtocol() ?? '');
          socket.destroy();
        });
        socket.on('error', (error: NodeJS.ErrnoException) => done(error.code ?? ''));
      });
    expect([await speak('TLSv1.2'), await speak('TLSv1.1')]).toEqual(['TLSv1.2', expect.stringMatching(/PROTOCOL/)]);
  });

  test('a certificate of the shop’s own is shown, and a browser that saw it comes back over TLS only', async () => {
    const above = await makeAuthority('elsewhere', ['shop.example'], new Date());
    const { cert, key } = await makeServer(above, ['bolt.shop.example'], new Date());
    const tls = { cert: join(folder, 'own.crt'), key: join(folder, 'own.key') };
    writeFileSync(tls.cert, cert);
    writeFileSync(tls.key, key);
    const { url, trust } = await start({ tls, hosts: ['bolt.shop.example'] });
    const page = await call(url, { ca: above.cert, host: 'bolt.shop.example' });
    expect([page.status, page.headers['strict-transport-security'], trust]).toEqual([
      200,
      'max-age=15552000',
      undefined,
    ]);
    const told = await call(`${url}trust`, { ca: above.cert, host: 'bolt.shop.example' });
    expect(told.body.toString()).toContain(
      'There is nothing to fetch here: this server shows a certificate that the shop got elsewhere',
    );
    await running?.close();
    running = undefined;
    await expect(start({ tls, hosts: ['other.shop.example'] })).rejects.toThrow(CannotServe);
    await expect(start({ tls, hosts: ['other.shop.example'] })).rejects.toThrow(
      /is not for other\.shop\.example: it is for DNS:bolt/,
    );
  });

  test('an address that is none of this machine’s is told with those it has', async () => {
    await expect(start({ listen: '203.0.113.9' })).rejects.toThrow(
      /^listen: 203\.0\.113\.9 is no address of this machine; it has /,
    );
  });
});

describe('the page about trust', () => {
  test('shows the fingerprint that stands on the screen of the server, gives its certificate, and leads to the server', async () => {
    const { url, trust } = await start({ 'trust-port': 0, hosts: ['bolt.local'] });
    const beside = trust?.url ?? '';
    expect(beside).toMatch(/^http:\/\/bolt\.local:\d+\/trust$/);
    const ca = authority();
    for (const page of [
      await call(beside, { host: 'bolt.local' }),
      await call(`${url}trust`, { ca, host: 'bolt.local' }),
    ]) {
      const text = page.body.toString();
      expect([page.status, page.headers['content-type']]).toEqual([200, 'text/html; charset=UTF-8']);
      expect(text.replaceAll(/<\/?span>/g, '')).toContain(trust?.fingerprint);
      expect(text).toContain(`href="https://bolt.local:${new URL(url).port}/"`);
      expect(text).toContain('<svg');
      expect(text).not.toMatch(/<script|onclick|style="/);
      const style = /<style>([\s\S]*?)<\/style>/.exec(text)?.[1] ?? '';
      const hash = createHash('sha256').update(style).digest('base64');
      expect(page.headers['content-security-policy']).toContain(`style-src 'sha256-${hash}'`);
    }
    const crt = await call(beside.replace(/trust$/, 'trust/last-bolt.crt'), { host: 'bolt.local' });
    expect([crt.headers['content-type'], new X509Certificate(crt.body).fingerprint256]).toEqual([
      'application/x-x509-ca-cert',
      trust?.fingerprint,
    ]);
    const pem = await call(beside.replace(/trust$/, 'trust/last-bolt.pem'), { host: 'bolt.local' });
    expect(pem.body.toString()).toBe(ca);
    expect(pem.body.toString()).not.toContain('PRIVATE');
  });

  test('on its own port there is nothing else: all leads to TLS, nothing is taken, no other name is answered', async () => {
    const { url, trust } = await start({ 'trust-port': 0, hosts: ['bolt.local'] });
    const top = (trust?.url ?? '').replace(/trust$/, '');
    const { port } = new URL(url);
    const went = await call(`${top}api/door?a=1`, { host: 'bolt.local' });
    expect([went.status, went.headers.location, went.headers['set-cookie']]).toEqual([
      302,
      `https://bolt.local:${port}/api/door?a=1`,
      undefined,
    ]);
    expect((await call(`${top}api/first`, { host: 'bolt.local', ...first('X') })).status).toBe(403);
    const bent = await call(`${top}`, { host: 'evil.example' });
    expect([bent.status, bent.headers.location]).toEqual([403, undefined]);
    for (const path of ['trust/authority.key', 'trust/../tls/authority.key', 'trust/%2e%2e/tls/authority.key'])
      expect((await call(`${top}${path}`, { host: 'bolt.local' })).body.toString()).not.toContain('PRIVATE');
  });

  test('without a certificate says why there is nothing to fetch', async () => {
    const { url } = await start({ plain: true });
    const page = await call(`${url}trust`);
    expect(page.body.toString()).toContain('this server has no certificate');
    expect((await call(`${url}trust/last-bolt.crt`)).status).toBe(404);
  });
});

describe('on plain http', () => {
  test('the cookie is no secure one: it would not come back', async () => {
    const { url, firstCode } = await start({ plain: true, hosts: ['bolt.local'] });
    expect(url).toMatch(/^http:/);
    const came = await call(`${url}api/first`, { host: 'bolt.local', ...first(firstCode) });
    expect([came.status, came.headers['set-cookie']?.[0]]).toEqual([200, expect.not.stringMatching(/Secure/)]);
  });

  test('behind what ends TLS in front it is, and a tablet is counted by its own address', async () => {
    const { url, firstCode, sites } = await start({
      plain: true,
      proxies: ['127.0.0.1'],
      hosts: ['bolt.shop.example'],
    });
    expect(sites[0]?.urls).toEqual(['https://bolt.shop.example/']);
    const came = await call(`${url}api/first`, { host: 'bolt.shop.example', ...first(firstCode) });
    expect(came.headers['set-cookie']?.[0]).toMatch(/; Secure/);
    const knock = async (from: string) =>
      (
        await call(`${url}api/session`, {
          host: 'bolt.shop.example',
          method: 'POST',
          headers: { 'content-type': 'text/plain', 'x-forwarded-for': from },
          body: 'x',
        })
      ).status;
    const statuses = [];
    for (let i = 0; i < 31; i++) statuses.push(await knock('192.168.1.7'));
    expect([new Set(statuses.slice(0, 30)), statuses[30]]).toEqual([new Set([415]), 429]);
    // What a tablet says of itself before the proxy is not believed.
    expect([await knock('192.168.1.8'), await knock('192.168.1.9, 192.168.1.7')]).toEqual([415, 429]);
  });

  test('nobody but a proxy says where a call came from', async () => {
    const shop = await TestShop.open({ limits: { address: few, door: few, person: few } });
    const statuses = [];
    for (const from of ['192.168.1.7', '192.168.1.8', '192.168.1.9'])
      statuses.push((await shop.send('/api/health', { headers: { 'x-forwarded-for': from } })).status);
    expect(statuses).toEqual([200, 200, 429]);
    await shop.close();
  });
});

const few = { calls: 2, seconds: 60 };

test('a server of several sites stops whole: streams end, what was begun is finished, every record is closed', async () => {
  const sites = { n: { name: 'N', hosts: ['n.local'] }, s: { name: 'S', hosts: ['s.local'] } };
  const { url, sites: open, firstCode } = await start({ plain: true, sites });
  expect(open.map(({ id, firstCode: code, urls }) => [id, code !== undefined, urls[0]?.split(':')[1]])).toEqual([
    ['n', true, '//n.local'],
    ['s', true, '//s.local'],
  ]);
  expect(new Set(open.map(({ firstCode: code }) => code)).size).toBe(2);
  expect(firstCode).toBe(open[0]?.firstCode);
  const streams = [];
  for (const { id, firstCode: code } of open) {
    const came = await call(`${url}api/first`, { host: `${id}.local`, ...first(code) });
    const cookie = came.headers['set-cookie']?.[0]?.split(';')[0] ?? '';
    streams.push(call(`${url}api/live`, { host: `${id}.local`, headers: { cookie } }));
  }
  await new Promise((done) => setTimeout(done, 200));
  await running?.close();
  running = undefined;
  for (const stream of await Promise.all(streams)) expect(stream.body.toString()).toContain('event: ended');
  await expect(call(`${url}api/health`)).rejects.toThrow(/ECONNREFUSED/);
  expect(lines).toEqual(
    expect.arrayContaining([expect.objectContaining({ site: 'n' }), expect.objectContaining({ site: 's' })]),
  );
  // A record that were still open could not be taken up by another server.
  const again = await start({ plain: true, sites });
  expect(again.sites.map(({ firstCode: code }) => code)).toEqual([undefined, undefined]);
  expect(again.warnings).toEqual([]);
});

test('a record that no site of the settings has is told: a shop that became several keeps `main`', async () => {
  await start({ plain: true });
  await running?.close();
  const hosts = ['n.local'];
  const told = (id: string) => `site ${id} is kept here too, and nobody can open it: the settings do not name it`;
  expect((await start({ plain: true, sites: { n: { name: 'N', hosts } } })).warnings).toEqual([told('main')]);
  await running?.close();
  expect((await start({ plain: true, sites: { main: { name: 'N', hosts } } })).warnings).toEqual([told('n')]);
});
