import { comeback, type Back } from '../../src/job/comeback/comeback.ts';
import { codesOf } from '../../src/job/codes.ts';
import { readReport } from '../../src/job/codes/report.ts';
import { toldOf } from '../../src/job/codes/reading.ts';
import { sightOf, type Sight } from '../../src/job/sight.ts';
import { loadRulebook } from '../../src/rulebook/load.ts';
import { readReadiness } from '../../src/scan/readiness-read.ts';
import { Runner, type Told } from '../job.run.ts';

/** An invented job on the rulebook in force, as far as it has come; what is said is said through the record. */

const raw = import.meta.glob('../../rules/**/*.json', { query: '?raw', import: 'default', eager: true });
const texts = Object.entries(raw as Record<string, string>).map(
  ([path, text]) => [path.replace('../../rules/', ''), text] as const,
);
export const rulebook = loadRulebook(new Map(texts)).rulebook;
export const types = new Set(Object.keys(rulebook.codeBook?.['failure-types'] ?? {}));

export const VIN = '1M8GDM9AXKP042788';

export const BEFORE = `Vehicle report, all modules
VIN: ${VIN}
Engine control module
 P0456 Evaporative system, very small leak  stored
Brake control module
 U3003-16 Battery voltage, below threshold  stored
 C0051-54 Steering angle sensor, missing calibration  stored
Body module
 PO42O poorly copied`;

export const AFTER = `Vehicle report, all modules
Permanent codes
 P0456 Evaporative system, very small leak
Forward camera module
 U023A-54 Image sensor, missing calibration  confirmed
Headlamp control module
 B11E0-13 Washer jet heater, circuit open  confirmed`;

// SAE J1979 $01 PID $01: no lamp; B: three continuous, done; C: catalyst, vapour, oxygen sensors, heaters fitted; D: catalyst, vapour open.
export const REPLIES = '7E8 06 41 01 00 07 65 05';

const lines: readonly Told[] = [
  { type: 'vehicle-told', vehicle: { vin: VIN, market: 'US-CA', modelYear: 2012, name: 'Halden 6' } },
  { type: 'trait-told', trait: 'engine', answer: 'petrol' },
  { type: 'trait-told', trait: 'forward-camera', answer: 'target' },
  { type: 'line-added', line: { part: 'windscreen', did: 'replaced' } },
  { type: 'line-added', line: { part: 'battery-12v', did: 'replaced' } },
];

const scanned = (when: 'before' | 'after', text: string): Told => ({
  type: 'scanned',
  when,
  codes: readReport(text, types, VIN).rows.flatMap(({ read }) => read),
});
const readiness = (when: 'before' | 'after', text: string): Told => ({
  type: 'readiness-read',
  when,
  ...(toldOf(readReadiness(text)) as object),
});

export const STAGES = {
  fresh: lines,
  before: [...lines, scanned('before', BEFORE), readiness('before', REPLIES)],
  after: [
    ...lines,
    { type: 'lamps', when: 'intake', lit: ['engine'] },
    scanned('before', BEFORE),
    { type: 'work-done' },
    scanned('after', AFTER),
    readiness('after', REPLIES),
    { type: 'lamps', when: 'release', lit: ['engine', 'airbag'] },
  ],
} as const satisfies Readonly<Record<string, readonly Told[]>>;

export class Bay {
  private readonly runner = new Runner([rulebook]);

  constructor(given: readonly Told[], opening: Told = { type: 'opened' }) {
    this.runner.must(opening);
    for (const told of given) this.runner.must(told);
  }

  /** Takes down what an element said, as the app does. */
  say(...sayings: readonly object[]): void {
    for (const saying of sayings) this.runner.must(saying as Told);
  }

  get sight(): Sight {
    return sightOf(this.runner.job, rulebook);
  }

  get seen() {
    return codesOf(this.sight, rulebook);
  }
}

/** A car that came back from a job on which the camera was aimed before the toe was set. */
export const OLD = new Bay([
  { type: 'trait-told', trait: 'forward-camera', answer: 'target' },
  { type: 'trait-told', trait: 'engine', answer: 'petrol' },
  { type: 'line-added', line: { part: 'windscreen', did: 'replaced' } },
  { type: 'line-added', line: { part: 'tie-rod-end', did: 'replaced' } },
  { type: 'work-done' },
  { type: 'not-done', step: 'steering-angle-zero', reason: 'no-tool', note: 'reads 0.8' },
]);

export const BACKS = {
  told: {
    says: 'Since you did the glass it nudges me to the right, mostly on the motorway.',
    codes: ['C0051-54'],
    days: 3,
  },
  nothing: { says: 'it rattles under the seat like a loose coin', days: 30 },
  codes: { says: '', codes: ['P0171'] },
} as const satisfies Readonly<Record<string, Back>>;

export function answer(back: Back) {
  return comeback(back, { job: OLD.sight.job }, rulebook);
}

/** The job it came back as, on which the outcome is written down. */
export function returned(back: Back): Bay {
  return new Bay([{ type: 'line-added', line: { part: 'windscreen', did: 'inspected' } }], {
    type: 'came-back',
    old: { ro: '48077', rulebook: rulebook.version },
    complaint: back.says || 'no words',
  });
}
