import type { Command } from 'commander';
import type { Said } from '../../server/config-settings.ts';
import { addressOf } from '../../store/log/address.ts';
import { settingsIn } from '../settings.ts';

export function configCommand(program: Command): void {
  program
    .command('config')
    .summary('what a server would be set up with, and who said so')
    .description(
      'Prints each setting in force and where it comes from: the file, a variable or what is usual. Passwords and tokens are not shown. `schema/config.json` in the folder of the rulebook tells what there is to be set.',
    )
    .option('--config <FILE>', 'how the server is set up; or LASTBOLT_CONFIG')
    .option('--json', 'as JSON')
    .addHelpText('after', '\nExit code: 0 it can be used, 2 it can not, and every fault is named.')
    .action(run);
}

async function run({ config, json }: { config?: string; json?: true }): Promise<void> {
  const { said } = settingsIn({ config });
  const shown = said.map((one) => ({ setting: one.path.join('.'), value: seen(one), from: one.from }));
  if (json) return void process.stdout.write(`${JSON.stringify(shown, null, 2)}\n`);
  const [names, values] = [shown.map(({ setting }) => setting), shown.map(({ value }) => textOf(value))];
  const [wide, wider] = [longest(names), longest(values)];
  for (const [i, { from }] of shown.entries())
    console.log(`${names[i]?.padEnd(wide)}  ${values[i]?.padEnd(wider)}  ${from}`);
}

const HIDDEN = '(not shown)';
/** A long value must not push all others off the screen. */
const MOST_WIDE = 60;

function seen({ path, value, secret }: Said): unknown {
  if (!secret) return value;
  if (path.join() !== 'database' || typeof value !== 'string') return HIDDEN;
  try {
    return `${addressOf(value).shown} (password not shown)`;
  } catch {
    return HIDDEN;
  }
}

function textOf(value: unknown): string {
  return typeof value === 'string' ? value : JSON.stringify(value);
}

function longest(texts: readonly string[]): number {
  return Math.max(0, ...texts.map(({ length }) => length).filter((length) => length <= MOST_WIDE));
}
