import { accessSync, constants, existsSync, readFileSync, type Stats, statfsSync, statSync } from 'node:fs';
import { dirname } from 'node:path';
import { BUILT } from '../../server/version.ts';
import { doubtful, fine, type Finding, wrong } from './finding.ts';

/** As package.json says under `engines`. */
const OLDEST_NODE = [20, 19] as const;

export function nodeVersion(version = process.versions.node): Finding {
  const [major = 0, minor = 0] = version.split('.').map(Number);
  const isOld = major < OLDEST_NODE[0] || (major === OLDEST_NODE[0] && minor < OLDEST_NODE[1]);
  if (!isOld) return fine('Node', `version ${version}`);
  return wrong('Node', `version ${version} is too old for this program`, `install ${OLDEST_NODE.join('.')} or newer`);
}

export function pageBuilt(page = BUILT.page): Finding {
  if (existsSync(page)) return fine('page', `built on ${statSync(page).mtime.toISOString().slice(0, 10)}`);
  return wrong('page', `is not built: there is no ${page}`, 'run `npm run build`');
}

/** Rights and owner of the folder in which everything is kept. */
export function dataFolder(folder: string, uid = process.getuid?.()): Finding {
  const about = 'data folder';
  const is = statSync(folder, { throwIfNoEntry: false });
  if (!is) return doubtful(about, `${folder} is not there`, '`serve` makes it; or --data names another');
  if (!is.isDirectory()) return wrong(about, `${folder} is no folder`, 'name another with --data');
  if (!mayWrite(folder))
    return wrong(
      about,
      `${folder} may not be written by this account`,
      `look at its rights; it belongs to ${owner(is)}`,
    );
  const open = [folder, `${folder}/record.db`].filter((path) => isOpen(path));
  if (open.length > 0)
    return doubtful(
      about,
      `${open.join(' and ')} may be read by other accounts: it holds names, VINs and hashes of PINs`,
      `chmod go-rwx ${open.join(' ')}`,
    );
  if (uid !== undefined && uid !== 0 && is.uid !== uid)
    return doubtful(about, `${folder} belongs to ${owner(is)}, not to this account`, 'run this as that account');
  return fine(about, `${folder}, for ${owner(is)} only`);
}

/** Bytes; common practice, no source: a day's photos of a shop are tens of megabytes. */
const LITTLE = 1_000_000_000;
const TOO_LITTLE = 100_000_000;

export function freeDisk(folder: string, free = freeAt(folder)): Finding {
  const says = `${(free / 1e9).toFixed(1)} GB are free where ${folder} lies`;
  if (free < TOO_LITTLE) return wrong('disk', says, 'make room: nothing is kept on a full disk');
  if (free < LITTLE) return doubtful('disk', `only ${says}`, 'make room before it is full');
  return fine('disk', says);
}

function freeAt(folder: string): number {
  if (!existsSync(folder)) return dirname(folder) === folder ? 0 : freeAt(dirname(folder));
  const { bavail, bsize } = statfsSync(folder);
  return bavail * bsize;
}

function isOpen(path: string): boolean {
  const is = statSync(path, { throwIfNoEntry: false });
  return is !== undefined && (is.mode & 0o077) !== 0;
}

function mayWrite(folder: string): boolean {
  try {
    accessSync(folder, constants.R_OK | constants.W_OK | constants.X_OK);
    return true;
  } catch {
    return false;
  }
}

function owner({ uid }: Stats): string {
  return nameOf(uid) ?? `account ${uid}`;
}

function nameOf(uid: number): string | undefined {
  try {
    const rows = readFileSync('/etc/passwd', 'utf8').split('\n');
    return rows.map((row) => row.split(':')).find((row) => row[2] === String(uid))?.[0];
  } catch {
    return undefined;
  }
}
