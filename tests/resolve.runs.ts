/** Cases that a property is tried on; fewer while writing, more for a hunt: RUNS=5000 npx vitest run tests/resolve */
export const RUNS = Number(process.env['RUNS'] ?? 300);

/** Milliseconds a property may take. */
export const LONG = Math.max(60_000, RUNS * 60);
