import { type ChildProcess, spawn } from 'node:child_process';
import { rmSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { rolldown } from 'rolldown';

const top = fileURLToPath(new URL('..', import.meta.url));

/** The server as it is shipped, in a process of its own that may be killed. */
export interface Child {
  readonly url: string;
  readonly process: ChildProcess;
  /** With which the first foreman is made; undefined where there is one. */
  readonly code: string | undefined;
  /** Ends it, SIGKILL where nothing is said. */
  end(signal?: NodeJS.Signals): Promise<void>;
}

/** Builds it once; `name` keeps runs apart. */
export class BuiltServer {
  private constructor(private readonly folder: string) {}

  static async build(name: string): Promise<BuiltServer> {
    // Two folders below the top, as the real one lies: the rules are found from there.
    const folder = join(top, `dist/${name}-under-test`);
    const bundle = await rolldown({
      input: join(top, 'src/cli/main.ts'),
      platform: 'node',
      external: /^[^./]/,
      tsconfig: join(top, 'tsconfig.json'),
    });
    await bundle.write({ dir: folder, format: 'esm', entryFileNames: 'main.js' });
    await bundle.close();
    return new BuiltServer(folder);
  }

  /** Rejects with what it said where it does not start. */
  async start(data: string, port = 0, env: NodeJS.ProcessEnv = {}): Promise<Child> {
    const child = spawn(
      process.execPath,
      [join(this.folder, 'main.js'), 'serve', '--port', `${port}`, '--data', data],
      { stdio: ['ignore', 'pipe', 'pipe'], env: { ...process.env, ...env } },
    );
    let said = '';
    let logged = '';
    child.stderr.on('data', (chunk: Buffer) => (logged = (logged + chunk.toString()).slice(-2000)));
    const url = await new Promise<string>((ready, failed) => {
      child.stdout.on('data', (chunk: Buffer) => {
        said += chunk.toString();
        const found = /http:\S+/.exec(said)?.[0];
        if (found && said.includes('end with Ctrl+C')) ready(found);
      });
      child.once('exit', (code) => failed(new Error(`the server ended with ${code}: ${said}${logged}`)));
    });
    return {
      url,
      process: child,
      code: /with the code (\w+)/.exec(said)?.[1],
      end: (signal = 'SIGKILL') =>
        new Promise((done) => {
          if (child.exitCode !== null || child.signalCode !== null) return done();
          child.once('exit', () => done());
          child.kill(signal);
        }),
    };
  }

  clear(): void {
    rmSync(this.folder, { recursive: true, force: true });
  }
}
