import { readdirSync, readFileSync } from 'node:fs';
import { type Facts, readFacts } from '../src/resolve/facts.ts';
import { printFault } from '../src/rulebook/fault.ts';
import { loadRulebook } from '../src/rulebook/load.ts';
import type { Rulebook } from '../src/rulebook/rulebook.ts';
import type { Did } from '../src/rulebook/schema.ts';

const RULES = new URL('../rules/', import.meta.url);

/** The project's own rulebook, as files and loaded. */
export const ruleFiles: ReadonlyMap<string, string> = new Map(
  readdirSync(RULES, { recursive: true })
    .map(String)
    .filter((file) => file.endsWith('.json'))
    .map((file) => [file, readFileSync(new URL(file, RULES), 'utf8')]),
);

export const { rulebook, faults } = loadRulebook(ruleFiles);

/** A number from 0 up to 1, the same run for the same seed (mulberry32, public domain, T. Ettinger). */
export function numbers(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296;
  };
}

export interface RandomJob {
  readonly ro: string;
  readonly vehicle: {
    readonly maker?: string;
    readonly model?: string;
    readonly modelYear?: number;
    readonly traits: Readonly<Record<string, string>>;
  };
  readonly work: readonly { readonly part: string; readonly did: Did; readonly at?: string | readonly string[] }[];
  readonly 'work-done': boolean;
}

/** A job of one to six lines on a car of which most is known; not a likely one, but one that may be written up. */
export function randomJob(next: () => number, book: Rulebook = rulebook): RandomJob {
  const pick = <T>(list: readonly T[]): T => list[Math.floor(next() * list.length)] as T;
  const parts = [...book.parts.values()];
  const work = Array.from({ length: 1 + Math.floor(next() * 6) }, () => {
    const part = pick(parts);
    const at = part.text.at ?? [];
    return {
      part: part.id,
      did: pick<Did>(part.text.did ?? ['replaced']),
      ...(at.length > 0 && next() < 0.7 ? { at: pick(at) } : {}),
    };
  });
  const traits = Object.fromEntries(
    [...book.traits]
      .filter(([, row]) => row.values && next() < 0.8)
      .map(([id, row]) => [id, pick(Object.keys(row.values ?? {}))] as const),
  );
  const makers = [
    'toyota',
    'lexus',
    'nissan',
    'honda',
    'chevrolet',
    'pontiac',
    'ford',
    'mazda',
    'kia',
    'hyundai',
    'audi',
    'volkswagen',
    'bmw',
    'subaru',
    'tesla',
  ];
  const car = {
    ...(next() < 0.9 ? { maker: pick(makers) } : {}),
    ...(next() < 0.8 ? { modelYear: 1998 + Math.floor(next() * 28) } : {}),
  };
  return { ro: '1', vehicle: { ...car, traits }, work, 'work-done': next() < 0.3 };
}

export function mustRead(job: unknown, book: Rulebook = rulebook): Facts {
  const { facts, faults: found } = readFacts(job, book);
  if (!facts) throw new Error(found.map(printFault).join('\n'));
  return facts;
}
