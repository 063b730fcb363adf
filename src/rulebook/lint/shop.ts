import { pointer } from '../fault.ts';
import type { FollowUp } from '../rulebook.ts';
import type { Scope } from '../schema.ts';
import type { Lint } from './lint.ts';
import { setupMentions, toolMentions } from './mentions.ts';
import { unknown } from './names.ts';

/** Names from the tables of the shop and the trade: tools, set-ups, makers. */

export const knownTool: Lint = {
  id: 'known-tool',
  scope: 'names',
  says: 'every tool that a way names stands in setups.json',
  severity: 'fault',
  exceptions: [],
  *check({ followUps, setups }) {
    const known = [...Object.keys(setups.tools), 'none'];
    if (known.length === 1) return;
    for (const followUp of followUps.values()) {
      for (const mention of toolMentions(followUp))
        if (!known.includes(mention.name)) yield unknown('tool', mention, known);
    }
  },
};

export const knownSetup: Lint = {
  id: 'known-setup',
  scope: 'names',
  says: 'every set-up names a dimension of setups.json and one of its values',
  severity: 'fault',
  exceptions: [],
  *check(rulebook) {
    const { dimensions } = rulebook.setups;
    if (Object.keys(dimensions).length === 0) return;
    for (const mention of setupMentions(rulebook)) {
      const row = Object.hasOwn(dimensions, mention.dimension) ? dimensions[mention.dimension] : undefined;
      const values = Object.keys(row?.values ?? {});
      if (!row) yield unknown('set-up dimension', { ...mention, name: mention.dimension }, Object.keys(dimensions));
      else if (!values.includes(mention.value)) {
        yield {
          ...unknown(`value of set-up \`${mention.dimension}\``, { ...mention, name: mention.value }, values),
          hint: `one of ${values.join(', ')}`,
        };
      }
    }
  },
};

export const knownMaker: Lint = {
  id: 'known-maker',
  scope: 'names',
  says: 'every maker that a scope names stands in makers.json',
  severity: 'fault',
  exceptions: [],
  *check({ followUps, makers }) {
    if (makers.size === 0) return;
    for (const followUp of followUps.values()) {
      for (const { scope, at } of scopes(followUp)) {
        for (const [i, maker] of (scope.makers ?? []).entries()) {
          if (!makers.has(maker))
            yield unknown(
              'maker',
              { file: followUp.file, pointer: at + pointer('makers', i), name: maker },
              makers.keys(),
            );
        }
      }
    }
  },
};

/** Every scope of a file, wherever it stands. */
function* scopes({ text }: FollowUp): Iterable<{ scope: Scope; at: string }> {
  const open: { value: unknown; at: string }[] = [{ value: text, at: '' }];
  for (let next = open.pop(); next; next = open.pop()) {
    if (typeof next.value !== 'object' || next.value === null) continue;
    for (const [key, inner] of Object.entries(next.value)) {
      const at = next.at + pointer(key);
      if (key === 'scope') yield { scope: inner as Scope, at };
      else open.push({ value: inner, at });
    }
  }
}
