import '../../../components/acts/step-acts.ts';
import '../../../components/camera/vin-camera.ts';
import '../../../components/left/last-left.ts';
import '../../../components/pad/number-pad.ts';
import '../../../components/photo/photo.ts';
import '../../../components/timers/timer-bar.ts';
import { html, type TemplateResult } from 'lit';
import type { Asked } from '../../job/asked.ts';
import type { SeenItem, Sight } from '../../job/sight.ts';
import { type Job, type Mark, type StepRecord, UNOPENED } from '../../job/state.ts';
import type { Timer } from '../../job/timers.ts';
import type { ReadingValue } from '../../job/values.ts';
import type { FollowUp, Rulebook } from '../../rulebook/rulebook.ts';

/** What a technician works a step with, in every state. Names and figures show the form only. */
export function workParts(rulebook: Rulebook): TemplateResult {
  const followUp = [...rulebook.followUps.values()].find(({ ways }) => ways[0]?.text.tries && ways[0].text.closing);
  const any = followUp ?? ([...rulebook.followUps.values()][0] as FollowUp);
  return html`<h2>lb-step-acts</h2>
    <div class="cards">${items(any).map(([name, item]) => html`<div><h3>${name}</h3><lb-step-acts .item=${item} .job=${JOB} .followUp=${any} .now=${NOW} foreman></lb-step-acts></div>`)}</div>
    <h2>lb-number-pad</h2>
    <div class="cards">${FIGURES.map((value) => html`<div><lb-number-pad .asked=${VOLTS} .value=${value}></lb-number-pad></div>`)}
      <div><lb-number-pad .asked=${TOE} .value=${{ kind: 'number', value: 0.3 }} explains></lb-number-pad></div></div>
    <h2>lb-photo</h2>
    <div class="cards"><lb-photo label="Photograph it"></lb-photo><lb-photo label="Photograph it" kept></lb-photo></div>
    <h2>lb-vin-camera</h2>
    <lb-vin-camera><lb-vin-boxes value="7ZHAB3C59K0900418"></lb-vin-boxes></lb-vin-camera>
    <h2>lb-last-left</h2>
    <lb-last-left .sight=${SIGHT} .rulebook=${rulebook} .now=${NOW}></lb-last-left>
    <h2>lb-timer-bar</h2>
    <lb-timer-bar .timers=${TIMERS} .now=${NOW}></lb-timer-bar>`;
}

const NOW = Date.UTC(2026, 2, 2, 9, 38);
const mark = (minutes: number, by = 'Rilla Quist'): Mark => ({
  seq: 9,
  event: `e${minutes}${by}`,
  at: new Date(NOW - minutes * 60_000).toISOString(),
  by,
});
const JOB: Job = { ...UNOPENED, status: 'open', ro: '48213', workDone: mark(90) };

function asked(label: string, more: Partial<Asked>): Asked {
  const base = { answer: 'number', choices: [], limits: [], limitText: [], must: true, when: 'proof' } as const;
  return { ...base, key: `proof/x/${label}`, label, ...more };
}

const VOLTS = asked('Supply voltage', { when: 'entry', unit: 'V', limits: [{ min: 12.2 }] });
const TOE = asked('Toe, rear left', { unit: 'deg', limits: [{ min: -0.2, max: 0.2 }] });
const HOLDS = asked('Holds on the slope', { answer: 'choice', choices: ['holds', 'does not hold'] });
const SHEET = asked('Alignment sheet', { answer: 'photo' });
const WORDS = asked('Version read back', { answer: 'text', must: false });

const FIGURES: readonly (ReadingValue | undefined)[] = [
  undefined,
  { kind: 'number', value: 12.6 },
  { kind: 'number', value: 11.9 },
  { kind: 'number', value: 131 },
];

function items({ id, ways }: FollowUp): [string, SeenItem][] {
  const record = (stage: SeenItem['stage'], more: Partial<StepRecord> = {}): Partial<SeenItem> => ({
    stage,
    record: {
      ...mark(5),
      stage,
      values: new Map(),
      tries: 0,
      hands: new Set(),
      changed: 9,
      way: ways[0]?.id ?? '',
      ...more,
    },
  });
  const seen = (more: Partial<SeenItem>): SeenItem => ({
    id,
    followUp: id,
    title: 'Steering angle zero',
    kind: 'step',
    level: 'required',
    safety: true,
    stage: 'open',
    waitsFor: [],
    ways: [],
    way: ways[0]?.id ?? '',
    asked: [],
    confirms: [],
    owner: false,
    decides: [],
    ruledOut: false,
    ...more,
  });
  const [one, other] = [mark(20), mark(12, 'Tam Orrin')];
  const answers = (value: number) => new Map<string, ReadingValue>([[TOE.key, { kind: 'number', value }]]);
  const because = 'it needs "wheel alignment in specification"';
  return [
    ['Plain', seen({ safety: false })],
    ['Not yet', seen({ waitsFor: [{ step: 'x', title: 'Wheel alignment', because, never: false }] })],
    ['Before it starts', seen({ asked: [VOLTS, TOE] })],
    ['Running', seen({ asked: [TOE, SHEET], ...record('running', { startedAt: mark(5), values: answers(0.3) }) })],
    ['A choice', seen({ asked: [HOLDS, WORDS], ...record('running', { startedAt: mark(5) }) })],
    ['Again', seen({ safety: false, again: 'sent back by Ode Falkenby: rear left stops' })],
    ['Did not take', seen(record('did-not-take', { tries: 1, why: 'tool loses the car' }))],
    ['Stuck', seen(record('stuck', { tries: 3, why: 'read the brake controller for open codes' }))],
    ['Sent out', seen({ asked: [TOE], ...record('sent-out', { sentOut: { firm: 'Norden Keys', on: '2026-03-02' } }) })],
    ['Waiting', seen(record('waiting', { waiting: { part: 'transponder ring', promised: '2026-03-05' } }))],
    ['Not done', seen(record('not-done', { notDone: { reason: 'no-tool', note: 'comes on Monday' } }))],
    ['To be closed', seen({ closing: { open: true, seconds: 600 }, ...record('took', { took: mark(5) }) })],
    [
      'Two answers',
      seen({
        asked: [TOE],
        ...record('took', {
          took: one,
          values: answers(0.1),
          rivals: [{ ...other, word: 'took', values: answers(0.15) }],
        }),
      }),
    ],
  ];
}

const TIMERS: readonly Timer[] = [
  { ro: '48207', step: 'a', title: 'Ignition off', begins: NOW - 60_000, ends: NOW - 20_000, kind: 'closing' },
  {
    ro: '48213',
    step: 'b',
    title: 'Glass adhesive wait',
    begins: NOW - 3_000_000,
    ends: NOW + 4_200_000,
    kind: 'wait',
  },
  { ro: '48198', step: 'c', title: 'Battery rest', begins: NOW - 900_000, ends: NOW + 41_000, kind: 'wait' },
];

const SIGHT = {
  job: {
    ...JOB,
    lastStep: { ...mark(50), step: 'epb-open' },
    setUpLeft: { ...mark(45), setup: { ignition: 'on', supply: 'charger' }, note: 'interface on the seat' },
  },
  items: [],
  mustNots: [
    {
      state: 'x',
      title: 'parking brake opened for pads',
      since: mark(50),
      endedBy: [{ id: 'y', title: 'Parking brake closed and learned' }],
    },
  ],
} as unknown as Sight;
