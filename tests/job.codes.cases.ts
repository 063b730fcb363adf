import type { Told } from './job.run.ts';

const line = (words: string): Told => {
  const [part, did] = words.split(' ');
  return { type: 'line-added', line: { part, did } };
};
const read = (when: 'before' | 'after', ...codes: (string | object)[]): Told => ({
  type: 'scanned',
  when,
  codes: codes.map((code) => (typeof code === 'string' ? { code } : code)),
});
const explained = (code: string, because: string): Told => ({ type: 'explained', about: { code }, because });
const module = (open: readonly string[], more: object = {}) => ({
  module: '7E8',
  mil: false,
  count: 0,
  ignition: 'spark',
  monitors: ['catalyst', 'evap', 'oxygen-sensor'].map((id) => ({ id, complete: !open.includes(id) })),
  ...more,
});
const readiness = (when: 'before' | 'after', open: readonly string[], more: object = {}): Told => ({
  type: 'readiness-read',
  when,
  modules: [module(open)],
  permanent: null,
  doubts: [],
  unread: 0,
  ...more,
});

export const told = { line, read, explained, readiness, module };

export interface CodesCase {
  readonly says: string;
  readonly given: readonly Told[];
  /** Row by row: code, change, ties, who explained it, whether it holds the car, the step it is tied to. */
  readonly rows: readonly (readonly [code: string, change: string, more?: object])[];
}

/** On the invented rulebook of job.rulebook.ts: C1513 calls for the steering angle zero. */
export const CODES: readonly CodesCase[] = [
  { says: 'nothing was read', given: [line('tie-rod replaced')], rows: [] },
  {
    says: 'read before the work, nothing is compared yet',
    given: [line('tie-rod replaced'), read('before', 'P0420', { code: 'C1513', module: 'steering-angle' })],
    rows: [
      ['P0420', 'before', { ties: [], holds: undefined }],
      ['C1513', 'before', { step: 'steering-zero', modules: ['steering-angle'] }],
    ],
  },
  {
    says: 'gone, stays and new; the new one that nothing explains holds the car',
    given: [
      line('tie-rod replaced'),
      read('before', 'P0420', 'U0121'),
      { type: 'work-done' },
      read('after', 'P0420', 'B1234'),
    ],
    rows: [
      ['B1234', 'new', { holds: 'was not there before the work', unexplained: true }],
      ['P0420', 'stays', { holds: undefined, unexplained: true }],
      ['U0121', 'gone', { holds: undefined, unexplained: false }],
    ],
  },
  {
    says: 'a new one is tied to the step that is still open',
    given: [line('tie-rod replaced'), read('before'), { type: 'work-done' }, read('after', 'C1513')],
    rows: [['C1513', 'new', { step: 'steering-zero', holds: undefined, unexplained: false, kinds: ['step'] }]],
  },
  {
    says: 'a failure type that either reading left open makes no new code; 00 leaves it open',
    given: [
      line('tie-rod replaced'),
      read('before', 'U0121-00', 'B1234', 'B1300-11'),
      { type: 'work-done' },
      read('after', 'U0121', 'B1234-54', 'B1300-00'),
    ],
    rows: [
      ['B1234-54', 'stays', { holds: undefined }],
      ['B1300-00', 'stays', { holds: undefined }],
      ['U0121', 'stays', { holds: undefined }],
    ],
  },
  {
    says: 'another failure type is another fault, and one reading before stands for no two after it',
    given: [
      line('tie-rod replaced'),
      read('before', 'U0121-87', 'B1234'),
      { type: 'work-done' },
      read('after', 'U0121-81', 'B1234-54', 'B1234-11'),
    ],
    rows: [
      ['B1234-11', 'new', { holds: 'was not there before the work' }],
      ['B1234-54', 'new', { holds: 'was not there before the work' }],
      ['U0121-81', 'new', { holds: 'was not there before the work' }],
      ['B1234', 'gone', { holds: undefined }],
      ['U0121-87', 'gone', { holds: undefined }],
    ],
  },
  {
    says: 'a neighbour of a code and its like in another system are other faults',
    given: [line('tie-rod replaced'), read('before', 'C0420', 'P0421'), { type: 'work-done' }, read('after', 'P0420')],
    rows: [
      ['P0420', 'new', { holds: 'nothing on the list of 4711 explains it' }],
      ['C0420', 'gone'],
      ['P0421', 'gone'],
    ],
  },
  {
    says: 'a step that names a code speaks of all its failure types',
    given: [line('tie-rod replaced'), read('before'), { type: 'work-done' }, read('after', 'C1513-13')],
    rows: [['C1513-13', 'new', { step: 'steering-zero', holds: undefined, kinds: ['step'] }]],
  },
  {
    says: 'what a code means ties it to the open step that it asks for; the step holds the car',
    given: [line('tie-rod replaced'), read('before'), { type: 'work-done' }, read('after', 'C0529')],
    rows: [['C0529', 'new', { step: 'steering-zero', holds: undefined, kinds: ['step'] }]],
  },
  {
    says: 'a failure type of an unfinished set-up is tied by the module that tells it, and by no other',
    given: [
      line('tie-rod replaced'),
      read('before'),
      { type: 'work-done' },
      read('after', { code: 'U0999-54', module: 'steering' }, { code: 'U0998-54', module: 'climate' }),
    ],
    rows: [
      ['U0998-54', 'new', { holds: 'explains it: put it right and read again' }],
      ['U0999-54', 'new', { step: 'steering-zero', holds: undefined, kinds: ['step', 'step'] }],
    ],
  },
  {
    says: 'a code that asks for what is not on the list holds the car, and the sentence says for what',
    given: [line('radio replaced'), read('before'), { type: 'work-done' }, read('after', 'C0529')],
    rows: [['C0529', 'new', { holds: 'explains it; it asks for Steering angle zero', unexplained: true }]],
  },
  {
    says: 'nobody read before: all that is there holds the car',
    given: [line('tie-rod replaced'), { type: 'work-done' }, read('after', 'P0420')],
    rows: [['P0420', 'there', { holds: 'nothing was read before it' }]],
  },
  {
    says: 'what somebody explained stands with name and words, until it is read again',
    given: [
      line('tie-rod replaced'),
      read('before'),
      { type: 'work-done' },
      read('after', 'P0420'),
      explained('P0420', 'left by the work: Tie rod replaced'),
    ],
    rows: [['P0420', 'new', { holds: undefined, kinds: ['person'], words: 'left by the work: Tie rod replaced' }]],
  },
  {
    says: 'an explanation of a reading before does not speak for the one after',
    given: [
      line('tie-rod replaced'),
      read('before'),
      { type: 'work-done' },
      read('after', 'P0420'),
      explained('P0420', 'an old fault'),
      read('after', 'P0420'),
    ],
    rows: [['P0420', 'new', { holds: 'was not there before the work', kinds: [], words: undefined }]],
  },
  {
    says: 'a permanent one that was there before is expected until driven and needs no word',
    given: [
      line('tie-rod replaced'),
      read('before', { code: 'P0420', text: 'P0420 permanent' }),
      { type: 'work-done' },
      read('after', { code: 'P0420', text: 'P0420 permanent' }),
    ],
    rows: [['P0420', 'stays', { untilDriven: true, unexplained: false, kept: ['permanent'] }]],
  },
];

export interface ReportCase {
  readonly says: string;
  readonly text: string;
  readonly vin?: string;
  readonly rows: readonly (readonly [code: string, line: number | null, more?: object])[];
  readonly other?: { readonly report: string; readonly job: string };
  readonly maybe?: readonly string[];
  readonly faults?: number;
}

// Two VINs that agree with their check digit (49 CFR 565.15(c)); the first is a widely printed example, from memory.
const OURS = '1M8GDM9AXKP042788';
const THEIRS = '11111111111111111';

export const REPORTS: readonly ReportCase[] = [
  {
    says: 'a report of text: each code with the line it stands on, and what a heading says of it',
    text: ['Engine control module', 'Permanent codes', 'P0456 small leak', 'P0420 catalyst'].join('\n'),
    rows: [
      ['P0456', 3, { kept: ['permanent'], modules: ['engine'], words: 'P0456 small leak' }],
      ['P0420', 4, { kept: ['permanent'], modules: ['engine'], words: 'P0420 catalyst' }],
    ],
  },
  {
    says: 'a code that two modules tell is taken once for each',
    text: 'ABS: U0121-00 stored\nTCM: U0121-00 stored',
    rows: [['U0121-00', 1, { modules: ['brakes', 'transmission'], reads: 2 }]],
  },
  { says: 'a report without a code', text: 'No codes found in 24 modules.', rows: [] },
  {
    says: 'a report that names this car is taken',
    text: `VIN: ${OURS}\nP0420`,
    vin: OURS,
    rows: [['P0420', 2]],
  },
  {
    says: 'a report of another car is taken in no part',
    text: `VIN: ${THEIRS}\nP0420`,
    vin: OURS,
    rows: [],
    other: { report: THEIRS, job: OURS },
  },
  { says: 'a job without a VIN refuses none', text: `VIN: ${THEIRS}\nP0420`, rows: [['P0420', 2]] },
  {
    says: 'hex replies: the list they answer says how a code is kept',
    // SAE J1979: 43 answers service $03, 4A service $0A; two bytes a code: 04 20 is P0420.
    text: '7E8 04 43 01 04 20\n7E8 04 4A 01 04 20',
    rows: [['P0420', null, { kept: ['stored', 'permanent'], modules: ['7E8'] }]],
  },
  {
    says: 'a letter that may stand for a figure is left for a person to say',
    text: 'PO42O',
    rows: [],
    maybe: ['P0420'],
  },
];
