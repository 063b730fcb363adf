import { existsSync, readdirSync, readFileSync, statSync } from 'node:fs';
import { request as plainly } from 'node:http';
import { request as overTls } from 'node:https';
import { createServer } from 'node:net';
import { join } from 'node:path';
import { EVERY_LINT } from '../../job/lint.ts';
import { lint } from '../../rulebook/lint/lint.ts';
import { loadRulebook, type RuleFiles } from '../../rulebook/load.ts';
import { printFault } from '../../rulebook/fault.ts';
import { CannotServe } from '../../server/cannot-serve.ts';
import type { Settings } from '../../server/config-settings.ts';
import { namedHosts } from '../../server/tls/certificate.ts';
import { daysLeft, endOf } from '../../server/tls/made.ts';
import { ownCertificate } from '../../server/tls/own.ts';
import { doubtful, fine, type Finding, wrong } from './finding.ts';

const SHOWN = 3;

/** Whether the rules can be served; and, unless it has to be quick, whether they hold together. */
export function rulebook(files: RuleFiles, quick: boolean): Finding {
  const { rulebook: book, faults } = loadRulebook(files);
  const found = [...faults, ...(quick ? [] : lint(book, EVERY_LINT, files).filter((one) => one.severity === 'fault'))];
  const what = `version ${book.version}, ${book.followUps.size} follow-ups`;
  if (found.length === 0) return fine('rulebook', quick ? what : `${what}, no faults`);
  const more = found.length > SHOWN ? ` and ${found.length - SHOWN} more` : '';
  const says = `${found.slice(0, SHOWN).map(printFault).join('; ')}${more}`;
  if (faults.length > 0) return wrong('rulebook', `can not be served: ${says}`, '`lastbolt lint` names every fault');
  return doubtful('rulebook', says, '`lastbolt lint` names every fault');
}

const WARNED_BEFORE_DAYS = 30;

/** Undefined where nothing is shown to anybody: on this machine alone, or behind something that ends TLS. */
export function certificate(settings: Settings, now: Date): Finding | undefined {
  if (!settings.network || settings.plain) return undefined;
  if (settings.tls) return ownOne(settings, settings.tls, now);
  const path = join(settings.data, 'tls', 'server.crt');
  if (!existsSync(path)) return fine('certificate', 'one is made when the server starts');
  try {
    const pem = readFileSync(path, 'utf8');
    const says = `made here, until ${endOf(pem)}`;
    if (daysLeft(pem, now) >= 0) return fine('certificate', `${says}; renewed by itself`);
    return doubtful('certificate', `${says}, which is over`, 'start the server: it makes another');
  } catch (error) {
    return wrong('certificate', `${path} can not be read: ${(error as Error).message}`, '`lastbolt cert` tells more');
  }
}

function ownOne(settings: Settings, tls: NonNullable<Settings['tls']>, now: Date): Finding {
  try {
    const { pair, warnings } = ownCertificate(tls, namedHosts(settings), now);
    const left = daysLeft(pair.cert, now);
    if (left < WARNED_BEFORE_DAYS)
      return doubtful('certificate', warnings[0] ?? `ends ${endOf(pair.cert)}`, 'put a newer one in its place');
    return fine('certificate', `of the shop, until ${endOf(pair.cert)}, ${left} days`);
  } catch (error) {
    if (!(error instanceof CannotServe)) throw error;
    return wrong('certificate', error.message, 'the server does not start with it');
  }
}

const DAY_MS = 24 * 3_600_000;
/** Common practice, no source: a shop that works each day copies each day. */
const OLD_DAYS = 2;
const TOO_OLD_DAYS = 14;

/** Age of the newest file in the folder of backups. */
export function lastBackup(folder: string | undefined, now: Date): Finding {
  const about = 'backup';
  if (folder === undefined)
    return doubtful(about, 'no folder of backups is named', 'name it under `backups`, and put a copy there every day');
  if (!existsSync(folder))
    return wrong(about, `there is no folder ${folder}`, 'make it, and put a copy there every day');
  const times = readdirSync(folder)
    .map((name) => statSync(join(folder, name), { throwIfNoEntry: false }))
    .flatMap((is) => (is?.isFile() && is.size > 0 ? [is.mtimeMs] : []));
  if (times.length === 0) return wrong(about, `there is none in ${folder}`, '`lastbolt backup --into` makes one');
  const days = Math.floor((now.getTime() - Math.max(...times)) / DAY_MS);
  const says = `the last one in ${folder} is ${days < 1 ? 'of the last day' : days === 1 ? 'a day old' : `${days} days old`}`;
  if (days >= TOO_OLD_DAYS) return wrong(about, says, 'find out why none was made since');
  if (days >= OLD_DAYS) return doubtful(about, says, 'find out why none was made since');
  return fine(about, says);
}

/** Whether the port is free, or this very server answers on it, under which rulebook. */
export async function port(settings: Settings, rules: string): Promise<Finding> {
  const about = 'port';
  const health = await askHealth(settings);
  if (health !== undefined) {
    if (health.rules === rules) return fine(about, `a server of ours answers on ${settings.port}`);
    const says = `the server on port ${settings.port} runs under rulebook ${health.rules}, and ${rules} lies here`;
    return doubtful(about, says, 'start it anew, so that new jobs use the newer one');
  }
  const code = await cannotListen(settings);
  if (code === undefined) return fine(about, `${settings.port} is free: no server runs`);
  if (code === 'EACCES')
    return wrong(about, `${settings.port} needs rights that this account has not`, 'choose one above 1023');
  return wrong(about, `${settings.port} is taken by another program (${code})`, 'choose another, or end that program');
}

const PATIENCE_MS = 3000;

function askHealth({ port: at, network, plain, listen }: Settings): Promise<{ rules: string } | undefined> {
  const secure = network && !plain;
  return new Promise((done) => {
    const host = listen ?? '127.0.0.1';
    // Whether the certificate is trusted is for tablets to find out; here it is asked whether it is us.
    const options = { host, port: at, path: '/api/health', timeout: PATIENCE_MS, rejectUnauthorized: false };
    const asked = (secure ? overTls : plainly)(options, (answer) => {
      let text = '';
      answer.on('data', (chunk: Buffer) => (text += chunk.toString('utf8').slice(0, 1000)));
      // Also where it breaks off.
      answer.on('error', () => done(undefined));
      answer.on('close', () => done(readHealth(text)));
    });
    asked.on('timeout', () => asked.destroy());
    asked.on('error', () => done(undefined));
    asked.end();
  });
}

function readHealth(text: string): { rules: string } | undefined {
  try {
    const { ok, rules } = JSON.parse(text) as { ok?: unknown; rules?: unknown };
    return ok === true && typeof rules === 'string' ? { rules } : undefined;
  } catch {
    return undefined;
  }
}

function cannotListen({ port: at, network, listen }: Settings): Promise<string | undefined> {
  return new Promise((done) => {
    const server = createServer();
    server.once('error', ({ code }: NodeJS.ErrnoException) => done(code ?? 'unknown'));
    server.listen({ port: at, host: listen ?? (network ? undefined : '127.0.0.1') }, () =>
      server.close(() => done(undefined)),
    );
  });
}
