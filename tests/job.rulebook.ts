import { book, filesOf, on, type Small } from './small-rulebook.ts';

/** Twenty follow-ups with everything in them that a record has to deal with; figures are made up for the test. */

const limited = (label: string, unit: string, limit: object) => ({ label, answer: 'number', unit, limits: [limit] });
const recommended = (...work: string[]) => ({ ...on(...work), level: 'recommended' });

export const RULES = {
  'codes-read': {
    title: 'Codes read before work',
    kind: 'record',
    phase: 'before',
    triggers: [recommended('battery replaced')],
  },
  'brake-open': {
    title: 'Parking brake opened for pads',
    safety: true,
    phase: 'before',
    triggers: [on('pads refitted')],
    leaves: [{ state: 'brake-opened' }],
    proof: [{ label: 'Mode shown', answer: 'choice', choices: ['open', 'not open'] }],
  },
  'brake-close': {
    title: 'Parking brake closed and learned',
    safety: true,
    triggers: [on('pads refitted')],
    upsets: [{ state: 'brake-opened' }],
    proof: [{ label: 'Holds on the slope', answer: 'choice', choices: ['holds', 'does not hold'] }],
    skipped: [{ notice: 'the car may roll away', 'sets-in': 'at-once' }],
  },
  alignment: {
    title: 'Wheel alignment',
    safety: true,
    'done-by': [{ part: 'geometry', did: 'adjusted' }],
    triggers: [on('tie-rod replaced')],
    leaves: [{ state: 'aligned' }],
    proof: [limited('Toe', 'deg', { min: -0.2, max: 0.2 }), { label: 'Sheet', answer: 'photo' }],
  },
  'steering-zero': {
    title: 'Steering angle zero',
    safety: true,
    triggers: [
      on('tie-rod replaced', 'rack replaced'),
      { codes: ['C1513'], level: 'required', because: 'the zero is lost' },
    ],
    needs: [{ state: 'aligned' }],
    leaves: [{ state: 'steering-zero' }],
    ways: [
      {
        id: 'tool',
        tool: 'scan-tool',
        entry: [limited('Battery voltage', 'V', { min: 12.2 })],
        tries: { most: 3, then: 'read the brake controller for open codes' },
        closing: { ignition: 'off', wait: { seconds: 30 }, text: 'ignition off for 30 s, so that it is stored' },
      },
    ],
    proof: [limited('Angle straight ahead', 'deg', { min: -2.5, max: 2.5 })],
    skipped: [{ notice: 'the stability control may brake one wheel', 'sets-in': 'same-day' }],
  },
  'camera-aim': {
    title: 'Forward camera aim',
    safety: true,
    fits: { '!=': [{ var: 'camera' }, 'none'] },
    triggers: [on('windscreen refitted')],
    needs: [{ state: 'steering-zero' }],
    ways: [
      { id: 'target', if: { '==': [{ var: 'camera' }, 'target'] }, tool: 'target-stand' },
      { id: 'road', if: { '==': [{ var: 'camera' }, 'road'] }, tool: 'scan-tool' },
    ],
    proof: [limited('Roll', 'deg', { min: -1, max: 1 })],
    skipped: [{ notice: 'the car may brake for nothing', 'sets-in': 'days' }],
  },
  'glass-wait': {
    title: 'Glass adhesive wait',
    kind: 'wait',
    safety: true,
    triggers: [on('windscreen refitted')],
    ways: [
      {
        id: 'wait',
        minutes: { wait: { ask: 'minutes on the data sheet', usual: [30, 480], 'counts-from': 'work-done' } },
      },
    ],
    proof: [{ label: 'Adhesive and batch', answer: 'text' }],
  },
  'battery-told': {
    title: 'Battery registration',
    triggers: [on('battery replaced')],
    fits: { '!=': [{ var: 'management' }, 'none'] },
    proof: [
      limited('Voltage after', 'V', { min: 12.2 }),
      { label: 'Read back', answer: 'choice', choices: ['same', 'other'] },
    ],
  },
  'window-learn': {
    title: 'Windows learned',
    triggers: [recommended('battery replaced')],
    leaves: [{ state: 'windows-known' }],
  },
  'stop-start': {
    title: 'Stop-start comes back',
    triggers: [on('battery replaced')],
    ways: [{ id: 'sleep', finish: 'owner', 'owner-told': 'leave it locked overnight', minutes: { wait: 480 } }],
  },
  'keys-collected': { title: 'Keys collected', triggers: [], leaves: [{ state: 'keys-on-bench' }] },
  'keys-taught': { title: 'Keys taught', triggers: [on('module replaced')], needs: [{ state: 'keys-on-bench' }] },
  'module-program': {
    title: 'Module programmed',
    triggers: [on('module replaced')],
    covers: ['module-vin'],
    ways: [{ id: 'tool', tool: 'scan-tool' }],
    proof: [{ label: 'Version read back', answer: 'text' }],
  },
  'module-vin': {
    title: 'VIN written',
    triggers: [on('module replaced')],
    proof: [{ label: 'VIN read back', answer: 'choice', choices: ['right', 'wrong'] }],
  },
  torque: {
    title: 'Wheel bolts torqued',
    safety: true,
    per: { position: ['front', 'rear'] },
    triggers: [on('pads refitted')],
    proof: [limited('Torque', 'N·m', { min: 100, max: 140 })],
  },
  'after-scan': {
    title: 'All modules read again',
    kind: 'inspection',
    stands: 'last',
    triggers: [recommended('battery replaced', 'module replaced')],
  },
  'seat-zero': {
    title: 'Seat sensing zero',
    safety: true,
    fits: { '==': [{ var: 'seat-sensor' }, 'fitted'] },
    triggers: [on('seat refitted')],
    proof: [limited('Empty reading', 'kg', { min: -3.2, max: 3.2 })],
  },
  'seat-memory': {
    title: 'Seat memory',
    fits: { '==': [{ var: 'memory' }, 'fitted'] },
    triggers: [on('seat refitted')],
  },
};

const shown = { basis: 'memory', sources: ['made-up'] };

/** Made up, too: a failure type 54 told by the steering asks for the steering zero, told by any other for nothing here. */
export const CODES = {
  sources: { 'made-up': { publisher: 'nobody', title: 'made up for the tests' } },
  codes: { C0529: { meaning: 'steering angle not calibrated', unfinished: true, calls: ['steering-zero'], ...shown } },
  'failure-types': { '13': { says: 'circuit open' }, '54': { says: 'calibration missing', unfinished: true } },
  'failure-type-sources': ['made-up'],
  families: [
    {
      types: ['54'],
      modules: ['steering'],
      calls: ['steering-zero', 'alignment'],
      says: 'zero the steering',
      ...shown,
    },
    { types: ['54'], calls: [], says: 'find what it asks for', ...shown },
  ],
  'self-tests': {},
};

const small = (more: object): Small => ({
  codes: CODES,
  rules: { ...RULES, ...more } as Record<string, Record<string, unknown>>,
  traits: {
    camera: ['none', 'target', 'road'],
    management: ['none', 'told'],
    'seat-sensor': ['none', 'fitted'],
    memory: ['none', 'fitted'],
  },
  parts: { pads: { at: ['front', 'rear'] }, seat: { at: ['left', 'right'] }, radio: {} },
  states: {
    'brake-opened': { title: 'parking brake opened for pads', delivery: 'must-not' },
    aligned: {
      title: 'wheel alignment in specification',
      start: 'confirm',
      question: 'Does it run straight, with nothing knocked?',
    },
    'steering-zero': { title: 'steering angle zero set' },
    'windows-known': { title: 'windows learned' },
    'keys-on-bench': { title: 'every key on the bench', start: 'absent', lapses: 'overnight' },
  },
});

export const jobRules = (more: object = {}) => book(small(more));

/** The same as they travel to a tablet. */
export const jobRuleFiles = (more: object = {}) => Object.fromEntries(filesOf(small(more)));

export const rules = jobRules();
