import { JobFile } from '../resolve/facts.ts';
import type { Jobs } from '../store/jobs.ts';
import body from './demo/48198.json' with { type: 'json' };
import tyres from './demo/48201.json' with { type: 'json' };
import throttle from './demo/48207.json' with { type: 'json' };
import glass from './demo/48213.json' with { type: 'json' };
import engineModule from './demo/48224.json' with { type: 'json' };

/** Invented: shop, cars and VINs (each with a valid check digit) exist nowhere. The first comes out on top. */
export const demoJobs: readonly JobFile[] = [glass, throttle, body, tyres, engineModule].map((job) =>
  JobFile.parse(job),
);

/** Puts the invented jobs in, unless any job is there: a shop's own data is never mixed with them, nor are they put in twice. */
export async function seedDemo(jobs: Jobs, rules: string, now: Date): Promise<void> {
  if ((await jobs.list()).length > 0) return;
  for (const [i, job] of demoJobs.entries()) {
    const age = i * 40 * 60_000;
    await jobs.put(job, rules, new Date(now.getTime() - age).toISOString(), 0);
  }
}
