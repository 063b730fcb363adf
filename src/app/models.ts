import type { Rulebook } from '../rulebook/rulebook.ts';

const found = new WeakMap<Rulebook, ReadonlyMap<string, readonly string[]>>();

/** Models of a maker that some rule names, as the rules write them. */
export function modelsOf(maker: string, rulebook: Rulebook): readonly string[] {
  const known = found.get(rulebook) ?? collect(rulebook);
  found.set(rulebook, known);
  return known.get(maker) ?? [];
}

/** "versa-note" -> "Versa Note", "cx-5" -> "CX-5": short pieces and those with a figure are capitals. */
export function modelName(model: string): string {
  const named = model
    .split('-')
    .map((piece) =>
      piece.length <= 2 || /\d/.test(piece) ? piece.toUpperCase() : piece.charAt(0).toUpperCase() + piece.slice(1),
    );
  return named.reduce((name, piece) => (/^[A-Z]{1,2}$/.test(name) ? `${name}-${piece}` : `${name} ${piece}`));
}

/** Scopes stand at many places of a follow-up; wherever makers and models stand side by side, they belong together. */
function collect({ followUps, parts }: Rulebook): ReadonlyMap<string, readonly string[]> {
  const models = new Map<string, Set<string>>();
  const visit = (node: unknown): void => {
    if (typeof node !== 'object' || node === null) return;
    const { makers, models: named } = node as { makers?: unknown; models?: unknown };
    if (Array.isArray(makers) && Array.isArray(named))
      for (const maker of makers.map(String))
        models.set(maker, new Set([...(models.get(maker) ?? []), ...named.map(String)]));
    Object.values(node).forEach(visit);
  };
  for (const { text } of [...followUps.values(), ...parts.values()]) visit(text);
  return new Map([...models].map(([maker, set]) => [maker, [...set].sort()]));
}
