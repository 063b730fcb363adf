import { X509Certificate } from 'node:crypto';
import { mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:https';
import type { AddressInfo } from 'node:net';
import { hostname, tmpdir } from 'node:os';
import { join } from 'node:path';
import { connect } from 'node:tls';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { CannotServe } from '../src/server/cannot-serve.ts';
import { fits, makeAuthority, makeServer, maySign, type Pair } from '../src/server/tls/authority.ts';
import { certificateOf, keepCertificate } from '../src/server/tls/certificate.ts';
import { daysLeft, madeCertificate, namesIn, newAuthority } from '../src/server/tls/made.ts';
import { ownCertificate } from '../src/server/tls/own.ts';

/** Certificates know whole seconds. */
const NOW = new Date(Math.floor(Date.now() / 1000) * 1000);
const days = (count: number) => new Date(NOW.getTime() + count * 24 * 3_600_000);

let data: string;
beforeEach(() => {
  data = mkdtempSync(join(tmpdir(), 'lastbolt-tls-'));
});
afterEach(() => {
  rmSync(data, { recursive: true, force: true });
});

/** What a client that trusts only `ca` says of a server that shows `pair`: OpenSSL decides, not we. */
async function shown(pair: Pair, ca: string, servername: string, most?: 'TLSv1.1'): Promise<string> {
  const server = createServer({ ...pair, minVersion: 'TLSv1.2' });
  await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
  const { port } = server.address() as AddressInfo;
  const says = await new Promise<string>((done) => {
    const limits = most ? { maxVersion: most, minVersion: most, ciphers: 'DEFAULT@SECLEVEL=0' } : {};
    const host = /^[\d.]+$|:/.test(servername) ? {} : { servername };
    const socket = connect({ port, host: '127.0.0.1', ca, ...host, ...limits }, () => done(socket.getProtocol() ?? ''));
    socket.on('error', (error: NodeJS.ErrnoException) =>
      // Of what Node has no name for, OpenSSL's words tell it.
      done(error.code && error.code !== 'UNSPECIFIED' ? error.code : error.message),
    );
    setTimeout(() => done('nothing'), 5000).unref();
  });
  server.closeAllConnections();
  server.close();
  return says;
}

describe('an authority of the shop’s own', () => {
  const hosts = ['bolt.shop.example', 'localhost', '127.0.0.1', '::1', '192.168.1.20'];

  test('signs what a client that trusts it takes, by name and by address, and nobody else does', async () => {
    const authority = await makeAuthority('bench', ['shop.example'], NOW);
    const server = await makeServer(authority, hosts, NOW);
    expect([fits(authority), fits(server)]).toEqual([true, true]);
    expect(await shown(server, authority.cert, 'bolt.shop.example')).toBe('TLSv1.3');
    expect(await shown(server, authority.cert, '127.0.0.1')).toBe('TLSv1.3');
    expect(await shown(server, authority.cert, 'other.shop.example')).toBe('ERR_TLS_CERT_ALTNAME_INVALID');
    const other = await makeAuthority('bench', ['shop.example'], NOW);
    expect(await shown(server, other.cert, 'localhost')).toMatch(/UNABLE_TO_VERIFY|SIGNATURE_FAILURE|SELF_SIGNED/);
    expect(await shown(server, authority.cert, 'localhost', 'TLSv1.1')).toMatch(/PROTOCOL/);
  });

  test('can be told from a bank’s by its names: what it signs beyond them no client takes', async () => {
    const authority = await makeAuthority('bench', ['shop.example'], NOW);
    for (const host of ['bank.example', 'shop.example.org', 'notshop.example'])
      expect([
        host,
        maySign(authority.cert, host),
        await shown(await makeServer(authority, [host], NOW), authority.cert, host),
      ]).toEqual([host, false, 'permitted subtree violation']);
    for (const host of ['a.shop.example', 'bolt.local', 'localhost', '10.1.2.3', 'fd00::1'])
      expect([host, maySign(authority.cert, host)]).toEqual([host, true]);
    // An address of the world's that the machine had when it was made is its own all the same.
    const apart = await makeAuthority('bench', ['192.0.2.2', '2001:db8::2'], NOW);
    for (const host of ['192.0.2.2', '2001:db8::2', '10.1.2.3'])
      expect([host, maySign(apart.cert, host)]).toEqual([host, true]);
    expect([maySign(apart.cert, '192.0.2.3'), maySign(authority.cert, '192.0.2.2')]).toEqual([false, false]);
    expect(await shown(await makeServer(apart, ['192.0.2.2', '127.0.0.1'], NOW), apart.cert, '127.0.0.1')).toBe(
      'TLSv1.3',
    );
    for (const host of ['8.8.8.8', '2001:db8::1', 'bank.com', 'local.com', 'xlocal'])
      expect([host, maySign(authority.cert, host)]).toEqual([host, false]);
  });

  test('lasts ten years, what it signs 397 days and never longer than itself', async () => {
    const authority = await makeAuthority('bench', [], NOW);
    const span = ({ cert }: Pair) => {
      const { validFrom, validTo } = new X509Certificate(cert);
      return Math.round((Date.parse(validTo) - Date.parse(validFrom)) / 86_400_000);
    };
    expect([span(authority), span(await makeServer(authority, ['localhost'], NOW))]).toEqual([3653, 397]);
    const late = await makeServer(authority, ['localhost'], days(3600));
    expect(new X509Certificate(late.cert).validTo).toBe(new X509Certificate(authority.cert).validTo);
  });
});

describe('a certificate in a data folder', () => {
  const wanted = ['localhost', '127.0.0.1', '::1'];
  const made = (now: Date, more: { wanted?: string[]; others?: string[] } = {}) =>
    madeCertificate(data, { wanted, others: [], now, ...more });

  test('is made once, and its keys are for whoever runs the server', async () => {
    const first = await made(NOW);
    const again = await made(NOW);
    expect([first.fresh, again.fresh, again.server, again.fingerprint]).toEqual([
      true,
      false,
      first.server,
      first.fingerprint,
    ]);
    expect(first.fingerprint).toMatch(/^(?:[0-9A-F]{2}:){31}[0-9A-F]{2}$/);
    const mode = (name: string) => statSync(join(data, 'tls', name)).mode & 0o777;
    expect([mode('authority.key'), mode('server.key'), statSync(join(data, 'tls')).mode & 0o777]).toEqual([
      0o600, 0o600, 0o700,
    ]);
    expect(await shown(again.server, again.authority, 'localhost')).toBe('TLSv1.3');
  });

  test('is made anew with under thirty days left, and when names or addresses change; the authority stays', async () => {
    const first = await made(NOW);
    const steps: [number, string[], boolean][] = [
      [366, [], false],
      [367, [], true],
      [368, [], false],
      [369, ['192.168.7.7'], true],
      [370, ['192.168.7.7'], false],
      [371, [], true],
    ];
    for (const [day, others, fresh] of steps) {
      const now = await made(days(day), { others });
      expect([day, now.fresh, now.fingerprint]).toEqual([day, fresh, first.fingerprint]);
      expect(namesIn(new X509Certificate(now.server.cert))).toEqual(expect.arrayContaining(['localhost', ...others]));
    }
  });

  test('leaves out what the authority may not sign for, and says so; what is asked for by name is refused', async () => {
    await made(NOW);
    const { server, warnings } = await made(NOW, { others: ['2001:db8::7', '192.168.7.7'] });
    expect(namesIn(new X509Certificate(server.cert))).toContain('192.168.7.7');
    expect(warnings).toEqual(['the certificate leaves out 2001:db8::7: the authority may not sign for that']);
    await expect(made(NOW, { wanted: [...wanted, 'bolt.shop.example'] })).rejects.toThrow(
      /may not sign for bolt\.shop\.example: make another/,
    );
    const print = await newAuthority(data, ['bolt.shop.example'], NOW);
    const after = await made(NOW, { wanted: [...wanted, 'bolt.shop.example'] });
    expect([after.fingerprint, after.fresh]).toEqual([print, true]);
    expect(await shown(after.server, after.authority, 'bolt.shop.example')).toBe('TLSv1.3');
  });

  test('that was being written when the machine stopped is made anew; an authority’s key that is gone is told', async () => {
    const first = await made(NOW);
    rmSync(join(data, 'tls/server.key'));
    expect((await made(NOW)).fresh).toBe(true);
    writeFileSync(join(data, 'tls/server.crt'), 'half a cert');
    const again = await made(NOW);
    expect([again.fresh, again.fingerprint]).toEqual([true, first.fingerprint]);
    const key = readFileSync(join(data, 'tls/authority.key'), 'utf8');
    rmSync(join(data, 'tls/authority.key'));
    await expect(made(NOW)).rejects.toThrow(/authority\.key is not: put it back/);
    writeFileSync(join(data, 'tls/authority.key'), readFileSync(join(data, 'tls/server.key')));
    await expect(made(NOW)).rejects.toThrow(/is not the key of/);
    writeFileSync(join(data, 'tls/authority.key'), key);
    expect((await made(NOW)).fresh).toBe(false);
  });

  test('is warned of in the authority’s last year, and refused behind its end', async () => {
    await made(NOW);
    expect((await made(days(3400))).warnings).toEqual([
      expect.stringMatching(/ends \d{4}-\d\d-\d\d: make another before/),
    ]);
    const last = await made(days(3640));
    expect([daysLeft(last.server.cert, days(3640)), (await made(days(3640))).fresh]).toEqual([12, false]);
    await expect(made(days(3660))).rejects.toThrow(/the authority in .* ended/);
  });
});

describe('a certificate of the shop’s own', () => {
  async function files(hosts: string[], now = NOW): Promise<{ cert: string; key: string; authority: Pair }> {
    const authority = await makeAuthority('elsewhere', ['shop.example'], now);
    const { cert, key } = await makeServer(authority, hosts, now);
    const named = { cert: join(data, 'own.crt'), key: join(data, 'own.key') };
    writeFileSync(named.cert, cert + authority.cert);
    writeFileSync(named.key, key);
    return { ...named, authority };
  }
  const told = (named: { cert: string; key: string }, hosts: string[], now = NOW) => {
    try {
      return ownCertificate(named, hosts, now).warnings;
    } catch (error) {
      expect(error).toBeInstanceOf(CannotServe);
      return (error as Error).message.replaceAll(`${data}/`, '').split('\n');
    }
  };

  test('is taken with what stands above it, and warned of thirty days before its end', async () => {
    const named = await files(['bolt.shop.example', 'north.shop.example']);
    expect(told(named, ['bolt.shop.example', 'north.shop.example'])).toEqual([]);
    expect(told(named, [], days(365))).toEqual([]);
    expect(told(named, [], days(366))).toEqual([
      expect.stringMatching(/own\.crt ends \d{4}-\d\d-\d\d, in 30 days: put a newer one in its place$/),
    ]);
    expect(await shown(ownCertificate(named, [], NOW).pair, named.authority.cert, 'bolt.shop.example')).toBe('TLSv1.3');
  });

  test('is refused with all that is wrong with it', async () => {
    const named = await files(['bolt.shop.example']);
    const other = await makeServer(named.authority, ['x.shop.example'], NOW);
    expect(told(named, ['bolt.shop.example', '192.168.1.20'], days(400))).toEqual([
      expect.stringMatching(/^own\.crt ended \d{4}-\d\d-\d\d$/),
      'own.crt is not for 192.168.1.20: it is for DNS:bolt.shop.example',
    ]);
    expect(told(named, [], days(-3))).toEqual([expect.stringMatching(/^own\.crt begins .*, and that is to come$/)]);
    writeFileSync(named.key, other.key);
    expect(told(named, [])).toEqual(['own.key is not the key of own.crt']);
    writeFileSync(named.key, 'nothing');
    writeFileSync(named.cert, 'nothing');
    expect(told(named, [])).toEqual([
      'own.crt is no certificate in PEM',
      'own.key is no private key in PEM, or it has a password: it wants one without',
    ]);
    writeFileSync(named.cert, named.authority.cert);
    writeFileSync(named.key, named.authority.key);
    expect(told(named, [])).toEqual([
      'own.crt is that of an authority: the server’s own has to come first in it'.replace('’', "'"),
    ]);
    rmSync(named.cert);
    expect(told(named, [])).toEqual(['tls/cert: own.crt is not there']);
  });
});

describe('while the server runs', () => {
  const settings = () => ({ data, hosts: [], sites: { n: { name: 'N', hosts: ['n.local'] } } });

  test('another certificate is taken into use when it is time, and one that can not be made leaves the one there is', async () => {
    let now = NOW;
    const first = await certificateOf(settings(), now, ['192.168.7.7']);
    expect(namesIn(new X509Certificate(first.pair.cert))).toEqual(
      expect.arrayContaining(['n.local', 'localhost', '192.168.7.7']),
    );
    const used: string[] = [];
    const lines: object[] = [];
    const kept = keepCertificate(
      { setSecureContext: ({ cert }) => void used.push(cert as string) },
      first,
      settings(),
      { now: () => now, tell: (line) => lines.push(line) },
    );
    await kept.look(['192.168.7.7']);
    expect(used).toEqual([]);
    await kept.look(['192.168.7.8']);
    expect(used).toHaveLength(1);
    now = days(370);
    await kept.look(['192.168.7.8']);
    expect(used).toHaveLength(2);
    rmSync(join(data, 'tls/authority.key'));
    await kept.look(['192.168.7.8']);
    kept.end();
    expect(used).toHaveLength(2);
    expect(lines).toMatchObject([
      { certificate: expect.any(String) },
      { certificate: expect.any(String) },
      { warning: expect.stringMatching(/put it back/) },
    ]);
  });

  test('the machine’s own names and addresses are in it', async () => {
    const { pair, made, warnings } = await certificateOf(settings(), NOW);
    const names = namesIn(new X509Certificate(pair.cert));
    const short = hostname().toLowerCase().split('.')[0] ?? '';
    expect([names.includes(short) || warnings.some((one) => one.includes(short)), made !== undefined]).toEqual([
      true,
      true,
    ]);
  });
});
