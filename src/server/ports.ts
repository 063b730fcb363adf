import { createServer as overTls } from 'node:https';
import { type AddressInfo, isIP } from 'node:net';
import { serve, type ServerType } from '@hono/node-server';
import { CannotServe } from './cannot-serve.ts';
import type { Settings } from './config-settings.ts';
import type { Fetch } from './sites.ts';
import { type Certificate, namedHosts } from './tls/certificate.ts';
import { inAddress, machineAddresses } from './tls/names.ts';

/** Opens a port: with TLS where there is a certificate. Throws CannotServe. */
export function listen(fetch: Fetch, settings: Settings, certificate?: Certificate): Promise<ServerType> {
  const { port, network } = settings;
  const hostname = settings.listen ?? (network ? undefined : '127.0.0.1');
  const tls = certificate && {
    createServer: overTls,
    serverOptions: { ...certificate.pair, minVersion: 'TLSv1.2' as const },
  };
  return new Promise((resolve, reject) => {
    const server = serve({ fetch, port, ...(hostname === undefined ? {} : { hostname }), ...tls }, () =>
      resolve(server),
    );
    server.once('error', (error: NodeJS.ErrnoException) => reject(explain(error, port, hostname)));
  });
}

function explain(error: NodeJS.ErrnoException, port: number, address = ''): Error {
  if (error.code === 'EADDRINUSE')
    return new CannotServe(`port ${port} is taken by another program; choose another with --port N`);
  if (error.code === 'EACCES')
    return new CannotServe(`port ${port} needs rights you do not have; choose one above 1023 with --port N`);
  if (error.code === 'EADDRNOTAVAIL')
    return new CannotServe(`listen: ${address} is no address of this machine; it has ${machineAddresses().join(', ')}`);
  return error;
}

/** Lets nothing new in and waits for what is open; once `done`, that is given two seconds to take its answer. */
export function closeServer(server: ServerType, done: Promise<unknown> = Promise.resolve()): Promise<void> {
  return new Promise((resolve, reject) => {
    server.close((error) => (error ? reject(error) : resolve()));
    if ('closeIdleConnections' in server) server.closeIdleConnections();
    // A page that keeps its connection busy must not keep the process alive.
    const force = () => 'closeAllConnections' in server && server.closeAllConnections();
    void done.then(() => setTimeout(force, 2000).unref());
  });
}

export function portOf(server: ServerType): number {
  return (server.address() as AddressInfo).port;
}

export function urlOf(settings: Settings, host: string, port: number): string {
  // What ends TLS in front has an address and a port that only whoever set it up knows.
  if (settings.proxies.length > 0 && isIP(host) === 0) return `https://${host}/`;
  return `${isSecure(settings) ? 'https' : 'http'}://${inAddress(host)}:${port}/`;
}

/** A name by which a tablet finds this machine. */
export function likeliest(settings: Settings): string {
  return namedHosts(settings)[0] ?? machineAddresses()[0] ?? 'localhost';
}

export function isSecure({ network, plain }: Settings): boolean {
  return network && !plain;
}
