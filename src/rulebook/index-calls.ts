import type { Call, FollowUp, State } from './rulebook.ts';
import type { StateRow } from './tables.ts';

/** Who is called for by what, and who leaves, needs and upsets which state. */

export function indexCalls(
  followUps: ReadonlyMap<string, FollowUp>,
  key: (call: Call) => string | undefined,
): Map<string, Call[]> {
  const index = new Map<string, Call[]>();
  for (const followUp of followUps.values()) {
    for (const trigger of followUp.triggers) {
      const calls: Call[] = [
        ...trigger.work.map((match) => ({ followUp, trigger, match })),
        ...trigger.codes.map((code) => ({ followUp, trigger, code })),
      ];
      for (const call of calls) {
        const name = key(call);
        if (name !== undefined) index.set(name, [...(index.get(name) ?? []), call]);
      }
    }
  }
  return index;
}

export function indexStates(
  rows: ReadonlyMap<string, StateRow>,
  followUps: ReadonlyMap<string, FollowUp>,
): Map<string, State> {
  const all = [...followUps.values()];
  const needs = (f: FollowUp) => [...f.needs, ...f.ways.flatMap((w) => w.needs)];
  const upsets = (f: FollowUp) => [...f.upsets, ...f.ways.flatMap((w) => w.upsets)];
  const ids = new Set([
    ...rows.keys(),
    ...all.flatMap((f) => [...f.leaves, ...needs(f), ...upsets(f)].map((s) => s.state)),
  ]);
  return new Map(
    [...ids].sort().map((id): [string, State] => {
      const row = rows.get(id);
      const delivery = row?.delivery ?? 'must';
      const names = (list: readonly { state: string }[]) => list.some((s) => s.state === id);
      return [
        id,
        {
          id,
          title: row?.title ?? id.replaceAll('-', ' '),
          start: row?.start ?? (delivery === 'must-not' ? 'absent' : 'holds'),
          delivery,
          lapses: row?.lapses ?? 'never',
          guards: row?.guards ?? [],
          ...(row?.question ? { question: row.question } : {}),
          leavers: all.filter((f) => names(f.leaves)),
          needers: all.filter((f) => names(needs(f))),
          upsetters: all.filter((f) => names(upsets(f))),
        },
      ];
    }),
  );
}
