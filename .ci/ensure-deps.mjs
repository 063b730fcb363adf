// Installs the dependencies when they are missing or differ from the lock file; needs nothing but Node itself.
import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

const root = fileURLToPath(new URL('..', import.meta.url));
const modules = `${root}node_modules`;
const stamp = `${modules}/.lock-hash`;

if (process.argv.includes('--stamp')) writeStamp();
else if (!isCurrent()) install();

// The lock's content is hashed because file times mean nothing after a clone.
function isCurrent() {
  return existsSync(stamp) && readFileSync(stamp, 'utf8') === wanted();
}

function wanted() {
  const lock = readFileSync(`${root}package-lock.json`);
  return createHash('sha256')
    .update(lock)
    .update(`${process.version} ${process.platform} ${process.arch}`)
    .digest('hex');
}

function install() {
  console.error('installing dependencies (npm ci)');
  const npm = process.env.npm_execpath;
  const args = ['ci', '--include=dev', '--no-audit', '--no-fund'];
  const options = { cwd: root, stdio: /** @type {['ignore', 2, 2]} */ (['ignore', 2, 2]), env: outerEnvironment() };
  const run = npm
    ? spawnSync(process.execPath, [npm, ...args], options)
    : spawnSync('npm', args, { ...options, shell: process.platform === 'win32' });
  if (run.error) throw run.error;
  if (run.status !== 0) {
    console.error(`npm ci failed (exit ${run.status ?? run.signal}); node_modules is left as npm left it`);
    process.exit(run.status ?? 1);
  }
  writeStamp();
}

// Also called by the package's postinstall script, so that a plain `npm install` is not followed by a second one.
function writeStamp() {
  if (existsSync(modules)) writeFileSync(stamp, wanted());
}

// Settings of the npm command that called this script (a prefix, a dry run) must not leak into the install.
function outerEnvironment() {
  const inner = /^npm_(config_(global|prefix|dry_run|ignore_scripts)|lifecycle|package)/i;
  return Object.fromEntries(Object.entries(process.env).filter(([name]) => !inner.test(name)));
}
