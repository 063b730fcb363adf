import { X509Certificate } from 'node:crypto';
import type { Command } from 'commander';
import { CannotServe } from '../../server/cannot-serve.ts';
import { refuse } from '../input.ts';
import { settingsIn } from '../settings.ts';

export function certCommand(program: Command): void {
  program
    .command('cert')
    .summary('the certificate that a server on the network shows')
    .description(
      'Tells what the certificate is for and how long, and the SHA-256 of the authority that tablets trust, to be compared with what the page /trust shows. With --new-authority another is made in its place; a server that runs goes over to it within the hour, and every tablet has to trust it anew.',
    )
    .option('--new-authority', 'make another authority')
    .option('--data <DIR>', 'folder in which certificates are kept; .lastbolt when left out')
    .option('--config <FILE>', 'how the server is set up')
    .addHelpText('after', '\nExit code: 0 it can be used, 1 it can not, 2 the settings can not.')
    .action(run);
}

interface Options {
  readonly newAuthority?: true;
  readonly data?: string;
  readonly config?: string;
}

async function run({ newAuthority: another, data, config }: Options): Promise<void> {
  const { settings } = settingsIn({ config, ...(data === undefined ? {} : { data }) });
  if (another && settings.tls) refuse('--new-authority', 'the shop names a certificate of its own (tls)');
  const { certificateOf, namedHosts } = await import('../../server/tls/certificate.ts');
  const { endOf, namesIn, newAuthority } = await import('../../server/tls/made.ts');
  const { machineNames } = await import('../../server/tls/names.ts');
  try {
    const now = new Date();
    if (another) await newAuthority(settings.data, [...namedHosts(settings), ...machineNames()], now);
    const { pair, made, warnings } = await certificateOf(settings, now);
    console.log(`for        ${namesIn(new X509Certificate(pair.cert)).join(', ')}`);
    console.log(`until      ${endOf(pair.cert)}`);
    if (made) console.log(`authority  until ${endOf(made.authority)}, SHA-256 ${made.fingerprint}`);
    for (const warning of warnings) console.error(`mind: ${warning}`);
  } catch (error) {
    if (!(error instanceof CannotServe)) throw error;
    console.error(error.message);
    process.exitCode = 1;
  }
}
