import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { fileURLToPath } from 'node:url';
import type { Running, ServeOptions } from '../src/server/serve.ts';

export interface Child extends Pick<Running, 'url' | 'sites' | 'firstCode' | 'trust' | 'warnings'> {
  readonly process: ChildProcess;
  /** Waits until it is gone. */
  end(signal: 'SIGTERM' | 'SIGKILL'): Promise<number | null>;
}

const script = fileURLToPath(new URL('server.apart.ts', import.meta.url));

/** Starts a server in a process of its own and waits until it is open. */
export async function startChild(options: ServeOptions): Promise<Child> {
  const child = spawn(process.execPath, ['--import', 'tsx', script, JSON.stringify(options)], {
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  let [said, complained] = ['', ''];
  child.stderr.on('data', (chunk: Buffer) => (complained = (complained + chunk.toString()).slice(-4000)));
  const line = await new Promise<string>((resolve, reject) => {
    child.stdout.on('data', (chunk: Buffer) => {
      said += chunk.toString();
      if (said.includes('\n')) resolve(said);
    });
    child.once('exit', (code) => reject(new Error(`the server ended with ${code}: ${complained}`)));
  });
  const end = async (signal: 'SIGTERM' | 'SIGKILL') => {
    if (child.exitCode !== null || child.signalCode !== null) return child.exitCode;
    const ended = once(child, 'exit');
    child.kill(signal);
    const [code] = (await ended) as [number | null];
    return code;
  };
  return { ...(JSON.parse(line) as Child), process: child, end };
}
