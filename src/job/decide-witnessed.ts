import { nearestName } from '../rulebook/fault.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import { refusalsOr } from './bars.ts';
import { lapsing } from './lapse.ts';
import { plan } from './plan.ts';
import { missingPhotos } from './step-values.ts';
import type { Turns } from './turn.ts';

/** What somebody saw of the car, and what time does to it. */
export const WITNESSED: Turns<
  | 'photo-attached'
  | 'scanned'
  | 'codes-cleared'
  | 'readiness-read'
  | 'lamps'
  | 'explained'
  | 'set-up-left'
  | 'night-passed'
  | 'state-lapsed'
  | 'state-ended'
> = {
  'photo-attached': ({ hash }, job) =>
    job.photos.has(hash) ? [`photo ${hash.slice(0, 8)} is in the job already`] : {},
  scanned: ({ when }, job) =>
    when === 'before' && job.workDone ? ['the work is done: what is read now was read after it'] : {},
  'codes-cleared': () => ({}),
  'readiness-read': ({ when }, job) =>
    when === 'before' && job.workDone ? ['the work is done: what is read now was read after it'] : {},
  lamps: ({ when, lit }) =>
    when === 'release' && lit === null ? ['lamps at release have to be looked at: start the engine and read them'] : {},
  explained: ({ about }, job) => {
    if ('code' in about) return job.codes.has(about.code) ? {} : [`code ${about.code} was not read on this job`];
    const lit = job.lamps.release?.lit ?? [];
    return lit.includes(about.lamp)
      ? {}
      : [`the ${about.lamp.replaceAll('-', ' ')} lamp is not down as lit at release`];
  },
  'set-up-left': ({ setup, note }, _, { rulebook }) => {
    if (Object.keys(setup).length === 0 && note === undefined) return ['nothing is said of what the car was left like'];
    const wrong = Object.entries(setup).flatMap(([dimension, value]) => unknownSetup(dimension, value, rulebook));
    return wrong.length > 0 ? wrong : {};
  },
  'night-passed': (_, job, { rulebook }) => ({ lapsed: lapsing(job, rulebook) }),
  'state-lapsed': ({ state }, _, { rulebook }) => {
    if (rulebook.states.has(state)) return {};
    const near = nearestName(state, rulebook.states.keys());
    return [`\`${state}\` is no state of a car${near ? `; did you mean \`${near}\`?` : ''}`];
  },
  'state-ended': ({ state, photo }, job, { rulebook }) => {
    const stands = plan(job, rulebook).mustNots.find((m) => m.state.id === state);
    if (!stands) return [`the car has no \`${state}\` that could be ended`];
    const [by] = stands.endedBy;
    if (by) return [`${by.title} ends "${stands.state.title}", and is on the list: it has to take`];
    return refusalsOr(missingPhotos({ evidence: { kind: 'photo', hash: photo } }, job));
  },
};

function unknownSetup(dimension: string, value: string, { setups }: Rulebook): string[] {
  const row = Object.hasOwn(setups.dimensions, dimension) ? setups.dimensions[dimension] : undefined;
  if (!row) return [`\`${dimension}\` is no part of a set-up; there is ${Object.keys(setups.dimensions).join(', ')}`];
  return Object.hasOwn(row.values, value)
    ? []
    : [`${row.title} can not be \`${value}\`; it is ${Object.keys(row.values).join(', ')}`];
}
