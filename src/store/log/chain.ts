import { canonical, sha256 } from './canonical.ts';
import { count, type Flaw, type Head } from './contract.ts';
import { type Standing, standingAfter } from './standing.ts';
import { sealedIn, type Sealed, type Secret, secretHash } from './seal.ts';
import type { Tables } from './tables.ts';

type Row = Tables['record_events'];
/** A job as it lies in the database or in an exported file. */
export interface Chain {
  readonly job: string;
  readonly head: Pick<Head, 'version' | 'hash' | 'status' | 'rulebook'> | undefined;
  /** By number. */
  readonly rows: readonly Row[];
  readonly secrets: ReadonlyMap<string, Secret>;
}

export const BEFORE_FIRST = '0'.repeat(64);

/** SHA-256 over the canonical JSON of one link: its job, number, time, event and the link before. */
export function linkHash({ job, number, kept, event, previous }: Omit<Row, 'hash' | 'id'>): string {
  // The event's text is canonical already; parsed and written again it is the same, so it may stand as it is.
  return sha256(
    `{"event":${event},"job":${canonical(job)},"kept":${canonical(kept)},"number":${number},"previous":"${previous}"}`,
  );
}

/** Everything that is not as it was written, each with the event where it shows. */
export function flawsOf(chain: Chain): Flaw[] {
  const { job, head, rows, secrets } = chain;
  const flaws: Flaw[] = [];
  const say = (number: number, kind: Flaw['kind'], what: string) =>
    flaws.push({ job, number, kind, says: `job ${job}${number > 0 ? `, event ${number}` : ''}: ${what}` });
  rows.forEach((row, at) => ofLink(row, at, rows[at - 1], say));
  for (const secret of secrets.values()) ofSecret(secret, rows, say);
  rows.forEach((row) => ofFields(row, secrets, say));
  ofHead(head, rows, say);
  return flaws;
}

type Say = (number: number, kind: Flaw['kind'], what: string) => void;

function ofLink(row: Row, at: number, before: Row | undefined, say: Say): void {
  const { number } = row;
  const last = before?.number ?? 0;
  if (number !== last + 1)
    say(number, 'missing', `${count(number - last - 1)} before it ${number - last === 2 ? 'is' : 'are'} missing`);
  if (linkHash(row) !== row.hash)
    say(number, 'changed', 'it was changed after it was written; its hash does not match');
  else if (row.previous !== (at === 0 ? BEFORE_FIRST : before?.hash))
    say(
      number,
      'link',
      at === 0
        ? 'it is not where the chain begins; what stood before it is missing'
        : `the link from event ${last} is broken: event ${last} was replaced, or events between were taken out`,
    );
  if (idOf(row) !== row.id) say(number, 'changed', `it is filed under the id ${row.id}, which is not its own`);
}

function ofSecret(secret: Secret, rows: readonly Row[], say: Say): void {
  if (secret.value === null && secret.salt === null) return;
  if (secret.value !== null && secret.salt !== null && secretHash(secret.salt, secret.value) === secret.hash) return;
  const where = rows.find((row) => row.event.includes(secret.hash))?.number ?? 0;
  say(where, 'personal', 'a personal field was changed after it was written; its hash does not match');
}

function ofFields(row: Row, secrets: ReadonlyMap<string, Secret>, say: Say): void {
  const event = parsed(row);
  if (!event) return say(row.number, 'unreadable', 'its text is no JSON');
  for (const hash of sealedIn(event))
    if (!secrets.has(hash)) say(row.number, 'personal', `its personal field ${hash.slice(0, 12)} is missing`);
}

function ofHead(head: Chain['head'], rows: readonly Row[], say: Say): void {
  const last = rows.at(-1);
  if (!head) return say(0, 'head', 'it has events and is not on the list of jobs');
  if (!last) return say(0, 'head', `${count(head.version)} should be there, and none is`);
  if (head.version > last.number)
    say(last.number, 'missing', `it is the last one there, and ${count(head.version)} should be: the end was cut off`);
  else if (head.version < last.number || head.hash !== last.hash)
    say(last.number, 'head', `the list of jobs says event ${head.version} is the last, with another hash or number`);
  else {
    const is = rows.reduce<Standing | undefined>((sofar, row) => standingAfter(parsed(row) ?? {}, sofar), undefined);
    if (is && (is.status !== head.status || is.rulebook !== head.rulebook))
      say(last.number, 'head', `the list of jobs says it is ${head.status}, and its events say ${is.status}`);
  }
}

function idOf(row: Row): unknown {
  return parsed(row)?.id;
}

export function parsed(row: Pick<Row, 'event'>): Sealed | undefined {
  try {
    const event: unknown = JSON.parse(row.event);
    return typeof event === 'object' && event !== null ? (event as Sealed) : undefined;
  } catch {
    return undefined;
  }
}
