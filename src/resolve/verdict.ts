import type { FollowUp } from '../rulebook/rulebook.ts';
import type { Entry } from './entry.ts';
import type { Facts } from './facts.ts';
import { conditionsOf } from './space.ts';
import type { Known } from './known.ts';
import type { Cause, TraitUse, Verdict } from './result.ts';
import type { PlannedWays } from './ways.ts';
import type { Hit } from './work.ts';

/** Reads a settled entry into a verdict: causes, what decides, covers, boxes. */
export function verdictOf(
  entry: Entry,
  entries: ReadonlyMap<string, Entry>,
  covered: ReadonlyMap<string, FollowUp>,
  ways: ReadonlyMap<string, PlannedWays>,
  known: Known,
  facts: Facts,
): Verdict {
  const { followUp, own } = entry;
  const coveredBy = outermost(followUp.id, covered);
  const within = [...covered]
    .filter(([id]) => outermost(id, covered) === followUp)
    .map(([id]) => entries.get(id) as Entry);
  const onOrder = own.speaking.find(({ hit }) => hit.call.trigger.index < 0)?.hit.line;
  const asked = askedOf(followUp, facts);
  return {
    followUp,
    kind: entry.kind,
    level: entry.required || within.some((inner) => inner.required) ? 'required' : 'recommended',
    safety: followUp.safety || within.some((inner) => inner.followUp.safety),
    causes: entry.kind === 'excluded' ? [] : causesOf(entry, known),
    decides: entry.kind === 'undecided' ? decidesOf(entry, entries, ways, known, new Set()) : [],
    grades: entry.kind === 'needed' && entry.required ? gradesOf(entry, entries, ways, known) : [],
    ...(coveredBy ? { coveredBy } : {}),
    ...(onOrder ? { onOrder } : {}),
    boxes: boxesOf(entry),
    ...(asked ? { asked } : {}),
  };
}

function outermost(id: string, covered: ReadonlyMap<string, FollowUp>): FollowUp | undefined {
  let by = covered.get(id);
  for (let hops = 0; by && covered.has(by.id) && hops < covered.size; hops++) by = covered.get(by.id);
  return by?.id === id ? undefined : by;
}

function causesOf(entry: Entry, known: Known): Cause[] {
  const calls = entry.own.speaking.map(
    ({ hit, sure }): Cause => ({
      kind: 'call',
      sure,
      ...(hit.line ? { line: hit.line } : {}),
      ...(hit.call.code ? { code: hit.call.code } : {}),
      trigger: hit.call.trigger,
      traits: traitsOf(entry.followUp, hit, known),
    }),
  );
  const pulls = [...entry.pulls.values()].map(
    (pull): Cause => ({
      kind: 'pull',
      sure: pull.sure,
      how: pull.how,
      by: pull.by,
      state: pull.state,
      ...(pull.because ? { because: pull.because } : {}),
    }),
  );
  return [...dedupe(calls), ...pulls.sort((a, b) => (causeKey(a) < causeKey(b) ? -1 : 1))];
}

/** One work line may match several work entries of a trigger; that is one cause. */
function dedupe(causes: readonly Cause[]): Cause[] {
  const kept = new Map<string, Cause>();
  for (const cause of causes) {
    const key = causeKey(cause);
    if (!kept.has(key) || (cause.sure && !kept.get(key)?.sure)) kept.set(key, cause);
  }
  return [...kept].sort(([a], [b]) => (a < b ? -1 : 1)).map(([, cause]) => cause);
}

function causeKey(cause: Cause): string {
  if (cause.kind === 'pull') return `~${cause.by.id}/${cause.state.id}/${cause.how}`;
  const line = cause.line as { key?: string } | undefined;
  return `${cause.trigger.level === 'required' ? 0 : 1}/${line?.key ?? cause.code}/${String(cause.trigger.index).padStart(3, '0')}`;
}

function traitsOf(followUp: FollowUp, hit: Hit, known: Known): TraitUse[] {
  const names = new Set([followUp.fits, ...conditionsOf(hit)].flatMap((condition) => condition.variables));
  return [...names].sort().map((trait) => {
    const answer = known.car.get(trait);
    return { trait, ...(answer?.values ? { values: answer.values } : {}), ...(answer ? { by: answer.by } : {}) };
  });
}

/** Questions that could settle it; where it hangs on an undecided step, that step's questions. */
function decidesOf(
  entry: Entry,
  entries: ReadonlyMap<string, Entry>,
  ways: ReadonlyMap<string, PlannedWays>,
  known: Known,
  seen: Set<string>,
): string[] {
  if (seen.has(entry.followUp.id)) return [];
  seen.add(entry.followUp.id);
  const names = new Set<string>();
  const follow = (id: string) => {
    const other = entries.get(id);
    if (other?.kind === 'undecided') for (const name of decidesOf(other, entries, ways, known, seen)) names.add(name);
  };
  const note = (name: string) => {
    if (name.startsWith('step:')) follow(name.slice('step:'.length));
    else if (name.startsWith('way:'))
      for (const question of ways.get(name.slice('way:'.length))?.decides ?? []) names.add(question);
    else names.add(name);
  };
  for (const name of entry.own.decides) note(name);
  for (const pull of entry.pulls.values()) {
    for (const name of pull.decides) note(name);
    follow(pull.by.id);
  }
  if (entry.pulls.size > 0) for (const name of known.open([entry.followUp.fits])) names.add(name);
  return [...names].sort();
}

/** Questions on which it turns whether a needed step is required or only recommended. */
function gradesOf(
  entry: Entry,
  entries: ReadonlyMap<string, Entry>,
  ways: ReadonlyMap<string, PlannedWays>,
  known: Known,
): string[] {
  const { own } = entry;
  const pulls = [...entry.pulls.values()].filter((pull) => pull.required);
  if (own.kind === 'needed' && own.level === 'required' && own.grades.length === 0) return [];
  if (pulls.some((pull) => pull.sure)) return [];
  const called = {
    ...entry,
    own: { ...own, decides: own.level === 'required' ? [...own.decides, ...own.grades] : [] },
  };
  return decidesOf(
    { ...called, pulls: new Map(pulls.map((pull, i) => [String(i), pull])) },
    entries,
    ways,
    known,
    new Set(),
  );
}

function boxesOf(entry: Entry): readonly string[] {
  const { positions } = entry.followUp;
  if (positions.length === 0) return [];
  const lines = entry.own.speaking.map(
    ({ hit }) => hit.line?.at?.flatMap((at) => positions.filter((p) => isAt(p, at))) ?? [],
  );
  if (lines.length === 0 || lines.some((at) => at.length === 0)) return positions;
  return positions.filter((position) => lines.some((at) => at.includes(position)));
}

/** An axle or a side stands for its corners. */
function isAt(position: string, at: string): boolean {
  return position === at || position.startsWith(`${at}-`) || position.endsWith(`-${at}`);
}

function askedOf(followUp: FollowUp, facts: Facts): Verdict['asked'] {
  if (!facts.workDone || followUp.phase === 'after') return undefined;
  const answer = facts.answers.get(`done:${followUp.id}`);
  if (answer === 'yes' || answer === 'no') return answer;
  return answer === null ? 'cannot-tell' : 'open';
}
