import type { Fault } from '../rulebook/fault.ts';
import type { Config } from './config.ts';

/** What is in force when nobody says otherwise. */
export const DEFAULTS = {
  port: 4471,
  data: '.lastbolt',
  network: false,
  plain: false,
  hosts: [],
  proxies: [],
} satisfies Config;

type Defaulted = keyof typeof DEFAULTS;
export type Settings = Omit<Config, Defaulted | '$schema'> & {
  readonly [K in Defaulted]: NonNullable<Config[K]>;
};

/** A value and who said it: `--port`, `LASTBOLT_PORT`, a file, or `default`. */
export interface Said {
  readonly path: readonly string[];
  readonly value: unknown;
  readonly from: string;
  readonly secret: boolean;
  /** Where a fault of it is told. */
  readonly at: Pick<Fault, 'file' | 'pointer'>;
}
