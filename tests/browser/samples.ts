import type { Step } from '../../src/checklist.ts';
import type { Question } from '../../src/resolve/result.ts';
import { loadRulebook } from '../../src/rulebook/load.ts';
import type { FollowUp, Part, Rulebook } from '../../src/rulebook/rulebook.ts';

/** A rulebook of one invented follow-up, small enough to see through. */
const files: Readonly<Record<string, unknown>> = {
  'traits.json': {
    camera: {
      title: 'Camera',
      question: 'Has it a camera?',
      'how-to-tell': 'look at the mirror',
      values: { none: 'not fitted', fitted: 'fitted' },
    },
  },
  'parts.json': {
    glass: { title: 'Glass', aka: ['pane'], system: 'body', did: ['refitted', 'replaced'] },
    link: { title: 'Link', system: 'steering', at: ['front-left', 'front-right'], did: ['replaced'] },
  },
  'states.json': { level: { title: 'car level' } },
  'setups.json': {
    dimensions: {
      ignition: {
        title: 'Ignition',
        start: 'off',
        values: { off: { title: 'off' }, on: { title: 'on', to: 'ignition on' } },
        minutes: {},
        otherwise: 1,
      },
    },
    forbidden: [],
    tools: { none: { title: 'no tool' }, targets: { title: 'targets and a stand', short: 'targets' } },
    drive: { setup: {}, becomes: {} },
  },
  'sources.json': { 'common-practice': { publisher: 'nobody', title: 'common practice in the trade, no source' } },
  'makers.json': {
    sources: {},
    makers: { honda: { name: 'Honda' }, ford: { name: 'Ford' } },
    codes: {},
    countries: [],
  },
  'mandates.json': { rows: [], silent: [], notes: [] },
  'assistance/aim.json': {
    title: 'Camera aim',
    kind: 'calibration',
    purpose: 'the camera must know straight ahead',
    safety: true,
    phase: 'after',
    fits: { '!=': [{ var: 'camera' }, 'none'] },
    triggers: [
      { work: [{ part: 'glass', did: 'refitted' }], level: 'required', because: 'it looks through other glass' },
    ],
    ways: [
      {
        id: 'target',
        title: 'On targets',
        tool: 'targets',
        setup: { ignition: 'on' },
        outline: ['set the targets up', 'start the aim'],
        cautions: ['nobody leans on the car'],
        closing: { ignition: 'off', wait: { seconds: 30 } },
        tries: { most: 3, then: 'look at the bracket' },
        entry: [{ label: 'supply voltage', answer: 'number', unit: 'V', limits: [{ min: 12 }] }],
      },
    ],
    proof: [
      {
        label: 'angle',
        answer: 'number',
        unit: 'deg',
        limits: [
          { scope: { makers: ['honda'] }, min: -1.5, max: 1.5 },
          { scope: { makers: ['ford'] }, max: 2 },
          { text: 'the figure of the maker' },
        ],
      },
    ],
    skipped: [
      { notice: 'the car brakes for nothing', 'sets-in': 'same-day', silent: true },
      { notice: 'never seen on this car', 'sets-in': 'weeks', if: { '==': [{ var: 'camera' }, 'none'] } },
    ],
    examples: [],
    sources: [{ id: 'common-practice', basis: 'common-practice' }],
  },
};

const loaded = loadRulebook(new Map(Object.entries(files).map(([name, value]) => [name, JSON.stringify(value)])));
if (loaded.faults.length > 0) throw new Error(JSON.stringify(loaded.faults));

export const rulebook: Rulebook = loaded.rulebook;
export const followUp = rulebook.followUps.get('aim') as FollowUp;
export const glass = rulebook.parts.get('glass') as Part;
export const link = rulebook.parts.get('link') as Part;

export const step: Step = {
  id: 'aim',
  followUp: 'aim',
  title: 'Camera aim',
  level: 'required',
  safety: true,
  phase: 'after',
  way: 'target',
  ways: ['target'],
  wayOpen: [],
  tool: 'targets',
  toolMissing: false,
  setup: { ignition: 'on' },
  change: [],
  because: ['glass replaced: it looks through other glass'],
  causes: [],
  waitsFor: ['level'],
  waits: [],
  minutes: { hands: 40, wait: 0 },
  boxes: [],
  covers: [],
  confirms: [{ question: 'holds:level', state: 'level', text: 'does the car stand level?' }],
  finish: 'shop',
};

export const question: Question = {
  id: 'camera',
  kind: 'trait',
  text: 'has it a camera?',
  howToTell: 'look at the mirror',
  answers: [
    { value: 'none', text: 'not fitted' },
    { value: 'fitted', text: 'fitted' },
  ],
  settles: ['aim'],
  safety: true,
};
