import type { Market } from '../vehicle/schema.ts';
import { type Units, wayText } from './cleared.ts';
import { type Ignition, MONITOR_TITLES, type MonitorId } from './monitors.ts';
import { incomplete, type Readiness } from './readiness.ts';

export interface StationFacts {
  /** Way is told in these; kilometres where it is left out. */
  readonly units?: Units | undefined;
  /** Where the car will be tested. */
  readonly place: Market | null;
  readonly modelYear: number | null;
  /** Left out: the layout of the replies tells spark or compression. */
  readonly fuel?: 'petrol' | 'diesel' | 'gas' | 'hybrid' | undefined;
}

export interface StationVerdict {
  /** `ready`: enough self-tests are complete; `not-ready`: too few; `fails`: the lamp, a code; `ask`: we can not tell. */
  readonly verdict: 'ready' | 'not-ready' | 'fails' | 'ask';
  /** Sentences, the deciding one first. */
  readonly because: readonly string[];
  /** Fitted, not continuous, not complete. */
  readonly incomplete: readonly MonitorId[];
  /** Those that must still complete; empty where enough are. Where any of several will do, all of them. */
  readonly wanted: readonly MonitorId[];
  readonly source: Source | null;
  readonly doubts: readonly string[];
}

export interface Source {
  readonly publisher: string;
  readonly title: string;
  readonly section: string;
  /** `copy`: a faithful public copy of the text was read; `secondary`: another publication that states the figure. */
  readonly read: 'primary' | 'copy' | 'secondary';
}

const EPA: Source = {
  publisher: 'US Environmental Protection Agency',
  title: 'Performing Onboard Diagnostic System Checks as Part of a Vehicle I/M Program, EPA420-R-01-015 (2001)',
  section: 'readiness',
  read: 'secondary',
};
const CALIFORNIA: Source = {
  publisher: 'California Bureau of Automotive Repair',
  title: '16 CCR 3340.42.2(c)(5) and the OBD test reference',
  section: 'readiness monitors',
  read: 'secondary',
};

interface Allowance {
  readonly most: number;
  /** Only these may be open; null: any. */
  readonly only: readonly MonitorId[] | null;
  readonly rule: string;
  readonly doubts: readonly string[];
}

/**
 * Whether a test station would take the car, by place and model year. Says `ask` wherever no figure was read: other
 * countries, other years, no reply. What can be said whatever the unknown is, is said.
 */
export function stationVerdict(readiness: Readiness, facts: StationFacts): StationVerdict {
  const open = incomplete(readiness);
  const doubts = [...readiness.doubts, ...faultDoubts(readiness)];
  const base = { incomplete: open, wanted: open, source: null };
  if (readiness.modules.length === 0)
    return { ...base, verdict: 'ask', because: ['no module told its self-tests'], doubts };
  if (readiness.monitors.every(({ continuous }) => continuous))
    return {
      ...base,
      verdict: 'ask',
      because: ['no module told of a self-test that a station counts: is the engine module among them?'],
      doubts,
    };
  const rules = rulesFor(facts, readiness.ignition ?? 'spark');
  if ('ask' in rules) return { ...base, verdict: 'ask', because: [rules.ask], doubts };
  const failing = failures(readiness, facts);
  const all = { incomplete: open, source: rules.source, doubts: [...doubts, ...rules.doubts] };
  const judged = rules.allowances.map((allowance) => ({ allowance, enough: isEnough(open, allowance) }));
  const first = judged[0] as (typeof judged)[number];
  if (facts.modelYear === null) doubts.push('the model year is not known');
  const told = [...failing.because, ...new Set(judged.map((j) => sentence(open, j.allowance, j.enough)))];
  const own = { doubts: [...all.doubts, ...failing.doubts, ...new Set(judged.flatMap((j) => j.allowance.doubts))] };
  const wanted = open.filter((id) => !(first.enough || (first.allowance.only?.includes(id) ?? false)));
  if (failing.because.length > 0) return { ...all, ...own, verdict: 'fails', because: told, wanted };
  const ask = (why: string): StationVerdict => ({
    ...all,
    ...own,
    verdict: 'ask',
    because: [why, ...told],
    wanted: open,
  });
  if (judged.some((j) => j.enough !== first.enough)) return ask('the model year decides');
  if (!first.enough) return { ...all, ...own, verdict: 'not-ready', because: told, wanted };
  // A lost line may hold the lamp or an open test: nothing is called ready over it.
  if (readiness.faults.some(({ kind }) => kind === 'broken')) return ask('a line could not be read: read it off again');
  return { ...all, ...own, verdict: 'ready', because: told, wanted };
}

function isEnough(open: readonly MonitorId[], { most, only }: Allowance): boolean {
  return open.length <= most && (only === null || open.every((id) => only.includes(id)));
}

function sentence(open: readonly MonitorId[], { rule }: Allowance, enough: boolean): string {
  const names = open.map((id) => MONITOR_TITLES[id]).join(', ');
  const have = open.length === 0 ? 'every self-test that counts is complete' : `not complete: ${names}`;
  return `${have}; ${rule}${enough ? '' : ', so a station would send it away'}`;
}

type Rules =
  | { readonly ask: string }
  | { readonly allowances: readonly Allowance[]; readonly source: Source; readonly doubts: readonly string[] };

function rulesFor({ place, modelYear, fuel }: StationFacts, ignition: Ignition): Rules {
  if (place !== 'US' && place !== 'US-CA')
    return {
      ask: `ask your station: no figure for ${place === null ? 'an unknown place' : `market ${place}`} was read`,
    };
  const diesel = fuel ? fuel === 'diesel' : ignition === 'compression';
  const doubts =
    fuel && diesel !== (ignition === 'compression')
      ? [`the car was called ${fuel}, but its replies have the ${ignition} layout`]
      : fuel
        ? []
        : [`${diesel ? 'diesel' : 'petrol'} by the layout of its replies`];
  if (modelYear !== null && modelYear < 1996)
    return { ask: 'ask your station: cars before model year 1996 need no such self-tests' };
  const found = place === 'US' ? epa(modelYear) : california(modelYear, diesel);
  if (found.length === 0)
    return { ask: `ask your station: no figure for a diesel of model year ${modelYear} was read` };
  return {
    allowances: found,
    source: place === 'US' ? EPA : CALIFORNIA,
    doubts: [...doubts, ...(place === 'US' ? EPA_DOUBTS : CALIFORNIA_DOUBTS)],
  };
}

const EPA_DOUBTS = [
  'guidance to the states, not a right: check the local programme',
  "40 CFR 85.2222 as now worded holds no number; the figures were read in a maker's service information that quotes the guidance",
];
const CALIFORNIA_DOUBTS = ["read in four reprints of the bureau's table, not on the bureau's own page"];

/** EPA420-R-01-015: a state need not reject for two open tests of model years 1996 to 2000, one from 2001. */
function epa(modelYear: number | null): Allowance[] {
  const old = { most: 2, only: null, rule: 'two may be open for model years 1996 to 2000', doubts: [] };
  const later = { most: 1, only: null, rule: 'one may be open from model year 2001', doubts: [] };
  if (modelYear === null) return [old, later];
  return [modelYear <= 2000 ? old : later];
}

const LOOSER = 'one reprint of 2015 words the diesel rule from 2007 as "fails at three or more", which is looser';

/** The bureau's table; nothing was read for diesels before 1998. */
function california(modelYear: number | null, diesel: boolean): Allowance[] {
  const rows: (Allowance & { from: number; to: number })[] = diesel
    ? [
        { from: 1998, to: 2006, most: 0, only: [], rule: 'none may be open for diesels of 1998 to 2006', doubts: [] },
        {
          from: 2007,
          to: 9999,
          most: 2,
          only: ['pm-filter', 'nmhc-catalyst'],
          rule: 'only particulate filter and hydrocarbon catalyst may be open for diesels from 2007',
          doubts: [LOOSER],
        },
      ]
    : [
        {
          from: 1996,
          to: 1999,
          most: 1,
          only: null,
          rule: 'any one may be open for model years 1996 to 1999',
          doubts: [],
        },
        {
          from: 2000,
          to: 9999,
          most: 1,
          only: ['evap'],
          rule: 'only the fuel vapour system may be open from model year 2000',
          doubts: [],
        },
      ];
  return rows.filter(({ from, to }) => modelYear === null || (modelYear >= from && modelYear <= to));
}

/** 200 miles in km. */
const PERMANENT_KM = 200 * 1.609344;
const PERMANENT_WARM_UPS = 15;

/** What fails a car whatever its self-tests say: 40 CFR 85.2207(c); 16 CCR 3340.42.2(c)(3), (4); the bureau on permanent codes, 2019. */
function failures(
  { mil, count, codes, counters }: Readiness,
  { place, modelYear, units = 'metric' }: StationFacts,
): { because: string[]; doubts: string[] } {
  const because: string[] = [];
  const doubts: string[] = [];
  if (mil)
    because.push(`the warning lamp is commanded on${count > 0 ? ` (${count} ${count === 1 ? 'code' : 'codes'})` : ''}`);
  if (place !== 'US-CA') return { because, doubts };
  if (!mil && count > 0) because.push(`${count} ${count === 1 ? 'code is' : 'codes are'} stored`);
  const permanent = codes.filter(({ kept }) => kept.includes('permanent')).map(({ code }) => code);
  if (permanent.length === 0) return { because, doubts };
  const names = permanent.join(', ');
  if (modelYear === null) doubts.push(`permanent ${names}: fails from model year 2010`);
  if (modelYear === null || modelYear < 2010) return { because, doubts };
  const driven = (counters.warmUps ?? 0) >= PERMANENT_WARM_UPS && (counters.km ?? 0) >= PERMANENT_KM;
  doubts.push(
    'that a permanent code is passed over after about 15 warm-ups and 200 miles comes from a news article and from memory',
  );
  if (driven)
    doubts.push(
      `permanent ${names} is passed over: ${counters.warmUps} warm-ups and ${wayText(counters.km ?? 0, units)} since codes were cleared`,
    );
  else because.push(`permanent ${names} is stored, which fails a car of model year 2010 or newer`);
  return { because, doubts };
}

function faultDoubts({ faults }: Readiness): string[] {
  return faults.length === 0 ? [] : [`${faults.length} ${faults.length === 1 ? 'line was' : 'lines were'} not read`];
}
