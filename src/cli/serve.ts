import { type Command, InvalidArgumentError } from 'commander';
import { CannotServe } from '../server/cannot-serve.ts';
import type { Config } from '../server/config.ts';
import type { Running } from '../server/serve.ts';
import { settingsIn, siteIn } from './settings.ts';

interface Options {
  readonly port?: number;
  readonly data?: string;
  readonly config?: string;
  readonly network?: true;
  readonly plain?: true;
  readonly listen?: string;
  readonly trustPort?: number;
  readonly demo?: true;
  readonly site?: string;
}

/** `serve`: the page and its jobs, on this machine or on the network. Exit 2: it cannot start, and says why. */
export function registerServe(program: Command): void {
  program
    .command('serve')
    .summary('serve the page and keep its jobs')
    .description(
      'Serves the page and keeps its jobs, on this machine only or, with --network, over TLS for everybody on the network. Options stand before variables (LASTBOLT_PORT, DATABASE_URL, ...), these before the file, that before what is usual; `lastbolt config` shows what would be in force.',
    )
    .option('--config <FILE>', 'how the server is set up; or LASTBOLT_CONFIG')
    .option('--port <number>', 'port; 4471 when left out', readPort)
    .option('--data <folder>', 'where jobs and certificates are kept; .lastbolt when left out')
    .option('--network', 'listen on the network, with TLS')
    .option('--plain', 'on the network without TLS: no camera, and nothing without a signal')
    .option('--listen <ADDRESS>', 'address to listen on; with --network all of them when left out')
    .option('--trust-port <number>', 'plain http for the page that tells how to trust this server', readPort)
    .option('--demo', 'put an invented shop in, if there is nothing yet')
    .option('--site <ID>', 'the site that the invented shop is put into, where there are several')
    .addHelpText('after', '\nExit code: 0 ended when asked to, 2 it can not start, and says why.')
    .action(run);
}

/** What was given on the command line, by the names of the settings. */
export function given({ port, data, network, plain, listen, trustPort }: Options): Config {
  const all = { port, data, network, plain, listen, 'trust-port': trustPort };
  return Object.fromEntries(Object.entries(all).filter(([, value]) => value !== undefined));
}

async function run(options: Options): Promise<void> {
  const read = settingsIn({ config: options.config, ...given(options) });
  const demo = options.demo ? siteIn(read, options.site) : false;
  try {
    const { startServer } = await import('../server/serve.ts');
    const server = await startServer({ ...read.settings, demo });
    greet(server, read.settings.database === undefined ? read.settings.data : undefined);
    process.on('SIGHUP', () => server.reopenLog());
    for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => void end(server));
    await server.verified;
    for (const flaw of server.flaws) console.error(`the record is flawed: ${flaw}`);
  } catch (error) {
    if (!(error instanceof CannotServe)) throw error;
    console.error(error.message);
    process.exitCode = 2;
  }
}

function greet({ url, sites, trust, warnings }: Running, folder: string | undefined): void {
  for (const { id, name, urls, firstCode } of sites) {
    const [first = url, ...more] = urls;
    const of = name === undefined ? '' : ` for ${name} (${id})`;
    console.log(`Last Bolt is open${of} at ${first}${more.length > 0 ? `, also at ${more.join(', ')}` : ''}`);
    if (firstCode)
      console.log(
        `nobody works ${name === undefined ? 'here' : `at ${name}`} yet: the first foreman signs up with the code ${firstCode}`,
      );
  }
  if (trust)
    console.log(`tablets learn to trust it at ${trust.url}; SHA-256 of the authority:\n${inRows(trust.fingerprint)}`);
  for (const warning of warnings) console.error(`mind: ${warning}`);
  console.log(`jobs are kept in ${folder ?? 'the database'}; end with Ctrl+C`);
}

/** Two rows of sixteen are compared more easily than one of thirty-two. */
function inRows(fingerprint: string): string {
  const pairs = fingerprint.split(':');
  return [pairs.slice(0, 16), pairs.slice(16)].map((row) => `  ${row.join(':')}`).join('\n');
}

async function end(server: { close(): Promise<void> }): Promise<void> {
  try {
    await server.close();
  } catch (error) {
    console.error(error);
    process.exitCode = 1;
  }
}

export function readPort(text: string): number {
  const port = Number(text);
  if (/^\d+$/.test(text) && port <= 65_535) return port;
  throw new InvalidArgumentError('it wants a number from 0 to 65535');
}
