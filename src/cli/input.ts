import { createReadStream } from 'node:fs';
import { stat } from 'node:fs/promises';
import { type Fault, printFault } from '../rulebook/fault.ts';
import { near, parseJson } from '../rulebook/read.ts';
import type { FollowUp, Rulebook } from '../rulebook/rulebook.ts';
import { type Facts, readFacts } from '../resolve/facts.ts';

/** Input that nothing can be done with: exit code 2, with every fault told at once. */
export class Unusable extends Error {
  constructor(readonly faults: readonly Fault[]) {
    super(faults.map(printFault).join('\n'));
  }
}

export const MOST_BYTES = 5_000_000;

/** A job from a file, or from standard input for "-", checked against the rulebook. Throws Unusable. */
export async function readJob(path: string, rulebook: Rulebook): Promise<Facts> {
  const file = path === '-' ? 'standard input' : path;
  const faults: Fault[] = [];
  const value = parseJson(file, await readText(path), faults);
  if (faults.length > 0) throw new Unusable(faults);
  const read = readFacts(value, rulebook, file);
  if (!read.facts) throw new Unusable(read.faults);
  return read.facts;
}

/** Text of a file, or of standard input for "-". Refuses over `most` before it reads on, and what is not UTF-8. */
export async function readText(path: string, most: number = MOST_BYTES): Promise<string> {
  if (path === '-') return decode('standard input', await take(process.stdin, 'standard input', most));
  const found = await stat(path).catch((error: NodeJS.ErrnoException) => refuse(path, reason(error)));
  if (found.isDirectory()) refuse(path, 'is a folder', 'name one file in it');
  if (found.size > most) refuse(path, tooLarge(most, found.size));
  const stream = createReadStream(path);
  return decode(
    path,
    await take(stream, path, most).catch((error: NodeJS.ErrnoException) =>
      error instanceof Unusable ? Promise.reject(error) : refuse(path, reason(error)),
    ),
  );
}

async function take(stream: AsyncIterable<Buffer | string>, file: string, most: number): Promise<Buffer> {
  const chunks: Buffer[] = [];
  let size = 0;
  for await (const chunk of stream) {
    const bytes = typeof chunk === 'string' ? Buffer.from(chunk) : chunk;
    size += bytes.length;
    if (size > most) refuse(file, tooLarge(most));
    chunks.push(bytes);
  }
  return Buffer.concat(chunks);
}

function decode(file: string, bytes: Buffer): string {
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    return refuse(file, 'is not UTF-8 text', 'save it as UTF-8');
  }
}

function tooLarge(most: number, size?: number): string {
  const much = size === undefined ? '' : ` (${(size / 1e6).toFixed(1)} MB)`;
  return `is too large to be one of ours${much}: the most is ${most / 1e6} MB`;
}

export function reason(error: NodeJS.ErrnoException): string {
  if (error.code === 'ENOENT' || error.code === 'ENOTDIR') return 'no such file';
  if (error.code === 'EACCES' || error.code === 'EPERM') return 'may not be read';
  return `can not be read (${error.code ?? error.message})`;
}

export function refuse(file: string, message: string, hint?: string): never {
  throw new Unusable([{ file, pointer: '', message, ...(hint === undefined ? {} : { hint }) }]);
}

/** Throws Unusable, with the nearest id, where the rulebook has no such follow-up. */
export function followUpCalled(id: string, rulebook: Rulebook): FollowUp {
  const found = rulebook.followUps.get(id);
  if (found) return found;
  throw new Unusable([
    { file: 'FOLLOW-UP', pointer: '', message: 'unknown follow-up', value: id, ...near(id, rulebook.followUps.keys()) },
  ]);
}
