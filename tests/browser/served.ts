import { type ChildProcess, spawn } from 'node:child_process';
import { cpSync, mkdtempSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect } from 'vitest';
import { headersOf, type SignedIn, signIn, signUp } from '../signed-in.ts';

export interface Kept {
  readonly job: { readonly ro: string; readonly work: readonly unknown[] };
  readonly revision: number;
}

export async function put(to: string, job: Kept['job'], revision: number, who: SignedIn): Promise<void> {
  const answer = await fetch(`${to}api/jobs/${job.ro}`, {
    method: 'PUT',
    headers: { 'content-type': 'application/json', 'if-match': `"${revision}"`, ...headersOf(who) },
    body: JSON.stringify(job),
  });
  expect(answer.status).toBe(200);
}

export interface Served {
  readonly server: ChildProcess;
  readonly base: string;
  /** A foreman: the invented one, or the first of a new shop. */
  readonly who: SignedIn;
}

/** The invented shop takes seconds to be told; a run of tests tells it once and goes on from copies. */
let invented: string | undefined;

/** The built command line, on a port of the system's choice. */
export async function serve(folder: string, ...more: string[]): Promise<Served> {
  if (!more.includes('--demo')) return start(folder, ...more);
  if (invented) cpSync(invented, folder, { recursive: true });
  const served = await start(folder, ...more);
  if (invented) return served;
  await stop(served.server);
  invented = mkdtempSync(join(tmpdir(), 'lastbolt-invented-'));
  cpSync(folder, invented, { recursive: true });
  return start(folder, ...more);
}

async function start(folder: string, ...more: string[]): Promise<Served> {
  const child = spawn(process.execPath, ['dist/cli/main.js', 'serve', '--port', '0', '--data', folder, ...more], {
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  let said = '';
  // Its log is read only where it does not start.
  let logged = '';
  child.stderr.on('data', (chunk: Buffer) => (logged = (logged + chunk.toString()).slice(-4000)));
  const url = await new Promise<string>((resolve, reject) => {
    child.stdout.on('data', (chunk: Buffer) => {
      said += chunk.toString();
      const found = /http:\S+/.exec(said)?.[0];
      if (found && said.includes('end with Ctrl+C')) resolve(found);
    });
    child.once('exit', (code) => reject(new Error(`the server ended with ${code}: ${said}${logged}`)));
  });
  const code = /with the code (\w+)/.exec(said)?.[1];
  const who = code ? await signUp(url, code) : await signIn(url);
  return { server: child, base: url, who };
}

export async function stop(child: ChildProcess): Promise<void> {
  if (child.exitCode !== null) return;
  const ended = new Promise((resolve) => child.once('exit', resolve));
  child.kill('SIGTERM');
  await ended;
}
