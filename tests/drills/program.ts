import { type ChildProcess, execFile, spawn } from 'node:child_process';
import { once } from 'node:events';
import { cpSync, mkdirSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { rolldown } from 'rolldown';

const top = fileURLToPath(new URL('../..', import.meta.url));

export interface Ran {
  readonly code: number;
  readonly out: string;
  readonly err: string;
}

/** A server that runs as a process of its own. */
export interface Served {
  readonly url: string;
  /** For the first foreman; undefined where somebody works already. */
  readonly firstCode: string | undefined;
  /** Asked to end, as a service manager does. */
  stop(): Promise<void>;
  /** Without a word (SIGKILL), as a power cut of the process. */
  kill(): Promise<void>;
}

/** The program as it is installed: built, with its rules beside it. */
export interface Program {
  readonly folder: string;
  serve(data: string, env?: Readonly<Record<string, string>>): Promise<Served>;
  run(args: readonly string[], env?: Readonly<Record<string, string>>): Promise<Ran>;
}

export interface Install {
  /** Changes rule files by their path below rules/: a later rulebook. */
  readonly rules?: Readonly<Record<string, (text: string) => string>>;
  /** A later program: its record has a step of migration that this one does not know. */
  readonly later?: boolean;
}

/** Builds and installs it into a folder that is not there yet. */
export async function install(folder: string, { rules = {}, later = false }: Install = {}): Promise<Program> {
  mkdirSync(join(folder, 'dist/app'), { recursive: true });
  for (const { fileName, code } of await built(later)) {
    mkdirSync(join(folder, 'dist/cli'), { recursive: true });
    writeFileSync(join(folder, 'dist/cli', fileName), code);
  }
  writeFileSync(join(folder, 'dist/app/index.html'), '<!doctype html><title>drill</title>');
  cpSync(join(top, 'rules'), join(folder, 'rules'), { recursive: true });
  cpSync(join(top, 'package.json'), join(folder, 'package.json'));
  symlinkSync(join(top, 'node_modules'), join(folder, 'node_modules'));
  for (const [name, change] of Object.entries(rules)) {
    const path = join(folder, 'rules', name);
    const [text, changed] = [readFileSync(path, 'utf8'), change(readFileSync(path, 'utf8'))];
    if (changed === text) throw new Error(`${name}: the change changes nothing`);
    writeFileSync(path, changed);
  }
  const main = join(folder, 'dist/cli/main.js');
  return {
    folder,
    serve: (data, env) => serve(main, data, { ...clean(), ...env }),
    run: (args, env) => run(main, args, { ...clean(), ...env }),
  };
}

interface Chunk {
  readonly fileName: string;
  readonly code: string;
}

const builds = new Map<boolean, Promise<readonly Chunk[]>>();

/** Built once for all drills of a run. */
function built(later: boolean): Promise<readonly Chunk[]> {
  const known = builds.get(later) ?? build(later);
  builds.set(later, known);
  return known;
}

async function build(later: boolean): Promise<readonly Chunk[]> {
  const bundle = await rolldown({
    input: join(top, 'src/cli/main.ts'),
    platform: 'node',
    external: /^[^./]/,
    tsconfig: join(top, 'tsconfig.json'),
    plugins: later ? [laterMigration] : [],
  });
  const { output } = await bundle.generate({ format: 'esm', entryFileNames: 'main.js' });
  await bundle.close();
  return output.flatMap((one) => (one.type === 'chunk' ? [{ fileName: one.fileName, code: one.code }] : []));
}

/** What stands in for the next program: a column more, as a migration of its own. */
const laterMigration = {
  name: 'later-migration',
  transform(code: string, id: string) {
    if (!id.endsWith('/store/log/migrations.ts')) return undefined;
    const later = code.replace(
      /'004-servers': \w+\(columns\),/,
      `$& '900-later': { up: async (db) => { await db.schema.alterTable('record_deleted').addColumn('later', 'integer').execute(); } },`,
    );
    if (later === code) throw new Error('there is nothing to put a later migration behind');
    return later;
  },
};

/** Settings of whoever runs the drill are none of the drill's. */
function clean(): NodeJS.ProcessEnv {
  const own = Object.entries(process.env).filter(([name]) => !/^LASTBOLT_|^DATABASE_URL$|^NODE_OPTIONS$/.test(name));
  return Object.fromEntries(own);
}

async function serve(main: string, data: string, env: NodeJS.ProcessEnv): Promise<Served> {
  const child = spawn(process.execPath, [main, 'serve', '--port', '0', '--data', data], {
    env,
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  const ended = once(child, 'close');
  const said = await greeting(child);
  const url = /open at (http\S+)/.exec(said)?.[1] as string;
  const firstCode = /with the code (\w+)/.exec(said)?.[1];
  const end = async (signal: NodeJS.Signals) => {
    child.kill(signal);
    await ended;
  };
  return { url, firstCode, stop: () => end('SIGTERM'), kill: () => end('SIGKILL') };
}

/** What it says until it is open; throws what it said instead. */
function greeting(child: ChildProcess): Promise<string> {
  return new Promise((done, failed) => {
    let [out, err] = ['', ''];
    child.stdout?.on('data', (chunk: Buffer) => {
      out += chunk.toString();
      if (out.includes('end with Ctrl+C')) done(out);
    });
    child.stderr?.on('data', (chunk: Buffer) => (err = (err + chunk.toString()).slice(-10_000)));
    child.on('error', failed);
    child.on('close', (code) => failed(new CanNotServe(Number(code), err)));
  });
}

export class CanNotServe extends Error {
  constructor(
    readonly code: number,
    readonly says: string,
  ) {
    super(`the server ended with ${code}: ${says}`);
  }
}

function run(main: string, args: readonly string[], env: NodeJS.ProcessEnv): Promise<Ran> {
  return new Promise((done) => {
    execFile(process.execPath, [main, ...args], { env, maxBuffer: 1 << 28 }, (error, out, err) =>
      done({ code: error ? Number(error.code ?? -1) : 0, out, err }),
    );
  });
}
