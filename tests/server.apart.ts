import { startServer, type ServeOptions } from '../src/server/serve.ts';

/**
 * A server in a process of its own: `tsx tests/server.apart.ts OPTIONS`, the options as JSON. Says in one line of JSON
 * where it is, and ends on SIGTERM.
 */
const server = await startServer({ ...(JSON.parse(process.argv[2] ?? '{}') as ServeOptions), tell: () => undefined });
const { url, sites, firstCode, trust, warnings } = server;
console.log(JSON.stringify({ url, sites, firstCode, trust, warnings }));
process.once('SIGTERM', () => void server.close());
