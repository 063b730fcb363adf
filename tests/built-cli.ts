import { execFile } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { rolldown } from 'rolldown';
import { afterAll, beforeAll } from 'vitest';

const top = fileURLToPath(new URL('..', import.meta.url));

interface Run {
  readonly code: number;
  readonly out: string;
  readonly err: string;
}

/** The command line as it is shipped, in a folder of its own. */
interface BuiltCli {
  /** Where it runs. */
  readonly work: string;
  readonly lastbolt: (args: readonly string[], input?: string | Buffer) => Promise<Run>;
  /** Writes a file where it runs; its name comes back. */
  readonly file: (name: string, content: string | Buffer | object) => string;
}

/** Builds the command line before the tests of a file and clears it away behind them; `name` keeps files apart that run at once. */
export function builtCli(name: string): BuiltCli {
  // Two folders below the top, as the real one lies: the rules are found from there.
  const built = join(top, `dist/${name}-under-test`);
  const work = mkdtempSync(join(tmpdir(), `lastbolt-${name}-`));

  beforeAll(async () => {
    const bundle = await rolldown({
      input: join(top, 'src/cli/main.ts'),
      platform: 'node',
      external: /^[^./]/,
      tsconfig: join(top, 'tsconfig.json'),
    });
    await bundle.write({ dir: built, format: 'esm', entryFileNames: 'main.js' });
    await bundle.close();
  }, 60_000);
  afterAll(() => {
    rmSync(work, { recursive: true, force: true });
    rmSync(built, { recursive: true, force: true });
  });

  const lastbolt = (args: readonly string[], input: string | Buffer = ''): Promise<Run> =>
    new Promise((done) => {
      const child = execFile(
        process.execPath,
        [join(built, 'main.js'), ...args],
        { cwd: work, maxBuffer: 1 << 26 },
        (error, out, err) => done({ code: error ? Number(error.code ?? -1) : 0, out, err }),
      );
      // A process that refuses its input closes the pipe before all is written.
      child.stdin?.on('error', () => {});
      child.stdin?.end(input);
    });
  const file = (called: string, content: string | Buffer | object): string => {
    const text = typeof content === 'string' || Buffer.isBuffer(content) ? content : JSON.stringify(content);
    writeFileSync(join(work, called), text);
    return called;
  };
  return { work, lastbolt, file };
}
