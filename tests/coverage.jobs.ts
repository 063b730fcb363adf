import type { Did } from '../src/rulebook/schema.ts';
import { numbers, rulebook } from './real-rulebook.ts';

/** A job as written up: one to six lines over all parts, a car of any maker and year, some of its traits told. */
export interface SeededJob {
  readonly ro: string;
  readonly vehicle: {
    readonly maker: string;
    readonly modelYear: number;
    readonly market: string;
    readonly class: 'car';
    readonly gvwrKg: number;
    readonly traits: Readonly<Record<string, string>>;
  };
  readonly work: readonly { readonly part: string; readonly did: Did; readonly at?: string }[];
}

const SEED = 20_261_125;

/** A hundred jobs, the same in every run on the same tables: over parts, makers and model years. */
export function seededJobs(count = 100): SeededJob[] {
  const next = numbers(SEED);
  const pick = <T>(list: readonly T[]): T => list[Math.floor(next() * list.length)] as T;
  const parts = [...rulebook.parts.values()];
  const makers = [...rulebook.makers.keys()];
  return Array.from({ length: count }, (_, i) => {
    const work = Array.from({ length: 1 + Math.floor(next() * 6) }, () => {
      const part = pick(parts);
      const at = part.text.at ?? [];
      return {
        part: part.id,
        did: pick<Did>(part.text.did ?? ['replaced']),
        ...(at.length > 0 && next() < 0.8 ? { at: pick(at) } : {}),
      };
    });
    const told = next();
    const traits = Object.fromEntries(
      [...rulebook.traits]
        .filter(([, row]) => row.values && next() < told)
        .map(([id, row]) => [id, pick(Object.keys(row.values ?? {}))]),
    );
    const vehicle = {
      maker: pick(makers),
      modelYear: 1996 + Math.floor(next() * 31),
      market: pick(['us', 'us-ca', 'eu', 'gb', 'jp', 'au']),
      class: 'car' as const,
      gvwrKg: 1400 + Math.floor(next() * 1800),
      traits,
    };
    return { ro: String(i + 1), vehicle, work };
  });
}
