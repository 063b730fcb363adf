import type { Command } from 'commander';
import type { Config } from '../server/config.ts';
import { type Read, readConfig } from '../server/config-read.ts';
import { refuse, Unusable } from './input.ts';

/** Which record a command works with. */
export interface Which {
  readonly config?: string;
  readonly data?: string;
  readonly site?: string;
}

/** Options of every command that works with the record. */
export function whichRecord(
  command: Command,
  data = 'folder in which jobs are kept; .lastbolt when left out',
): Command {
  return command
    .option('--data <DIR>', data)
    .option('--site <ID>', 'the site, where there are several')
    .option('--config <FILE>', 'how the server is set up');
}

/** Throws Unusable with every fault. */
export function settingsIn({ config, ...options }: Config & { readonly config?: string | undefined }): Read {
  const read = readConfig({ file: config, options });
  if (read.faults.length > 0) throw new Unusable(read.faults);
  return read;
}

/** The only site, or the one that is named. Throws Unusable with the sites there are. */
export function siteIn({ settings }: Pick<Read, 'settings'>, site: string | undefined, option = '--site'): string {
  const ids = Object.keys(settings.sites ?? { main: true });
  if (site === undefined && ids.length > 1) refuse(option, `there are several sites: ${ids.join(', ')}`, 'name one');
  const id = site ?? (ids[0] as string);
  if (ids.includes(id)) return id;
  const hint = settings.sites ? `there are ${ids.join(', ')}` : '--config names the file that names the sites';
  return refuse(option, `there is no site \`${id}\``, hint);
}
