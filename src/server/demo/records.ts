import { JobFile } from '../../resolve/facts.ts';
import type { Kept } from '../../store/open.ts';
import { DEMO_FOREMAN, DEMO_TECHNICIAN, DEMO_TECHNICIAN_2, DEMO_DESK } from './people.ts';
import { demoPicture } from './picture.ts';
import brakes from './records/48152.json' with { type: 'json' };
import steering from './records/48167.json' with { type: 'json' };
import glass from './records/48181.json' with { type: 'json' };
import again from './records/48190.json' with { type: 'json' };
import { Teller } from './teller.ts';

const HOUR = 60;
const DAY = 24 * HOUR;

type Story = (tell: Teller, now: Date) => void;

/** Invented jobs on record: how many minutes ago each began, and what happened since. */
const STORIES: readonly { readonly ago: number; readonly tell: Story }[] = [
  { ago: 9 * DAY, tell: released },
  { ago: 7 * HOUR, tell: toBeChecked },
  { ago: 4 * HOUR, tell: underWay },
  { ago: 50, tell: cameBack },
];

/** Tells them all into an empty record. */
export async function seedRecords({ log, rulebooks }: Kept, now: Date): Promise<void> {
  const rulebook = await rulebooks.rulebook(rulebooks.inForce.version);
  if (!rulebook) throw new Error('the rulebook in force can not be read');
  const picture = await log.putPhoto(demoPicture, 'image/png');
  for (const { ago, tell } of STORIES) {
    const teller = new Teller(rulebook, now.getTime() - ago * 60_000, picture);
    tell(teller, now);
    await log.append(teller.job.ro, 0, teller.events);
  }
}

function released(tell: Teller): void {
  tell.open(DEMO_DESK, JobFile.parse(brakes));
  workOn(tell, DEMO_TECHNICIAN);
  tell.finish(DEMO_TECHNICIAN, DEMO_FOREMAN);
  tell.check(DEMO_FOREMAN);
  tell.say(DEMO_FOREMAN, { type: 'released' });
}

function toBeChecked(tell: Teller): void {
  tell.open(DEMO_DESK, JobFile.parse(steering));
  workOn(tell, DEMO_TECHNICIAN_2);
  tell.finish(DEMO_TECHNICIAN_2, DEMO_FOREMAN);
}

/** Some steps took, one did not, one is with another firm, and a wait runs. */
function underWay(tell: Teller, now: Date): void {
  tell.open(DEMO_DESK, JobFile.parse(glass));
  workOn(tell, DEMO_TECHNICIAN, now.getTime() - 40 * 60_000);
  const [wait, registration, stuck, aim] = ['wait', 'registration', 'initialisation', 'calibration'].map((kind) =>
    tell.readyOf(kind),
  ) as [string, string, string, string];
  tell.do(DEMO_TECHNICIAN, registration);
  tell.say(DEMO_TECHNICIAN, { type: 'did-not-take', step: stuck, why: 'the tool gave up before it was through' });
  const on = now.toISOString().slice(0, 10);
  tell.say(DEMO_FOREMAN, { type: 'sent-out', step: aim, firm: 'Straightline Aiming (invented)', on });
  tell.to(now.getTime() - 12 * 60_000);
  tell.begin(DEMO_TECHNICIAN, wait);
}

/** The first of them, nine days later. */
function cameBack(tell: Teller): void {
  const old = { ro: brakes.ro, rulebook: tell.rulebook.version };
  const complaint = 'brake warning message came on again on the motorway, handbrake feels weak, squeak from the rear';
  tell.open(DEMO_DESK, JobFile.parse(again), { old, complaint });
}

/** Looks the car over, does what comes before the work, and then the work: it is done no sooner than `done`. */
function workOn(tell: Teller, by: string, done = 0): void {
  tell.answerAll(by);
  for (let step = tell.ready[0]; step !== undefined; step = tell.ready[0]) tell.do(by, step);
  tell.pass(20);
  tell.to(done);
  tell.say(by, { type: 'work-done' });
}
