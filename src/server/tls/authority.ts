import 'reflect-metadata';
import { createPublicKey, KeyObject, randomBytes, webcrypto, X509Certificate } from 'node:crypto';
import { isIP } from 'node:net';
import { AsnConvert } from '@peculiar/asn1-schema';
import {
  GeneralName,
  GeneralSubtree,
  GeneralSubtrees,
  id_ce_nameConstraints,
  NameConstraints,
} from '@peculiar/asn1-x509';
import * as x509 from '@peculiar/x509';
import { inRanges, OWN_RANGES } from './ranges.ts';

/** A certificate and its key, both PEM. */
export interface Pair {
  readonly cert: string;
  readonly key: string;
}

const ALGORITHM = { name: 'ECDSA', namedCurve: 'P-256', hash: 'SHA-256' } as const;
const DAY_MS = 24 * 3_600_000;
const AUTHORITY_DAYS = 3653;
/** Under the 398 days of the CA/Browser Forum's Baseline Requirements 6.3.2 (from memory), which browsers held to. */
export const SERVER_DAYS = 397;
/** Clocks of tablets are behind by this at most, or they would refuse what was just made. */
const EARLIER_MS = DAY_MS;

/**
 * Names that lie in nobody's domain: RFC 6761 (localhost, test), RFC 6762 (local), RFC 8375 (home.arpa), ICANN's
 * `internal`, and two that routers give out (common practice, no source).
 */
const NAMES = ['localhost', 'test', 'local', 'home.arpa', 'internal', 'lan', 'localdomain'];
/**
 * An authority of the shop's own. It can sign for names and addresses of a network of one's own and for `names`, which
 * may be either, and for nothing else (RFC 5280, 4.2.1.10): stolen, it passes no page off as a bank's.
 */
export async function makeAuthority(called: string, names: readonly string[], now: Date): Promise<Pair> {
  const keys = await keyPair();
  const cert = await x509.X509CertificateGenerator.createSelfSigned({
    ...from(now, AUTHORITY_DAYS),
    serialNumber: serial(),
    name: new x509.Name([{ O: ['Last Bolt'] }, { CN: [`Last Bolt of ${called}, ${now.toISOString().slice(0, 10)}`] }]),
    keys,
    signingAlgorithm: ALGORITHM,
    extensions: [
      new x509.BasicConstraintsExtension(true, 0, true),
      new x509.KeyUsagesExtension(x509.KeyUsageFlags.keyCertSign | x509.KeyUsageFlags.cRLSign, true),
      await x509.SubjectKeyIdentifierExtension.create(keys.publicKey),
      constraints(names),
    ],
  });
  return pair(cert, keys);
}

/** A certificate for these names and addresses, signed by the authority. Throws if it is not to be used for them. */
export async function makeServer(authority: Pair, hosts: readonly string[], now: Date): Promise<Pair> {
  const keys = await keyPair();
  const above = new x509.X509Certificate(authority.cert);
  const signingKey = await importKey(authority.key);
  const { notBefore, notAfter } = from(now, SERVER_DAYS);
  const cert = await x509.X509CertificateGenerator.create({
    notBefore,
    notAfter: new Date(Math.min(notAfter.getTime(), above.notAfter.getTime())),
    serialNumber: serial(),
    // No host: of a certificate without names OpenSSL would hold that against what the authority may sign for.
    subject: new x509.Name([{ O: ['Last Bolt'] }, { CN: ['Last Bolt server'] }]),
    issuer: above.subjectName,
    publicKey: keys.publicKey,
    signingKey,
    signingAlgorithm: ALGORITHM,
    extensions: [
      new x509.BasicConstraintsExtension(false, undefined, true),
      new x509.KeyUsagesExtension(x509.KeyUsageFlags.digitalSignature, true),
      new x509.ExtendedKeyUsageExtension([x509.ExtendedKeyUsage.serverAuth]),
      new x509.SubjectAlternativeNameExtension(
        hosts.map((host) => ({ type: isIP(host) ? ('ip' as const) : ('dns' as const), value: host })),
      ),
      await x509.SubjectKeyIdentifierExtension.create(keys.publicKey),
      await x509.AuthorityKeyIdentifierExtension.create(above),
    ],
  });
  return pair(cert, keys);
}

/** Whether an authority may sign for a name or an address; false for one that says nothing of what it may. */
export function maySign(cert: string, host: string): boolean {
  const extension = new x509.X509Certificate(cert).getExtension(id_ce_nameConstraints);
  if (!extension) return false;
  const permitted = [...(AsnConvert.parse(extension.value, NameConstraints).permittedSubtrees ?? [])];
  if (isIP(host) === 0)
    return permitted.some(
      ({ base: { dNSName } }) => dNSName !== undefined && (host === dNSName || host.endsWith(`.${dNSName}`)),
    );
  return inRanges(permitted.flatMap(({ base: { iPAddress } }) => iPAddress ?? []))(host);
}

/** As it is read out and compared: pairs of hexadecimal digits with colons. */
export function fingerprintOf(cert: string): string {
  return new X509Certificate(cert).fingerprint256;
}

function constraints(names: readonly string[]): x509.Extension {
  const bases = [...new Set([...NAMES, ...names.filter((name) => isIP(name) === 0)])].map(
    (dNSName) => new GeneralName({ dNSName }),
  );
  const single = names.filter((name) => isIP(name) !== 0).map((name) => `${name}/${isIP(name) === 6 ? 128 : 32}`);
  const ranges = [...new Set([...OWN_RANGES, ...single])].map((iPAddress) => new GeneralName({ iPAddress }));
  const permittedSubtrees = new GeneralSubtrees([...bases, ...ranges].map((base) => new GeneralSubtree({ base })));
  const value = AsnConvert.serialize(new NameConstraints({ permittedSubtrees }));
  return new x509.Extension(id_ce_nameConstraints, true, value);
}

function from(now: Date, days: number): { notBefore: Date; notAfter: Date } {
  const notBefore = new Date(now.getTime() - EARLIER_MS);
  return { notBefore, notAfter: new Date(notBefore.getTime() + days * DAY_MS) };
}

/** Positive whatever comes (RFC 5280, 4.1.2.2). */
function serial(): string {
  const bytes = randomBytes(16);
  bytes[0] = ((bytes[0] ?? 0) & 0x3f) | 0x40;
  return bytes.toString('hex');
}

function keyPair(): Promise<webcrypto.CryptoKeyPair> {
  return webcrypto.subtle.generateKey(ALGORITHM, true, ['sign', 'verify']) as Promise<webcrypto.CryptoKeyPair>;
}

async function importKey(pem: string): Promise<webcrypto.CryptoKey> {
  const der = x509.PemConverter.decodeFirst(pem);
  return webcrypto.subtle.importKey('pkcs8', der, ALGORITHM, false, ['sign']);
}

function pair(cert: x509.X509Certificate, keys: webcrypto.CryptoKeyPair): Pair {
  const key = KeyObject.from(keys.privateKey).export({ type: 'pkcs8', format: 'pem' }).toString();
  return { cert: `${cert.toString('pem')}\n`, key };
}

/** Whether a key is that of a certificate; both PEM. */
export function fits({ cert, key }: Pair): boolean {
  const spki = (object: KeyObject) => object.export({ type: 'spki', format: 'der' });
  return spki(new X509Certificate(cert).publicKey).equals(spki(createPublicKey(key)));
}

x509.cryptoProvider.set(webcrypto as Crypto);
