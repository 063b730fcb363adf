import { createPrivateKey, X509Certificate } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { isIP } from 'node:net';
import { CannotServe } from '../cannot-serve.ts';
import type { Pair } from './authority.ts';
import { daysLeft, endOf } from './made.ts';

/** Days before its end from which a certificate is warned of. */
const WARNED_BEFORE_DAYS = 30;

/**
 * A certificate of the shop's own: read, and held against its key, the clock and the names it has to be for. Throws
 * CannotServe, naming all that is wrong with it.
 */
export function ownCertificate(
  files: { readonly cert: string; readonly key: string },
  hosts: readonly string[],
  now: Date,
): { readonly pair: Pair; readonly warnings: readonly string[] } {
  const pair = { cert: text(files.cert, 'tls/cert'), key: text(files.key, 'tls/key') };
  const faults: string[] = [];
  const cert = attempt(() => new X509Certificate(pair.cert));
  const key = attempt(() => createPrivateKey(pair.key));
  if (!cert) faults.push(`${files.cert} is no certificate in PEM`);
  if (!key) faults.push(`${files.key} is no private key in PEM, or it has a password: it wants one without`);
  if (cert && key && !cert.checkPrivateKey(key)) faults.push(`${files.key} is not the key of ${files.cert}`);
  if (cert) faults.push(...ofCertificate(cert, pair.cert, files.cert, hosts, now));
  if (faults.length > 0) throw new CannotServe(faults.join('\n'));
  const left = daysLeft(pair.cert, now);
  const warnings =
    left > WARNED_BEFORE_DAYS
      ? []
      : [
          `${files.cert} ends ${endOf(pair.cert)}, in ${left} ${left === 1 ? 'day' : 'days'}: put a newer one in its place`,
        ];
  return { pair, warnings };
}

function ofCertificate(
  cert: X509Certificate,
  pem: string,
  file: string,
  hosts: readonly string[],
  now: Date,
): string[] {
  const faults: string[] = [];
  if (cert.ca) faults.push(`${file} is that of an authority: the server's own has to come first in it`);
  if (daysLeft(pem, now) < 0) faults.push(`${file} ended ${endOf(pem)}`);
  if (Date.parse(cert.validFrom) > now.getTime())
    faults.push(`${file} begins ${new Date(cert.validFrom).toISOString().slice(0, 10)}, and that is to come`);
  const missing = hosts.filter((host) => (isIP(host) ? cert.checkIP(host) : cert.checkHost(host)) === undefined);
  if (missing.length > 0)
    faults.push(`${file} is not for ${missing.join(', ')}: it is for ${cert.subjectAltName ?? cert.subject}`);
  return faults;
}

function text(file: string, field: string): string {
  try {
    return readFileSync(file, 'utf8');
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    throw new CannotServe(`${field}: ${file} ${code === 'ENOENT' ? 'is not there' : `may not be read (${code})`}`);
  }
}

function attempt<T>(read: () => T): T | undefined {
  try {
    return read();
  } catch {
    return undefined;
  }
}
