import type { JobEvent } from '../src/job/events.ts';

/** Events of an invented shop, as the record is sent them. */
export const by = 'Ana Okafor';
export const customer = 'Jo Marchetti';
export const vin = '1XXAA11A8S1000001';
const at = '2026-11-25T09:00:00Z';

export const opened = (ro: string, id = 'e1'): JobEvent => ({
  type: 'opened',
  v: 1,
  id,
  at,
  by,
  ro,
  rulebook: 'r1',
  units: 'metric',
});

export const line = (id: string, who = by): JobEvent => ({
  type: 'line-added',
  v: 1,
  id,
  at,
  by: who,
  line: { part: 'windscreen', did: 'replaced' },
  flips: [],
});

export const told = (id: string): JobEvent => ({
  type: 'vehicle-told',
  v: 1,
  id,
  at,
  by,
  vehicle: { vin },
  corrects: false,
  flips: [],
});

export const photo = (id: string, hash: string): JobEvent => ({ type: 'photo-attached', v: 1, id, at, by, hash });

export const left = (id: string): JobEvent => ({
  type: 'left-unfinished',
  v: 1,
  id,
  at,
  by,
  foreman: 'Bo Lindqvist',
  customer,
  lines: ['NOT FINISHED: the camera was not aimed.'],
  open: ['camera-aim'],
});
