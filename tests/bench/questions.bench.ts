import { checklist } from '../../src/checklist.ts';
import type { Facts } from '../../src/resolve/facts.ts';
import { choicesOf } from '../../src/resolve/questions.ts';
import { resolve } from '../../src/resolve/resolve.ts';
import type { Part } from '../../src/rulebook/rulebook.ts';
import type { Did } from '../../src/rulebook/schema.ts';
import { mustRead, numbers, rulebook } from '../real-rulebook.ts';
import type { Row } from './run.ts';

export const name = 'questions';

const JOBS = 50;
const SEED = 20_261_125;
/** Taps that the middle and the ninetieth job may take until nothing that can hurt someone is undecided. */
const MOST = { median: 2, p90: 6 };

interface Taps {
  readonly job: string;
  readonly safety: number;
  readonly undecided: number;
  readonly all: number;
}

/** Jobs on cars of which only what a VIN and the law say is known; always the first question is answered, one tap each. */
export function run(): Row[] {
  const next = numbers(SEED);
  const taps = Array.from({ length: JOBS }, (_, i) => tapsOf(jobOf(next), i));
  const safety = quantiles(taps.map((t) => t.safety));
  if (safety.median > MOST.median || safety.p90 > MOST.p90)
    throw new Error(
      `median ${safety.median}, p90 ${safety.p90} taps to no undecided safety item; ${MOST.median} and ${MOST.p90} allowed`,
    );
  const worst = [...taps].sort((a, b) => b.all - a.all || b.safety - a.safety).slice(0, 5);
  return [
    { taps: 'to no undecided safety item', ...safety },
    { taps: 'to nothing undecided', ...quantiles(taps.map((t) => t.undecided)) },
    { taps: 'to no open question (ways, levels and order too)', ...quantiles(taps.map((t) => t.all)) },
    ...worst.map((t) => ({ taps: `${t.safety}, ${t.undecided}, ${t.all}: ${t.job}` })),
  ];
}

interface Job {
  readonly ro: string;
  readonly vehicle: {
    readonly maker: string;
    readonly modelYear: number;
    readonly traits?: Readonly<Record<string, string>>;
  } & Readonly<Record<string, unknown>>;
  readonly answers?: Readonly<Record<string, string>>;
  readonly work: readonly { readonly part: string; readonly did: Did; readonly at?: string }[];
}

const MAKERS = [
  'audi',
  'bmw',
  'chevrolet',
  'ford',
  'honda',
  'hyundai',
  'jeep',
  'kia',
  'mazda',
  'nissan',
  'opel',
  'subaru',
  'toyota',
  'volkswagen',
  'volvo',
];

/** Common work, named here so that the jobs stay the same while the tables grow. */
const PARTS = `
  battery-12v windscreen front-bumper rear-bumper tie-rod-end control-arm strut wheel-bearing
  brake-pads brake-disc brake-caliper brake-hydraulic-unit steering-rack clockspring steering-wheel wheel-alignment
  throttle-body engine-control-module spark-plugs ignition-coil oxygen-sensor airflow-sensor cam-sensor crank-sensor
  fuel-injector fuel-pump-tank particulate-filter egr-valve turbocharger glow-plug engine engine-oil
  engine-coolant radiator thermostat water-pump timing-drive cylinder-head starter-motor alternator
  clutch transmission transmission-fluid valve-body transmission-control-module body-control-module instrument-cluster key
  headlamp front-radar forward-camera blind-spot-radar door-mirror parking-sensor front-seat driver-airbag
  airbag-module window-regulator door-glass sunroof tailgate climate-flap-motor tyre tyre-rotation
  tyre-pressure-sensor wheel-speed-sensor subframe instrument-panel high-voltage-battery inverter
`
  .trim()
  .split(/\s+/);

/** One to four lines, places told as on most repair orders. */
export function jobOf(next: () => number): Job {
  const pick = <T>(list: readonly T[]): T => list[Math.floor(next() * list.length)] as T;
  const work = Array.from({ length: 1 + Math.floor(next() * 4) }, () => {
    const part = rulebook.parts.get(pick(PARTS)) as Part;
    const did = pick<Did>((part.text.did ?? ['replaced']).filter((d, _, all) => d !== 'inspected' || all.length === 1));
    const at = part.text.at ?? [];
    return { part: part.id, did, ...(at.length > 0 && next() < 0.8 ? { at: pick(at) } : {}) };
  });
  const vehicle = {
    maker: pick(MAKERS),
    modelYear: 2006 + Math.floor(next() * 20),
    market: pick(['us', 'us', 'eu']),
    class: 'car',
    gvwrKg: 1500 + Math.floor(next() * 1500),
  };
  return { ro: '1', vehicle, work };
}

function tapsOf(start: Job, seed: number): Taps {
  let job = start;
  const taps = { safety: 0, undecided: 0, all: 0 };
  for (let tap = 0; ; tap++) {
    const facts = mustRead(job);
    const list = checklist(facts, rulebook);
    if (list.undecided.some((u) => u.safety)) taps.safety = tap + 1;
    if (list.undecided.length > 0) taps.undecided = tap + 1;
    const question = list.questions.find((q) => q.answered === undefined);
    if (!question) {
      if (list.undecided.length > 0)
        throw new Error(`nothing left to ask, and undecided: ${list.undecided.map((u) => u.followUp).join(', ')}`);
      return { job: lines(start), ...taps, all: tap };
    }
    job = answered(job, question.id, answerOn(facts, question.id, seed));
  }
}

/** The same car gives the same answer to a question, whenever it is asked. */
export function answerOn(facts: Facts, id: string, seed: number): string {
  const choices = choicesOf(resolve(facts, rulebook), id);
  const hash = [...`${seed}/${id}`].reduce((sum, c) => Math.imul(sum ^ c.charCodeAt(0), 16_777_619), 2_166_136_261);
  return choices[Math.floor(numbers(hash)() * choices.length)] as string;
}

/** As the app writes it down, so that the law hears of it too. */
export function answered(job: Job, id: string, value: string): Job {
  if (id.includes(':')) return { ...job, answers: { ...job.answers, [id]: value } };
  if (id === 'model') return { ...job, vehicle: { ...job.vehicle, model: value.trim() } };
  return { ...job, vehicle: { ...job.vehicle, traits: { ...job.vehicle.traits, [id]: value } } };
}

function lines({ vehicle, work }: Job): string {
  return `${vehicle.maker} ${vehicle.modelYear}: ${work.map(({ part, did, at }) => [part, did, at].filter(Boolean).join(' ')).join(', ')}`;
}

function quantiles(list: readonly number[]): { median: number; p90: number; most: number } {
  const sorted = [...list].sort((a, b) => a - b);
  const at = (share: number) => sorted[Math.ceil(sorted.length * share) - 1] as number;
  return { median: at(0.5), p90: at(0.9), most: at(1) };
}
