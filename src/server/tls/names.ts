import { hostname, networkInterfaces } from 'node:os';
import { isIP } from 'node:net';
import { isOfOwnNetwork } from './ranges.ts';

/** Names by which a machine calls itself. */
export const LOOPBACK = ['localhost', '127.0.0.1', '::1'] as const;

/** The machine's name, alone and as it is announced on a local network, and its addresses: what others call it by. */
export function machineNames(): string[] {
  const name = hostname().toLowerCase();
  const short = name.split('.')[0] ?? name;
  const said = /^[a-z0-9-]{1,63}$/.test(short) ? [...new Set([name, short, `${short}.local`])] : [];
  return [...said, ...machineAddresses()];
}

/** Without those of version 6 that are the world's: they change by the day, and nobody types them. */
export function machineAddresses(): string[] {
  const all = Object.values(networkInterfaces()).flatMap((list) => list ?? []);
  const others = all.filter(({ internal }) => !internal).map(({ address }) => address.split('%')[0] ?? address);
  return [...new Set(others)].filter((address) => isIP(address) === 4 || isOfOwnNetwork(address));
}

/** As it stands in an address bar. */
export function inAddress(host: string): string {
  return isIP(host) === 6 ? `[${host}]` : host;
}
