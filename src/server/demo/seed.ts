import { JobFile } from '../../resolve/facts.ts';
import type { Kept } from '../../store/open.ts';
import body from './48198.json' with { type: 'json' };
import tyres from './48201.json' with { type: 'json' };
import throttle from './48207.json' with { type: 'json' };
import glass from './48213.json' with { type: 'json' };
import engineModule from './48224.json' with { type: 'json' };
import { seedRecords } from './records.ts';
import { DEMO_PIN, DEMO_SHOP, demoPeople } from './people.ts';

/** Invented: shop, cars and VINs (each with a valid check digit) exist nowhere. The first comes out on top. */
export const demoJobs: readonly JobFile[] = [glass, throttle, body, tyres, engineModule].map((job) =>
  JobFile.parse(job),
);

/** Puts the invented shop in where there is none, and no job: a shop's own are never mixed with it, nor is it put in twice. */
export async function seedDemo(shop: Kept, now: Date): Promise<void> {
  if (!(await isEmpty(shop))) return;
  for (const one of demoPeople) await shop.people.add({ ...one, pin: DEMO_PIN });
  const { shop: settings } = await shop.settings.get();
  await shop.settings.put({ ...settings, name: DEMO_SHOP }, { demo: true });
  await seedRecords(shop, now);
  if ((await shop.drafts.list()).length > 0) return;
  for (const [i, job] of demoJobs.entries()) {
    const age = i * 40 * 60_000;
    await shop.drafts.put(job, shop.rulebooks.inForce.version, new Date(now.getTime() - age).toISOString(), 0);
  }
}

async function isEmpty({ people, drafts, log }: Kept): Promise<boolean> {
  const drafted = await drafts.list();
  // Only invented ones: they were put in before people had to sign in.
  const own = drafted.filter(({ ro }) => !demoJobs.some((job) => job.ro === ro));
  return (await people.list()).length === 0 && own.length === 0 && (await log.heads()).length === 0;
}
