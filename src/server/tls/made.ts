import { X509Certificate } from 'node:crypto';
import { chmodSync, existsSync, mkdirSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { hostname } from 'node:os';
import { join } from 'node:path';
import { CannotServe } from '../cannot-serve.ts';
import { fits, fingerprintOf, makeAuthority, makeServer, maySign, type Pair } from './authority.ts';

/** A certificate is made anew with fewer days left than this. */
const RENEWED_BEFORE_DAYS = 30;
const DAY_MS = 24 * 3_600_000;
/** Every tablet has to be gone round to before it ends. */
const WARNED_BEFORE_DAYS = 365;
const FOLDER = 'tls';
const ANOTHER = '`lastbolt cert --new-authority`';

export interface Made {
  readonly server: Pair;
  /** The certificate that tablets are to trust. */
  readonly authority: string;
  /** SHA-256 of that. */
  readonly fingerprint: string;
  /** Whether anything was made now that was not there before. */
  readonly fresh: boolean;
  /** What whoever runs this should know, as sentences. */
  readonly warnings: readonly string[];
}

/**
 * The certificate in a data folder for these names, made or made anew where it has to be. `wanted` names have to be in
 * it; of the others those are left out that the authority may not sign for. Throws CannotServe.
 */
export async function madeCertificate(
  data: string,
  {
    wanted,
    others,
    now,
  }: { readonly wanted: readonly string[]; readonly others: readonly string[]; readonly now: Date },
): Promise<Made> {
  const folder = join(data, FOLDER);
  const had = readPair(folder, 'authority');
  const authority = had ?? (await firstAuthority(folder, [...wanted, ...others], now));
  mustSign(authority.cert, folder, wanted, now);
  const leftOut = others.filter((host) => !maySign(authority.cert, host));
  const hosts = [...new Set([...wanted, ...others.filter((host) => !leftOut.includes(host))])];
  const known = readPair(folder, 'server');
  const keeps = known !== undefined && isGood(known, authority.cert, hosts, now);
  const server = keeps ? known : await makeServer(authority, hosts, now);
  if (!keeps) writePair(folder, 'server', server);
  return {
    server,
    authority: authority.cert,
    fingerprint: fingerprintOf(authority.cert),
    fresh: !had || !keeps,
    warnings: warningsOf(authority.cert, folder, leftOut, now),
  };
}

/** Puts another authority in the place of the one there was; every tablet has to trust it anew. Gives its fingerprint. */
export async function newAuthority(data: string, names: readonly string[], now: Date): Promise<string> {
  const folder = join(data, FOLDER);
  const authority = await makeAuthority(hostname(), names, now);
  mkdirSync(folder, { recursive: true, mode: 0o700 });
  // Without its certificate the one before is no authority any more, whatever happens behind this line.
  rmSync(join(folder, 'authority.crt'), { force: true });
  writePair(folder, 'authority', authority);
  return fingerprintOf(authority.cert);
}

/** Throws CannotServe where the authority has ended, or may not sign for what was written down. */
function mustSign(authority: string, folder: string, wanted: readonly string[], now: Date): void {
  const unfit = wanted.filter((host) => !maySign(authority, host));
  if (unfit.length > 0)
    throw new CannotServe(
      `the authority in ${folder} may not sign for ${unfit.join(', ')}: make another with ${ANOTHER}, which every tablet has to trust anew, or name a certificate of the shop's own (tls)`,
    );
  if (daysLeft(authority, now) < 0)
    throw new CannotServe(`the authority in ${folder} ended ${endOf(authority)}: make another with ${ANOTHER}`);
}

function warningsOf(authority: string, folder: string, leftOut: readonly string[], now: Date): string[] {
  const warnings: string[] = [];
  if (daysLeft(authority, now) < WARNED_BEFORE_DAYS)
    warnings.push(`the authority in ${folder} ends ${endOf(authority)}: make another before, with ${ANOTHER}`);
  if (leftOut.length > 0)
    warnings.push(`the certificate leaves out ${leftOut.join(', ')}: the authority may not sign for that`);
  return warnings;
}

async function firstAuthority(folder: string, names: readonly string[], now: Date): Promise<Pair> {
  const made = await makeAuthority(hostname(), names, now);
  writePair(folder, 'authority', made);
  return made;
}

/** Undefined where there is none, or only a half of one that was being made when the machine stopped. */
function readPair(folder: string, name: 'authority' | 'server'): Pair | undefined {
  const [cert, key] = [join(folder, `${name}.crt`), join(folder, `${name}.key`)];
  if (!existsSync(cert)) return undefined;
  if (!existsSync(key) && name === 'authority')
    throw new CannotServe(`${cert} is there and ${key} is not: put it back, or make another authority with ${ANOTHER}`);
  try {
    const pair = { cert: readFileSync(cert, 'utf8'), key: readFileSync(key, 'utf8') };
    if (fits(pair)) return pair;
  } catch (error) {
    if (name === 'server') return undefined;
    throw new CannotServe(
      `${cert} and its key can not be read: ${error instanceof Error ? error.message : String(error)}`,
    );
  }
  if (name === 'server') return undefined;
  throw new CannotServe(
    `${key} is not the key of ${cert}: put the right one back, or make another authority with ${ANOTHER}`,
  );
}

/** The key before the certificate: a certificate that is there has its key beside it. */
function writePair(folder: string, name: 'authority' | 'server', { cert, key }: Pair): void {
  mkdirSync(folder, { recursive: true, mode: 0o700 });
  // Whoever has the key can pass for this server on every tablet of the shop.
  writeWhole(join(folder, `${name}.key`), key, 0o600);
  writeWhole(join(folder, `${name}.crt`), cert, 0o644);
}

function writeWhole(path: string, text: string, mode: number): void {
  const beside = `${path}.new`;
  rmSync(beside, { force: true });
  writeFileSync(beside, text, { mode, flag: 'wx', flush: true });
  chmodSync(beside, mode);
  renameSync(beside, path);
}

function isGood({ cert }: Pair, authority: string, hosts: readonly string[], now: Date): boolean {
  const x509 = new X509Certificate(cert);
  if (!x509.verify(new X509Certificate(authority).publicKey)) return false;
  const least = Math.min(RENEWED_BEFORE_DAYS, daysLeft(authority, now));
  return daysLeft(cert, now) >= least && sameNames(namesIn(x509), hosts);
}

function sameNames(has: readonly string[], wants: readonly string[]): boolean {
  const plain = (names: readonly string[]) => [...new Set(names.map(plainAddress))].sort().join();
  return plain(has) === plain(wants);
}

/** Names and addresses that a certificate is for. */
export function namesIn(cert: X509Certificate): string[] {
  return (cert.subjectAltName ?? '')
    .split(', ')
    .map((name) => name.replace(/^(?:DNS|IP Address):/, ''))
    .filter((name) => name !== '');
}

/** One way to write an address of version 6, of which there are several. */
function plainAddress(host: string): string {
  return host.includes(':') ? new URL(`http://[${host}]`).hostname.slice(1, -1) : host;
}

export function daysLeft(cert: string, now: Date): number {
  return Math.floor((Date.parse(new X509Certificate(cert).validTo) - now.getTime()) / DAY_MS);
}

export function endOf(cert: string): string {
  return new Date(new X509Certificate(cert).validTo).toISOString().slice(0, 10);
}
