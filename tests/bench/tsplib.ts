import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { Matrix } from '../../src/sequence/matrix.ts';

export interface Instance {
  readonly name: string;
  readonly cost: Matrix;
  readonly before: readonly (readonly [number, number])[];
}

export interface Published {
  readonly best: number;
  readonly optimal: boolean;
  readonly lowerBound?: number;
}

/** The folder of instances, or undefined where it is not there. */
export function instanceFolder(): string | undefined {
  const bench = process.env['LASTBOLT_BENCH'] ?? fileURLToPath(new URL('../../../shared/bench', import.meta.url));
  return existsSync(`${bench}/sop/best-known.json`) ? `${bench}/sop` : undefined;
}

export function instanceNames(folder: string): string[] {
  return readdirSync(folder)
    .filter((file) => file.endsWith('.sop'))
    .map((file) => file.slice(0, -4))
    .sort();
}

export function readInstance(folder: string, name: string): Instance {
  return parse(name, readFileSync(`${folder}/${name}.sop`, 'utf8'));
}

export function published(folder: string): Record<string, Published> {
  const { instances } = JSON.parse(readFileSync(`${folder}/best-known.json`, 'utf8'));
  return instances as Record<string, Published>;
}

/**
 * TSPLIB's format for the sequential ordering problem (G. Reinelt, TSPLIB 95): after EDGE_WEIGHT_SECTION the number of
 * nodes, then the full matrix by rows; -1 in row i, column j says that j comes before i.
 */
export function parse(name: string, text: string): Instance {
  const [, section] = text.split('EDGE_WEIGHT_SECTION');
  if (section === undefined) throw new Error(`${name}: no EDGE_WEIGHT_SECTION`);
  const [count, ...numbers] = section.split('EOF')[0]!.trim().split(/\s+/).map(Number);
  if (!count || numbers.length !== count * count || !numbers.every(Number.isInteger)) {
    throw new Error(`${name}: ${numbers.length} entries do not make a matrix of ${count} rows`);
  }
  const rows = Array.from({ length: count }, (_, row) => numbers.slice(row * count, (row + 1) * count));
  const before = rows.flatMap((row, after) =>
    row.flatMap((entry, first) => (entry === -1 ? [[first, after] as const] : [])),
  );
  return { name, cost: rows.map((row) => row.map((entry) => Math.max(0, entry))), before };
}
