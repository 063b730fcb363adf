import { ask, fetchRules, fetchRulesOf } from './api.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import { Live } from '../job/exchange.ts';
import { readBook, type RuleBundle } from './book.ts';
import { newId } from './ids.ts';
import { Jobs } from './jobs.ts';
import { Keep } from './keep.ts';
import { Offline } from './offline.ts';
import { Planner, Sighted } from './planner.ts';
import { Records } from './records.ts';
import type { AtTablet } from './session.ts';

/** Everything the page needs before it can show a sheet. */
export interface Started {
  readonly rulebook: Rulebook;
  /** The rules that a job is pinned to; undefined until they are here. */
  readonly rulebookOf: (version: string) => Rulebook | undefined;
  readonly planner: Planner;
  readonly jobs: Jobs;
  readonly records: Records;
  readonly keep: Keep;
  readonly offline: Offline;
  /** The server was asked once for everything, whether it answered or not. */
  readonly asked: () => boolean;
  /** Hears anew what other tablets say: a stream ends with the session that opened it. */
  readonly listen: () => void;
}

/** How soon a sheet shows what another tablet wrote on it, where nothing comes live. */
const REFRESH_MS = 20_000;

/** Opens what this tablet keeps and fetches the rules; without a server, the rules fetched last. Rejects with a sentence. */
export async function start(keep: Keep, at: AtTablet): Promise<Started> {
  const bundle = await rules(keep);
  // The worker reads the rules at the same time as the page does.
  const planner = new Planner(bundle, (version) => rulesOf(version, keep));
  const rulebook = readBook(bundle);
  const books = new Map([[rulebook.version, rulebook]]);
  const rulebookOf = (version: string): Rulebook | undefined => {
    const bundle = books.has(version) ? undefined : planner.book(version);
    if (bundle) books.set(version, readBook(bundle));
    return books.get(version);
  };
  const jobs = await Jobs.open(
    keep,
    () => rulebook.version,
    () => at.token,
    () => Date.now(),
  );
  const name = await keep.tablet(newId().slice(0, 12));
  const records = await Records.open({ keep, rulebook, at, name, now: () => new Date() });
  planner.addEventListener(Sighted.type, (event) => {
    const { state, made } = event as Sighted;
    records.sighted(state, made.sight?.sheet, made.refused);
  });
  records.addEventListener('change', () => {
    // The server strikes its written-up sheet once the record has begun.
    for (const { state } of records.all()) if (state.hash !== '' && jobs.get(state.ro)) jobs.opened(state.ro);
  });
  // What neither the tablet nor the server has is gone with the page: the browser asks first.
  window.addEventListener('beforeunload', (event) => {
    const kept = keep.keeps && !jobs.keepFails && !records.keepFails;
    if (!kept && !(jobs.allSent && records.allSent)) event.preventDefault();
  });
  // Kept only once they have been read: a tablet without a signal must not be left with rules that do not hold.
  keep.putRules(bundle).catch(() => jobs.keepFailed());
  const sync = () => Promise.all([jobs.sync(), records.sync()]);
  let asked = false;
  void sync().then(() => {
    asked = true;
    records.dispatchEvent(new Event('change'));
  });
  setInterval(() => {
    if (document.visibilityState === 'visible' && !at.locked) void sync();
  }, REFRESH_MS);
  let live: EventSource | undefined;
  const listen = (): void => {
    live?.close();
    live = hear(jobs, records, at);
  };
  listen();
  const offline = new Offline();
  void offline.begin();
  return {
    rulebook,
    rulebookOf,
    planner,
    jobs,
    records,
    keep,
    offline,
    asked: () => asked,
    listen,
  };
}

/** What other tablets say, as they say it. Where the stream does not come through, the sheets are asked for now and then. */
function hear(jobs: Jobs, records: Records, at: AtTablet): EventSource {
  const live = new EventSource('/api/live');
  live.addEventListener('message', ({ data }: MessageEvent<string>) => {
    const read = Live.safeParse(JSON.parse(data));
    if (!read.success) return;
    const told = read.data;
    if (told.type === 'draft') void jobs.sync();
    else if (told.type === 'record') void records.heard(told.ro, told.version);
    else if (told.type === 'here') records.here(told);
    else void Promise.all([jobs.sync(), records.sync()]);
  });
  live.addEventListener('ended', () => {
    live.close();
    void at.look();
  });
  return live;
}

/** Says where somebody's hands are; nothing is lost if nobody hears it. */
export function sayHere(ro: string, step: string, at: AtTablet): void {
  if (at.offline || !at.token) return;
  ask('/api/here', {
    method: 'POST',
    headers: { 'content-type': 'application/json', 'x-token': at.token },
    body: JSON.stringify({ ro, step }),
  }).catch(() => undefined);
}

async function rules(keep: Keep): Promise<RuleBundle> {
  try {
    return await fetchRules();
  } catch (error) {
    const kept = await keep.rules();
    if (kept) return kept;
    throw new Error('The rules could not be fetched, and this tablet has none from before. Is the server running?', {
      cause: error,
    });
  }
}

async function rulesOf(version: string, keep: Keep): Promise<RuleBundle> {
  const kept = await keep.rulesOf(version);
  if (kept) return kept;
  const bundle = await fetchRulesOf(version);
  void keep.putRulesOf(bundle);
  return bundle;
}
