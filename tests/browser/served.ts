import { type ChildProcess, spawn } from 'node:child_process';
import { expect } from 'vitest';

export interface Kept {
  readonly job: { readonly ro: string; readonly work: readonly unknown[] };
  readonly revision: number;
}

export async function put(to: string, job: Kept['job'], revision: number): Promise<void> {
  const answer = await fetch(`${to}api/jobs/${job.ro}`, {
    method: 'PUT',
    headers: { 'content-type': 'application/json', 'if-match': `"${revision}"` },
    body: JSON.stringify(job),
  });
  expect(answer.status).toBe(200);
}

/** The built command line, on a port of the system's choice. */
export async function serve(folder: string, ...more: string[]): Promise<{ server: ChildProcess; base: string }> {
  const child = spawn(process.execPath, ['dist/cli/main.js', 'serve', '--port', '0', '--data', folder, ...more], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  const url = await new Promise<string>((resolve, reject) => {
    let said = '';
    child.stdout.on('data', (chunk: Buffer) => {
      said += chunk.toString();
      const found = /http:\S+/.exec(said)?.[0];
      if (found) resolve(found);
    });
    child.once('exit', (code) => reject(new Error(`the server ended with ${code}: ${said}`)));
  });
  return { server: child, base: url };
}

export async function stop(child: ChildProcess): Promise<void> {
  if (child.exitCode !== null) return;
  const ended = new Promise((resolve) => child.once('exit', resolve));
  child.kill('SIGTERM');
  await ended;
}
