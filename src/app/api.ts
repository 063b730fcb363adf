import type { z } from 'zod';
import type { Command } from '../job/commands.ts';
import { Answered, Served, Summaries, type Summary } from '../job/exchange.ts';
import type { JobFile } from '../resolve/facts.ts';
import type { RuleBundle } from './book.ts';

/** A job as the server keeps it. */
export interface ServedJob {
  readonly job: JobFile;
  readonly revision: number;
  readonly updated: string;
}

/** The server was there and refused; the message is its own sentence. */
export class Refused extends Error {
  constructor(
    message: string,
    readonly status: number,
    readonly current: ServedJob | undefined,
  ) {
    super(message);
  }
}

export async function fetchRules(): Promise<RuleBundle> {
  return (await ask('/api/rules')) as RuleBundle;
}

export async function fetchRulesOf(version: string): Promise<RuleBundle> {
  return (await ask(`/api/rules/${encodeURIComponent(version)}`)) as RuleBundle;
}

export async function fetchJobs(): Promise<readonly ServedJob[]> {
  return ((await ask('/api/jobs')) as { jobs: ServedJob[] }).jobs;
}

/** One page of the records that stand so; `after` = where the last page ended. */
export async function fetchSummaries(
  status: 'open' | 'ended',
  after: string | null,
  by: Ask = ask,
): Promise<z.infer<typeof Summaries>> {
  const behind = after === null ? '' : `&after=${encodeURIComponent(after)}`;
  return Summaries.parse(await by(`/api/records?status=${status}${behind}`));
}

/** Every record that is open. */
export async function fetchOpenRecords(by: Ask = ask): Promise<Summary[]> {
  const all: Summary[] = [];
  let after: string | null = null;
  do {
    const page: z.infer<typeof Summaries> = await fetchSummaries('open', after, by);
    all.push(...page.records);
    after = page.next;
  } while (after !== null);
  return all;
}

/** A record behind its `from`-th event. Throws Refused, with status 404 where there is none. */
export async function fetchRecord(ro: string, from: number, by: Ask = ask): Promise<Served> {
  return Served.parse(await by(`/api/records/${encodeURIComponent(ro)}?from=${from}`));
}

/** `version` = how many events are here. */
export async function sendCommands(
  ro: string,
  version: number,
  commands: readonly Command[],
  token: string,
  by: Ask = ask,
): Promise<Answered> {
  const headers = { 'content-type': 'application/json', 'x-version': String(version), 'x-token': token };
  const body = JSON.stringify({ commands });
  return Answered.parse(await by(`/api/records/${encodeURIComponent(ro)}`, { method: 'POST', headers, body }));
}

export async function sendPhoto(blob: Blob, token: string, by: Ask = ask): Promise<void> {
  const headers = { 'content-type': blob.type, 'x-token': token };
  await by('/api/photos', { method: 'POST', headers, body: blob });
}

/** Throws Refused with the job as it stands, if somebody else changed it since `revision`. */
export async function sendJob(job: JobFile, revision: number, rules: string, token: string): Promise<ServedJob> {
  return (await ask(`/api/jobs/${encodeURIComponent(job.ro)}`, {
    method: 'PUT',
    headers: { 'content-type': 'application/json', 'if-match': `"${revision}"`, 'x-rules': rules, 'x-token': token },
    body: JSON.stringify(job),
  })) as ServedJob;
}

/** Strikes a job off. Throws Refused with the job as it stands, if somebody else changed it since `revision`. */
export async function strikeJob(ro: string, revision: number, token: string): Promise<void> {
  await ask(`/api/jobs/${encodeURIComponent(ro)}`, {
    method: 'DELETE',
    headers: { 'if-match': `"${revision}"`, 'x-token': token },
  });
}

/** Rejects with Refused where the server answered no, with a TypeError where it did not answer. */
export type Ask = (path: string, init?: RequestInit) => Promise<unknown>;

export const ask: Ask = askOver((path, init) => fetch(path, init));

/** Asks by another way than the browser's own. */
export function askOver(send: (path: string, init?: RequestInit) => Promise<Response>): Ask {
  return async (path, init) => {
    const response = await send(path, init);
    const body: unknown = await response.json().catch(() => undefined);
    if (response.ok) return body;
    const { error, current } = (body ?? {}) as { error?: string; current?: ServedJob };
    throw new Refused(error ?? `the server answered ${response.status}`, response.status, current);
  };
}
