import type { Fault } from '../rulebook/fault.ts';
import type { Said, Settings } from './config-settings.ts';

/** What does not fit together, each told where the field was said. */
export function together(settings: Settings, said: readonly Said[]): Fault[] {
  const faults: Fault[] = [];
  const against = (field: string, message: string, hint: string, inner = ''): void => {
    const at = said.find(({ path }) => path.join('/') === field || path[0] === field)?.at;
    if (at) faults.push({ file: at.file, pointer: at.pointer + inner, message, hint });
  };
  const { network, plain, tls, listen, proxies, hosts, sites, port } = settings;
  const trust = settings['trust-port'];
  if (plain && !network) against('plain', 'is about the network', 'say `network` too, or leave it out');
  if (plain && tls) against('plain', 'with a certificate nothing is plain', 'leave out `plain` or `tls`');
  if (tls && !network) against('tls', 'is about the network', 'say `network` too, or leave it out');
  if (listen !== undefined && !network && !isLoopback(listen))
    against('listen', 'is an address of the network', 'say `network` too, or leave it out');
  if (trust !== undefined && (!network || plain))
    against('trust-port', 'there is nothing to trust without TLS', 'say `network`, without `plain`, or leave it out');
  if (trust !== undefined && trust !== 0 && trust === port)
    against('trust-port', 'is the port of the server itself', 'choose another');
  if (proxies.length > 0 && network && !plain)
    against('proxies', 'end TLS in front of this server', 'say `plain` too, so that it speaks http to them');
  if (sites && hosts.length > 0) against('hosts', 'belong to a site', 'write them under `sites`');
  if (sites) sitesTogether(sites, against);
  return faults;
}

function sitesTogether(
  sites: NonNullable<Settings['sites']>,
  against: (field: string, message: string, hint: string, inner?: string) => void,
): void {
  if (Object.keys(sites).length === 0) against('sites', 'names no site', 'name one, or leave it out');
  const whose = new Map<string, string>();
  for (const [id, site] of Object.entries(sites))
    for (const [i, host] of site.hosts.entries()) {
      const other = whose.get(host);
      if (other !== undefined)
        against(
          'sites',
          `\`${host}\` is a name of site ${other} too`,
          'each site has names of its own',
          `/${id}/hosts/${i}`,
        );
      whose.set(host, id);
    }
}

export function isLoopback(address: string): boolean {
  return address === '::1' || address.startsWith('127.');
}
