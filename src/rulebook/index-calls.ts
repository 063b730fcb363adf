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

/**
 * What these codes call for, each call once. A trigger that names a code without a failure type speaks of all of its
 * types (SAE J2012: the third byte says how it failed, the first two what); one that names a type wants that type read.
 */
export function callsOfCodes(codes: Iterable<string>, byCode: ReadonlyMap<string, readonly Call[]>): Set<Call> {
  const names = [...codes].flatMap((code) => (code.includes('-') ? [code, code.slice(0, code.indexOf('-'))] : [code]));
  return new Set(names.flatMap((name) => byCode.get(name) ?? []));
}

export function indexStates(
  rows: ReadonlyMap<string, StateRow>,
  followUps: ReadonlyMap<string, FollowUp>,
): Map<string, State> {
  const all = [...followUps.values()];
  const leavers = byState(all, (f) => f.leaves);
  const needers = byState(all, (f) => [...f.needs, ...f.ways.flatMap((w) => w.needs)]);
  const upsetters = byState(all, (f) => [...f.upsets, ...f.ways.flatMap((w) => w.upsets)]);
  const ids = new Set([...rows.keys(), ...leavers.keys(), ...needers.keys(), ...upsetters.keys()]);
  return new Map(
    [...ids].sort().map((id): [string, State] => {
      const row = rows.get(id);
      const delivery = row?.delivery ?? 'must';
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
          leavers: leavers.get(id) ?? [],
          needers: needers.get(id) ?? [],
          upsetters: upsetters.get(id) ?? [],
        },
      ];
    }),
  );
}

function byState(
  followUps: readonly FollowUp[],
  roles: (f: FollowUp) => readonly { readonly state: string }[],
): Map<string, FollowUp[]> {
  const index = new Map<string, FollowUp[]>();
  for (const followUp of followUps) {
    for (const state of new Set(roles(followUp).map((role) => role.state))) {
      const had = index.get(state);
      if (had) had.push(followUp);
      else index.set(state, [followUp]);
    }
  }
  return index;
}
