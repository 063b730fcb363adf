import { MONITOR_TITLES, type MonitorId } from './monitors.ts';
import { type Counters, incomplete, type Readiness } from './readiness.ts';
import { codeSource } from './meaning.ts';
import type { CodeBook, SelfTestRow } from '../rulebook/code-book.ts';

/** Clearing codes, and a lost supply: what they cost, and what then has to be driven. */

export interface ClearedLately {
  /** True: lately; false: long ago; null: no counter was read. */
  readonly lately: boolean | null;
  readonly because: string;
  /** Whose figures these are. */
  readonly source: string;
}

// California Air Resources Board, Clean Truck Check phase 2 (2025): 5 warm-ups, or 100 miles, or 200 minutes. Read in a
// test station's copy. It binds vehicles over 14,000 lb only.
const WARM_UPS = 5;
const KM = 100 * 1.609344;
const MINUTES = 200;
const LATELY_SOURCE =
  'California Air Resources Board, Clean Truck Check phase 2, for vehicles over 14,000 lb; no figure for cars was found';

/** In which a shop reads way. */
export type Units = 'metric' | 'us';

/** A way in the units of the shop; 1 mile is 1.609344 km (international yard and pound agreement, 1959). */
export function wayText(km: number, units: Units): string {
  return units === 'us' ? `${Math.round(km / 1.609344)} mi` : `${km} km`;
}

/** Whether codes were cleared a short while ago. The first counter that is there speaks: warm-ups, then way, then time. */
export function clearedLately({ warmUps, km, minutes }: Counters, units: Units = 'metric'): ClearedLately {
  const told = [
    ...(warmUps === undefined ? [] : [{ lately: warmUps < WARM_UPS, text: `${warmUps} warm-ups` }]),
    ...(km === undefined ? [] : [{ lately: km < KM, text: wayText(km, units) }]),
    ...(minutes === undefined ? [] : [{ lately: minutes < MINUTES, text: `${minutes} min of engine running` }]),
  ];
  const first = told[0];
  if (!first) return { lately: null, because: 'no counter of PID $30, $31 or $4E was read', source: LATELY_SOURCE };
  return {
    lately: first.lately,
    because: `${told.map(({ text }) => text).join(', ')} since codes were cleared`,
    source: LATELY_SOURCE,
  };
}

export interface ClearingFacts {
  /** Self-tests as they are now; left out where nobody read them. */
  readonly readiness?: Readiness | undefined;
  /** Codes that are there now. */
  readonly codes: readonly string[];
  /** Codes that are kept as permanent. */
  readonly permanent: readonly string[];
  /** True where what is there was saved, with freeze frames. */
  readonly saved: boolean;
  /** Codes that neither the work nor an open step explains. */
  readonly unexplained: readonly string[];
}

export interface Price {
  /** What clearing costs, in one paragraph. */
  readonly price: string;
  /** What it would hide; each must be settled before. */
  readonly warnings: readonly string[];
}

/** What clearing codes costs on this car, and what it would hide now. */
export function clearingPrice(facts: ClearingFacts): Price {
  const { readiness, codes, permanent, saved, unexplained } = facts;
  const parts = [testsLost(readiness)];
  if (permanent.length > 0)
    parts.push(`Permanent ${list(permanent)} ${stays(permanent)} until the car itself finds the fault gone.`);
  else parts.push('A permanent code, where the car keeps them, can not be cleared with a tool.');
  if (readiness?.mil)
    parts.push('The warning lamp goes out and is no longer evidence: write down first that it was lit.');
  const warnings = [
    ...(codes.length > 0 && !saved ? [`${list(codes)} would be gone unsaved, with freeze frames`] : []),
    ...(unexplained.length > 0
      ? [
          `${list(unexplained)} ${unexplained.length === 1 ? 'is' : 'are'} explained by nothing yet: once cleared, the fault can not be seen any more`,
        ]
      : []),
    ...(readiness?.mil && readiness.count > codes.length
      ? [`the car counts ${readiness.count} codes, ${codes.length} were read: read all modules first`]
      : []),
  ];
  return { price: parts.join(' '), warnings };
}

function testsLost(readiness: Readiness | undefined): string {
  if (!readiness || readiness.modules.length === 0) return 'All self-tests that are complete start again from nothing.';
  const done = readiness.monitors.filter(({ continuous, complete }) => !continuous && complete).map(({ id }) => id);
  if (done.length === 0) return 'No self-test that a station counts is complete, so none is lost.';
  return `${done.length} complete self-${done.length === 1 ? 'test starts' : 'tests start'} again from nothing: ${titles(done)}.`;
}

export interface SelfTestToRun {
  readonly id: MonitorId;
  readonly title: string;
  readonly wants: string;
  readonly soak: boolean;
  readonly basis: SelfTestRow['basis'];
  readonly sources: readonly string[];
}

export interface NotReadyYet {
  /** Tests that the car must run again, those that want a rest first. */
  readonly tests: readonly SelfTestToRun[];
  /** Why they start from nothing. */
  readonly because: string;
  /** For the customer's page; empty where nothing is open. */
  readonly customer: string;
  readonly doubts: readonly string[];
}

const CAUSES = {
  cleared: 'codes were cleared, and with them the self-tests',
  'power-lost': 'the supply was lost, and with it the self-tests',
  open: 'these self-tests are not complete',
} as const;
export type ResetCause = keyof typeof CAUSES;

/**
 * Which self-tests are open after codes were cleared or the supply was lost, and what they ask for in general. What was
 * read after the work speaks; without it, all that the car has, by a reading from before.
 */
export function notReadyYet(
  cause: ResetCause,
  book: CodeBook,
  readings: { before?: Readiness | undefined; after?: Readiness | undefined },
): NotReadyYet {
  const doubts: string[] = ["in general words: the maker's own drive cycle rules over them"];
  const after = readings.after && readings.after.modules.length > 0 ? readings.after : undefined;
  const fitted = readings.before?.monitors.filter((m) => !m.continuous).map((m) => m.id) ?? [];
  const open = after
    ? incomplete(after)
    : cause === 'open'
      ? readings.before
        ? incomplete(readings.before)
        : []
      : fitted;
  if (!after)
    doubts.push(
      readings.before
        ? 'not read after the work: taken from the reading before'
        : 'nobody read which self-tests the car has',
    );
  if (cause === 'power-lost' && !after)
    doubts.push('stated by one maker (battery disconnected); some cars keep them through a short loss');
  const tests = open.map((id) => toRun(id, book)).sort((a, b) => Number(b.soak) - Number(a.soak));
  return {
    tests,
    because: CAUSES[cause],
    customer: customerSentence(tests, after !== undefined || readings.before !== undefined, cause),
    doubts,
  };
}

function toRun(id: MonitorId, book: CodeBook): SelfTestToRun {
  const row = book['self-tests'][id];
  const title = MONITOR_TITLES[id];
  if (!row) return { id, title, wants: "the maker's own drive cycle", soak: false, basis: 'memory', sources: [] };
  return {
    id,
    title,
    wants: row.wants,
    soak: row.soak,
    basis: row.basis,
    sources: row.sources.map((source) => codeSource(book, source)),
  };
}

function customerSentence(tests: readonly SelfTestToRun[], known: boolean, cause: ResetCause): string {
  if (tests.length === 0 && known) return '';
  if (tests.length === 0)
    return cause === 'open'
      ? ''
      : 'Your car checks its own exhaust cleaning while you drive, and has to start these checks again. Do not take it to an emission test before some days of mixed driving.';
  const rest = tests.some(({ soak }) => soak) ? ", with some starts after a night's rest" : '';
  const what =
    tests.length === 1 ? 'One check of the exhaust cleaning is' : `${tests.length} checks of the exhaust cleaning are`;
  return `${what} not finished yet (${tests.map(({ title }) => title).join(', ')}). Your car runs them by itself in some days of mixed driving${rest}. Do not take it to an emission test before; if the warning lamp comes on, come back to us.`;
}

function titles(ids: readonly MonitorId[]): string {
  return ids.map((id) => MONITOR_TITLES[id]).join(', ');
}

function list(codes: readonly string[]): string {
  return codes.join(', ');
}

function stays(codes: readonly string[]): string {
  return codes.length === 1 ? 'stays' : 'stay';
}
