import { readFileSync } from 'node:fs';
import { prepareZXingModule, readBarcodes } from 'zxing-wasm/reader';
import { describe, expect, test } from 'vitest';
import { squareCode } from '../components/papers/square-code.ts';
import { type HandOver, handOver } from '../src/job/hand-over.ts';
import type { Section } from '../src/job/hand-over-lines.ts';
import { foreman, settle, sight, technician, toCheck, writtenUp } from './browser/check.samples.ts';
import { hash } from './job.moves.ts';
import { rules } from './job.rulebook.ts';
import type { Runner, Told } from './job.run.ts';

/** What is told on top of a job with tie rod end, pads and battery; then what stands on the page. */
interface Case {
  readonly says: string;
  readonly from?: () => Runner;
  readonly told: readonly Told[];
  /** Then everything is settled and the car is released. */
  readonly released?: true;
  /** Then it leaves unfinished. */
  readonly left?: true;
  readonly sections?: Partial<Record<Section['id'], readonly string[] | 'left out'>>;
  readonly rows?: Readonly<Record<string, Partial<HandOver['rows'][number]>>>;
  readonly page?: Partial<HandOver>;
}

const LEAK = { code: 'P0456', text: 'small fuel vapour leak' };

const CASES: readonly Case[] = [
  {
    says: 'a job under way hands nothing over and warns of every open safety item',
    told: [],
    page: {
      status: 'open',
      work: ['Tie-rod replaced.', 'Pads refitted, front.', 'Battery replaced.'],
      warnings: [
        'NOT FINISHED: Parking brake opened for pads, not done or not proved.',
        'NOT FINISHED: Wheel alignment, not done or not proved.',
        'NOT FINISHED: Parking brake closed and learned, not done or not proved. What may happen: the car may roll away.',
        'NOT FINISHED: Wheel bolts torqued, not done or not proved.',
        'NOT FINISHED: Steering angle zero, not done or not proved. What may happen: the stability control may brake one wheel.',
      ],
    },
    sections: {
      'not-done': [
        'Still to be done: Parking brake opened for pads (safety), Codes read before work, Wheel alignment (safety), Battery registration, Parking brake closed and learned (safety), Wheel bolts torqued (safety), Windows learned, Steering angle zero (safety), All modules read again.',
      ],
    },
  },
  {
    says: 'a released one says who did, who checked and what was found; only safety items are checked',
    told: [],
    released: true,
    rows: {
      alignment: {
        stage: 'took',
        found: ['Toe: 0°', 'Sheet: photo on record'],
        doneBy: technician.name,
        checkedBy: foreman.name,
        unchecked: false,
      },
      'battery-told': {
        found: ['Voltage after: 12.2 V', 'Read back: same'],
        doneBy: technician.name,
        checkedBy: '',
        unchecked: false,
      },
    },
    page: {
      status: 'released',
      warnings: [],
      independent: true,
      people: [
        { name: technician.name, initials: 'RQ' },
        { name: foreman.name, initials: 'OF' },
      ],
      doneBy: [technician.name],
      checkedBy: [foreman.name],
    },
    sections: { 'not-done': 'left out', 'not-determined': 'left out', 'self-tests': 'left out' },
  },
  {
    says: 'what ends with the owner is told to the owner and is not "not done"',
    told: [],
    released: true,
    rows: { 'stop-start': { owner: true, stage: 'open', found: ['ends with you'], unchecked: false } },
    sections: { owner: ['Stop-start comes back: Leave it locked overnight.'], 'not-done': 'left out' },
  },
  {
    says: 'what was declined stands there with its reason and a name',
    told: [{ type: 'not-done', step: 'window-learn', reason: 'declined', note: 'owner does it' }],
    released: true,
    sections: { 'not-done': ['Windows learned: Declined, owner does it, Rilla Quist.'] },
  },
  {
    says: 'a part, a firm and a failure are named',
    told: [
      { type: 'work-done' },
      { type: 'waiting', step: 'window-learn', part: 'switch', promised: '2026-03-05' },
      { type: 'sent-out', step: 'alignment', firm: 'Weir Tracking', on: '2026-03-02' },
      { type: 'did-not-take', step: 'torque', why: 'wrench out of date' },
    ],
    left: true,
    sections: {
      'not-done': [
        'Wheel alignment: With Weir Tracking since 2026-03-02.',
        'Wheel bolts torqued: Did not take, wrench out of date, Rilla Quist.',
        'Windows learned: Waits for switch, promised for 2026-03-05.',
        'Still to be done: Battery registration, Parking brake closed and learned (safety), Steering angle zero (safety), All modules read again.',
      ],
    },
  },
  {
    says: 'left unfinished: what the customer read, by whom',
    told: [],
    left: true,
    page: {
      status: 'left-unfinished',
      ended: expect.objectContaining({ by: foreman.name, customer: 'Nel Ashgrove' }) as unknown as NonNullable<
        HandOver['ended']
      >,
    },
  },
  {
    says: 'what nobody could tell is one line, and what can hurt is marked',
    told: [{ type: 'line-added', line: { part: 'seat', did: 'refitted', at: 'left' } }],
    left: true,
    sections: {
      'not-determined': ['Whether this car needs it, nobody could tell: Seat memory, Seat sensing zero (safety).'],
    },
  },
  {
    says: 'a code that stays was there on arrival, or is explained with a name',
    told: [
      { type: 'scanned', when: 'before', codes: [LEAK] },
      { type: 'work-done' },
      { type: 'scanned', when: 'after', codes: [LEAK, { code: 'U0100' }] },
      { type: 'explained', about: { code: 'U0100' }, because: 'module was unplugged while it was read' },
    ],
    released: true,
    sections: {
      found: [
        'P0456: Small fuel vapour leak, was there on arrival.',
        'U0100: Module was unplugged while it was read, Rilla Quist.',
      ],
    },
  },
  {
    says: 'a lamp that stays lit is named',
    told: [{ type: 'lamps', when: 'release', lit: ['airbag'] }],
    from: toCheck,
    released: true,
    sections: { found: ['Airbag lamp is lit: Was lit on arrival.'] },
  },
  {
    says: 'words of the record stay words, whatever they look like',
    told: [{ type: 'not-done', step: 'window-learn', reason: 'declined', note: '<b onclick=x>no</b> & "so"' }],
    released: true,
    sections: { 'not-done': ['Windows learned: Declined, <b onclick=x>no</b> & "so", Rilla Quist.'] },
  },
  {
    says: 'a recorded "ruled out" says who settled it and by what',
    told: [
      { type: 'photo-attached', hash: hash(7) },
      { type: 'not-done', step: 'torque', reason: 'does-not-fit' },
      { type: 'ruled-out', step: 'torque', photo: hash(7), because: 'wheels were never off', by: foreman.name },
    ],
    sections: {
      'not-done': [
        'Wheel bolts torqued: Not needed on this car: wheels were never off. Ode Falkenby.',
        expect.stringContaining('Still to be done: ') as unknown as string,
      ],
    },
  },
];

describe('the page for the customer', () => {
  test.each(CASES)('$says', ({ from = writtenUp, told, released, left, sections = {}, rows = {}, page = {} }) => {
    const runner = from();
    for (const one of told) runner.must({ by: technician.name, ...one });
    if (released) release(runner);
    if (left) leave(runner);
    const made = handOver(sight(runner), rules);
    expect(made).toMatchObject(page);
    for (const [id, lines] of Object.entries(sections)) {
      const section = made.sections.find((one) => one.id === id);
      if (lines === 'left out') expect(section).toBeUndefined();
      else expect(section?.lines.map(({ lead, text }) => (lead ? `${lead}: ${text}` : text))).toEqual(lines);
    }
    for (const [id, row] of Object.entries(rows)) expect(made.rows.find((one) => one.id === id)).toMatchObject(row);
  });

  test('says so where somebody checked their own work', () => {
    const runner = settle(toCheck(true), 'unchecked');
    for (const item of sight(runner).checks.flat())
      runner.must({ type: 'checked', item: item.id, by: technician.name, value: passing(item.asked) });
    runner.must({ type: 'released', by: technician.name });
    expect(handOver(sight(runner), rules).independent).toBe(false);
  });

  test('says on a row that a check is due and was not made', () => {
    const { rows } = handOver(sight(toCheck()), rules);
    expect(rows.filter(({ unchecked }) => unchecked).map(({ id }) => id)).toEqual([
      'alignment',
      'brake-close',
      'torque',
      'steering-zero',
    ]);
  });

  test('writes people out who share their initials', () => {
    const runner = writtenUp();
    runner.must({ type: 'not-done', step: 'window-learn', reason: 'declined', by: 'Ros Quill' });
    runner.must({ type: 'not-done', step: 'codes-read', reason: 'declined', by: 'Rilla Quist' });
    const { people } = handOver(sight(runner), rules);
    expect(people.map(({ initials }) => initials).sort()).toEqual(['Rilla Quist', 'Ros Quill']);
  });

  test('hands on what it is told of self-tests', () => {
    const { sections } = handOver(sight(writtenUp()), rules, ['Two checks are not finished yet.']);
    expect(sections.find(({ id }) => id === 'self-tests')?.lines).toEqual([
      { lead: '', text: 'Two checks are not finished yet.' },
    ]);
  });
});

// The reader is zxing-cpp by way of zxing-wasm, which knows nothing of how the code was drawn.
test.each(['48213', 'RO-2026/0417', 'Ä 7'])('the square code reads back as %s', async (ro) => {
  const wasm = readFileSync(new URL('../node_modules/zxing-wasm/dist/reader/zxing_reader.wasm', import.meta.url));
  prepareZXingModule({ overrides: { wasmBinary: new Uint8Array(wasm).buffer } });
  const [found] = await readBarcodes(painted(ro), { formats: ['QRCode'] });
  expect(found?.text).toBe(ro);
});

/** The drawing as pixels, four to a module. */
function painted(text: string): ImageData {
  const { values } = squareCode(text);
  const [size] = String(values[0]).split(' ').slice(2).map(Number) as [number];
  const wide = size * 4;
  const data = new Uint8ClampedArray(wide * wide * 4).fill(255);
  for (const [, x, y] of String(values[3]).matchAll(/M(\d+) (\d+)h1/g))
    for (let i = 0; i < 16; i++) {
      const at = ((Number(y) + 4) * 4 + Math.floor(i / 4)) * wide + (Number(x) + 4) * 4 + (i % 4);
      data.fill(0, at * 4, at * 4 + 3);
    }
  return { data, width: wide, height: wide, colorSpace: 'srgb' } as ImageData;
}

function release(runner: Runner): void {
  settle(runner);
  runner.must({ type: 'released', by: foreman.name });
}

function leave(runner: Runner): void {
  const lines = sight(runner).safetyLines.map(({ text }) => text);
  runner.must({ type: 'left-unfinished', by: foreman.name, foreman: foreman.name, customer: 'Nel Ashgrove', lines });
}

function passing({
  answer,
  choices,
  limits,
}: {
  answer: string;
  choices: readonly string[];
  limits: readonly { min?: number; max?: number }[];
}) {
  if (answer === 'choice') return { kind: 'choice', value: choices[0] };
  return { kind: 'number', value: ((limits[0]?.min ?? 0) + (limits[0]?.max ?? 0)) / 2 };
}
