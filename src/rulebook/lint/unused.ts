import { pointer } from '../fault.ts';
import type { Rulebook } from '../rulebook.ts';
import { workMentions } from './mentions.ts';
import type { Lint } from './lint.ts';
import { rowsOf } from './names.ts';

/** Rows of the tables that nothing uses: often a misspelt name, sometimes work not yet written. */

export const usedRows: Lint = {
  id: 'used-row',
  scope: 'tables',
  says: 'something uses every row of parts.json, traits.json, states.json and sources.json',
  severity: 'remark',
  exceptions: [],
  *check(rulebook, files) {
    const used: Record<string, Set<string>> = {
      'parts.json': partsUsed(rulebook),
      'traits.json': traitsUsed(rulebook),
      'states.json': statesUsed(rulebook),
      'sources.json': sourcesUsed(rulebook),
    };
    for (const [file, names] of Object.entries(used)) {
      for (const id of rowsOf(files, file))
        if (!names.has(id)) yield { file, pointer: pointer(id), message: 'nothing uses this row', value: id };
    }
  },
};

function partsUsed(rulebook: Rulebook): Set<string> {
  const spoken = [...rulebook.parts.values()].filter((p) => p.implies.length > 0 || p.text.plain).map((p) => p.id);
  return new Set([...spoken, ...[...workMentions(rulebook)].map((w) => w.part)]);
}

function statesUsed({ states }: Rulebook): Set<string> {
  const used = [...states.values()].filter((s) => s.leavers.length + s.needers.length + s.upsetters.length > 0);
  return new Set(used.map((s) => s.id));
}

function sourcesUsed({ followUps, parts, traits }: Rulebook): Set<string> {
  return new Set([
    ...[...followUps.values()].flatMap((f) => f.text.sources.map((s) => s.id)),
    ...[...parts.values()].flatMap((p) => p.implies.flatMap((row) => row.sources)),
    ...[...traits.values()].flatMap((t) => [
      ...(t.sources ?? []),
      ...(t.since?.sources ?? []),
      ...(t.likely ?? []).flatMap((l) => l.sources),
    ]),
  ]);
}

function traitsUsed({ followUps, parts }: Rulebook): Set<string> {
  return new Set([...followUps.values(), ...parts.values()].flatMap((row) => [...variablesIn(row.text)]));
}

/** Conditions as written: limits, readings and skipped lines carry some that are never compiled. */
function* variablesIn(text: unknown): Iterable<string> {
  if (typeof text !== 'object' || text === null) return;
  for (const [key, inner] of Object.entries(text)) {
    if (key === 'var' && typeof inner === 'string') yield inner;
    else yield* variablesIn(inner);
  }
}
