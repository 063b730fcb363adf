import { SURELY } from '../rulebook/condition.ts';
import type { FollowUp } from '../rulebook/rulebook.ts';
import { askedOf } from './asked.ts';
import type { Standings } from './again.ts';
import { type Item, itemFrom, type Wait } from './item.ts';
import { followUpOf, type Situation, wayOf } from './situation.ts';

/** Where a step that does others within itself did not take, each of those stands alone again. */
export function uncovered(by: Item, situation: Situation, standings: Standings): Item[] {
  const failed = by.stage === 'did-not-take' || by.stage === 'stuck' || by.stage === 'not-done';
  if (!failed || by.was) return [];
  const { resolution } = situation;
  const within = [...resolution.verdicts.values()].filter(
    (v) => v.coveredBy?.id === by.followUp.id && v.kind === 'needed',
  );
  return within.map(({ followUp, safety, level, boxes }) => ({
    ...itemFrom(followUp.id, 'uncovered', situation, standings),
    level,
    safety,
    waitsFor: waitsOf(followUp, by, situation, standings),
    asked: askedOf(
      { followUp, way: wayOf(followUp.id, situation), safety, required: level === 'required', boxes, covers: [] },
      resolution,
    ),
    confirms: [],
    decides: [],
    ruledOut: false,
  }));
}

/** Its own needs, and what upset what it leaves; the order knows it only as a part of the step that failed. */
function waitsOf(followUp: FollowUp, by: Item, situation: Situation, standings: Standings): Wait[] {
  const { resolution, rulebook, order } = situation;
  const way = resolution.ways.get(followUp.id)?.planned;
  const needs = [...followUp.needs, ...(way?.needs ?? [])]
    .filter((n) => resolution.known.all(n.applies) === SURELY)
    .map((n) => n.state);
  const left = new Set(followUp.leaves.map((leave) => leave.state));
  const leaves = (f: FollowUp, state: string) => f.leaves.some((l) => l.state === state);
  const upsetters = (situation.before.get(by.id) ?? [])
    .filter((e) => e.reason.kind === 'upsets' && left.has(e.reason.state.id))
    .map((e) => e.before);
  const leavers = order.nodes
    .filter(
      (n) =>
        n.verdict.kind === 'needed' &&
        n.verdict.followUp !== by.followUp &&
        n.verdict.followUp.phase === followUp.phase,
    )
    .filter((n) => needs.some((state) => leaves(n.verdict.followUp, state)))
    .map((n) => n.id);
  return [...new Set([...upsetters, ...leavers])]
    .filter((step) => !standings.finished(step))
    .map((step) => ({
      step,
      title: followUpOf(step, rulebook).title,
      because: `${by.title} did not do it within itself`,
      never: false,
    }));
}
