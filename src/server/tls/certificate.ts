import type { Server } from 'node:https';
import type { Settings } from '../config-settings.ts';
import type { Pair } from './authority.ts';
import { madeCertificate } from './made.ts';
import { LOOPBACK, machineNames } from './names.ts';
import { ownCertificate } from './own.ts';

/** With what a server shows who it is. */
export interface Certificate {
  readonly pair: Pair;
  /** The authority that was made for it, and the SHA-256 of its certificate; undefined for one of the shop's own. */
  readonly made: { readonly authority: string; readonly fingerprint: string } | undefined;
  readonly warnings: readonly string[];
}

type Needs = Pick<Settings, 'tls' | 'data' | 'hosts' | 'sites'>;

/** As often as a certificate is looked at: its end comes nearer, and addresses change. */
const LOOKED_AT_EVERY_MS = 3_600_000;

/** The shop's own where it names one, else the made one. Throws CannotServe. */
export async function certificateOf(settings: Needs, now: Date, machine = machineNames()): Promise<Certificate> {
  const named = namedHosts(settings);
  if (settings.tls) return { ...ownCertificate(settings.tls, named, now), made: undefined };
  const wanted = [...new Set([...named, ...LOOPBACK])];
  const others = machine.filter((host) => !wanted.includes(host));
  const { server, authority, fingerprint, warnings } = await madeCertificate(settings.data, { wanted, others, now });
  return { pair: server, made: { authority, fingerprint }, warnings };
}

/** Names that somebody wrote down for this server. */
export function namedHosts({ hosts, sites }: Pick<Settings, 'hosts' | 'sites'>): string[] {
  return [...hosts, ...Object.values(sites ?? {}).flatMap((site) => site.hosts)];
}

/**
 * Looks at the certificate while the server runs and has it use a newer one; a warning is told when it is new. Gives the
 * look, for whoever wants it sooner, and the end of looking.
 */
export function keepCertificate(
  server: Pick<Server, 'setSecureContext'>,
  first: Certificate,
  settings: Needs,
  { now, tell, every = LOOKED_AT_EVERY_MS }: { now: () => Date; tell: (line: object) => void; every?: number },
): { look(machine?: readonly string[]): Promise<void>; end(): void } {
  let known = first;
  const warned = new Set(first.warnings);
  const look = async (machine?: readonly string[]): Promise<void> => {
    try {
      const found = await certificateOf(settings, now(), machine && [...machine]);
      for (const warning of found.warnings) if (!warned.has(warning)) tell({ time: now().toISOString(), warning });
      for (const warning of found.warnings) warned.add(warning);
      if (found.pair.cert === known.pair.cert && found.pair.key === known.pair.key) return;
      server.setSecureContext({ ...found.pair, minVersion: 'TLSv1.2' });
      known = found;
      tell({ time: now().toISOString(), certificate: 'another is in use from now on' });
    } catch (error) {
      // The one in use goes on.
      tell({ time: now().toISOString(), warning: error instanceof Error ? error.message : String(error) });
    }
  };
  const timer = setInterval(() => void look(), every);
  timer.unref();
  return { look, end: () => clearInterval(timer) };
}
