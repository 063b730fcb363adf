import { resolve } from 'node:path';
import { type Command, InvalidArgumentError } from 'commander';
import { CannotServe } from '../server/cannot-serve.ts';

const PORT = 4471;
const DATA = '.lastbolt';

/** `serve`: the page and its jobs, on this machine only. Exit 2: it cannot start, and says why. */
export function registerServe(program: Command): void {
  program
    .command('serve')
    .description('serve the page and keep its jobs, on this machine only')
    .option('--port <number>', 'port on the loopback address', readPort, PORT)
    .option('--data <folder>', 'where jobs are kept', DATA)
    .option('--demo', 'put an invented shop in, if there is nothing yet', false)
    .action(run);
}

async function run(options: { port: number; data: string; demo: boolean }): Promise<void> {
  try {
    const { startServer } = await import('../server/serve.ts');
    const server = await startServer({ ...options, data: resolve(options.data) });
    console.log(`Last Bolt is open at ${server.url}`);
    if (server.firstCode)
      console.log(`nobody works here yet: the first foreman signs up with the code ${server.firstCode}`);
    console.log(`jobs are kept in ${resolve(options.data)}; end with Ctrl+C`);
    for (const flaw of server.flaws) console.error(`the record is flawed: ${flaw}`);
    for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => void end(server));
  } catch (error) {
    if (!(error instanceof CannotServe)) throw error;
    console.error(error.message);
    process.exitCode = 2;
  }
}

async function end(server: { close(): Promise<void> }): Promise<void> {
  try {
    await server.close();
  } catch (error) {
    console.error(error);
    process.exitCode = 1;
  }
}

function readPort(text: string): number {
  const port = Number(text);
  if (/^\d+$/.test(text) && port <= 65_535) return port;
  throw new InvalidArgumentError('it wants a number from 0 to 65535');
}
