import { mkdirSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { builtCli } from './built-cli.ts';
import { filesOf, on, type Small } from './small-rulebook.ts';

const { work, lastbolt, file: write } = builtCli('cli');

function file(name: string, content: string | Buffer | object): string {
  return join(work, write(name, content));
}

/** A rulebook folder of a few lines. */
function folder(name: string, small: Small, more: Readonly<Record<string, string>> = {}): string {
  const path = join(work, name);
  mkdirSync(join(path, 'test'), { recursive: true });
  for (const [at, text] of [...filesOf(small), ...Object.entries(more)]) writeFileSync(join(path, at), text);
  return path;
}

const camera = {
  traits: { camera: ['none', 'target', 'road'] },
  parts: { windscreen: { title: 'Windscreen' }, bolt: { at: ['front-left'] } },
  states: { level: { start: 'confirm', question: 'Does it stand level?' } },
  rules: {
    aim: {
      title: 'Camera aim',
      safety: true,
      fits: { '!=': [{ var: 'camera' }, 'none'] },
      triggers: [{ ...on('windscreen refitted'), because: 'the camera looks through it' }],
      needs: [{ state: 'torque' }, { state: 'level' }],
      ways: [{ id: 'target', tool: 'target-stand', setup: { ignition: 'on', place: 'rack' }, minutes: { hands: 40 } }],
    },
    torque: {
      title: 'Bolts torqued',
      triggers: [{ ...on('bolt refitted'), because: 'it was off' }],
      ways: [{ id: 'do', minutes: { hands: 5, wait: 30 } }],
    },
  },
};
const glass = {
  ro: '4471',
  vehicle: { traits: { camera: 'target' } },
  work: [
    { part: 'windscreen', did: 'replaced' },
    { part: 'bolt', did: 'replaced', at: 'front-left' },
  ],
};
const open = { ...glass, vehicle: { traits: { camera: null } } };
const smallBook = folder('camera', camera);

describe.concurrent('plan', () => {
  test('prints steps in order with set-up, safety, why, waits and time, on 80 columns', async () => {
    const { code, out, err } = await lastbolt(['plan', file('glass.json', glass), '--rules', smallBook]);
    expect([code, err]).toEqual([0, '']);
    for (const words of [
      'RO 4471',
      '1. Bolts torqued',
      'required, 5 min + 30 min wait',
      '-- set up: Ignition: on; Place: rack (6 min)',
      '2. SAFETY Camera aim',
      'required, 40 min',
      'why: Windscreen replaced: the camera looks through it',
      'how: with target stand',
      'waits for: 1; because it needs "torque"',
      'ask first: Does it stand level?',
      'until the car can go: 45 min hands on, 6 min changing set-ups, 30 min',
    ]) {
      expect(out).toContain(words);
    }
    expect(out.indexOf('Bolts torqued')).toBeLessThan(out.indexOf('Camera aim'));
    expect(Math.max(...out.split('\n').map((line) => line.length))).toBeLessThanOrEqual(80);
  });

  test('gives the checklist as JSON, the same bytes each time', async () => {
    const args = ['plan', file('glass.json', glass), '--json', '--rules', smallBook];
    const [one, two] = await Promise.all([lastbolt(args), lastbolt(args)]);
    const list = JSON.parse(one.out);
    expect(list.steps.map((s: { id: string }) => s.id)).toEqual(['torque', 'aim']);
    expect(list.steps[1]).toMatchObject({
      followUp: 'aim',
      level: 'required',
      safety: true,
      phase: 'after',
      way: 'target',
      waitsFor: ['torque'],
      minutes: { hands: 40 },
    });
    expect(list).toMatchObject({
      ro: '4471',
      undecided: [],
      time: { hands: 45, changes: 6, waiting: 30, total: 81 },
      proved: true,
    });
    expect(two.out).toBe(one.out);
  });

  test('tells with --all what is left out and why', async () => {
    const job = file('bolt.json', { ro: '1', work: [{ part: 'bolt', did: 'refitted' }] });
    const [all, short] = await Promise.all([
      lastbolt(['plan', job, '--all', '--rules', smallBook]),
      lastbolt(['plan', job, '--rules', smallBook]),
    ]);
    expect(all.out).toContain('Camera aim: nothing on this job calls for it');
    expect(short.out).not.toContain('Camera aim');
  });

  test('shows what is undecided with the question that settles it; only --strict makes that exit code 1', async () => {
    const job = file('open.json', open);
    const [plain, strict, settled] = await Promise.all([
      lastbolt(['plan', job, '--rules', smallBook]),
      lastbolt(['plan', job, '--strict', '--rules', smallBook]),
      lastbolt(['plan', file('glass.json', glass), '--strict', '--rules', smallBook]),
    ]);
    expect(plain.out).toContain('UNDECIDED');
    expect(plain.out).toContain('ask: camera? (none / target / road)');
    expect([plain.code, strict.code, settled.code]).toEqual([0, 1, 0]);
    expect(strict.out).toBe(plain.out);
  });

  test('says so where nothing is left to do', async () => {
    const { code, out } = await lastbolt(['plan', '-', '--rules', smallBook], '{"ro":"1","work":[]}');
    expect(code).toBe(0);
    expect(out).toContain('Nothing on this job calls for anything more.');
  });

  test('reads standard input, and a file that begins with a byte order mark', async () => {
    const text = JSON.stringify(glass);
    const [piped, marked] = await Promise.all([
      lastbolt(['plan', '-', '--rules', smallBook], text),
      lastbolt(['plan', file('bom.json', `\uFEFF${text}`), '--rules', smallBook]),
    ]);
    expect([piped.code, marked.code]).toEqual([0, 0]);
    expect(marked.out).toBe(piped.out);
  });

  test('finds the rulebook of the package by itself', async () => {
    const { code, out, err } = await lastbolt(['plan', '-'], '{"ro":"1","work":[]}');
    expect([code, err]).toEqual([0, '']);
    expect(out).toContain('RO 1');
  });
});

/** Name, what is wrong with it, and all lines that standard error must hold. */
const unusable: [string, unknown, ...string[]][] = [
  ['broken JSON', '{"ro": "1",\n "work": [}', ': is not JSON from line 2, column 11 on; wants value or "]"'],
  ['empty', '', ': is not JSON from line 1, column 1 on; wants value'],
  ['a number', '4471', 'expected object'],
  ['UTF-16', Buffer.from('\uFEFF{}', 'utf16le'), ': is not UTF-8 text; save it as UTF-8'],
  [
    'unknown part, action, position and trait, all at once',
    {
      ro: '1',
      vehicle: { traits: { camra: 'road' } },
      work: [
        { part: 'windscren', did: 'replaced' },
        { part: 'windscreen', did: 'replacd' },
        { part: 'bolt', did: 'refitted', at: 'front-lft' },
      ],
    },
    '#/work/0/part: unknown part: `windscren`; did you mean `windscreen`?',
    '#/work/1/did: is not allowed here: `replacd`; one of inspected,',
    'did you mean `replaced`?',
    '#/work/2/at: unknown position: `front-lft`; `bolt` can be at front-left; did you mean `front-left`?',
    '#/vehicle/traits/camra: unknown trait: `camra`; did you mean `camera`?',
  ],
  [
    'a trait outside its domain',
    { ro: '1', vehicle: { traits: { camera: 'radar' } }, work: [] },
    '#/vehicle/traits/camera: is not one of none, target, road for trait `camera`: `radar`',
  ],
  ['an unknown key', { ro: '1', work: [], vehicel: {} }, '#/vehicel: unknown key: `vehicel`; did you mean `vehicle`?'],
  ['no RO number and no work', {}, '#/ro: is missing', '#/work: is missing'],
  [
    'keys that reach into prototypes',
    '{"ro":"1","work":[],"__proto__":{"a":1},"vehicle":{"traits":{"constructor":"x"}}}',
    '#/__proto__: forbidden key',
    '#/vehicle/traits/constructor: forbidden key',
  ],
  ['200 levels', '['.repeat(200) + ']'.repeat(200), 'nested deeper than 64 levels'],
  ['100,000 levels', '['.repeat(100_000) + ']'.repeat(100_000), 'nested deeper than 64 levels'],
  [
    'an answer to no question',
    { ro: '1', work: [], answers: { 'holds:levl': 'yes' } },
    '#/answers/holds:levl: answers a question about something unknown: `levl`; did you mean `level`?',
  ],
];

describe.concurrent('unusable input ends with exit code 2 and every fault on standard error', () => {
  test.each(unusable)('%s', async (name, content, ...lines) => {
    const path = file(`${name.replace(/\W+/g, '-')}.json`, content as string);
    const { code, out, err } = await lastbolt(['plan', path, '--rules', smallBook]);
    expect([code, out]).toEqual([2, '']);
    for (const line of lines) expect(err).toContain(line);
    expect(
      err
        .trimEnd()
        .split('\n')
        .every((line) => line.startsWith(path)),
    ).toBe(true);
  });

  test('a file of 50 MB, refused before it is read', async () => {
    const path = file('large.json', '');
    truncateSync(path, 50_000_000);
    const { code, err } = await lastbolt(['plan', path, '--rules', smallBook]);
    expect(code).toBe(2);
    expect(err).toBe(`${path}: is too large to be one of ours (50.0 MB): the most is 5 MB\n`);
  });

  test('standard input that does not end', async () => {
    const { code, err } = await lastbolt(['plan', '-', '--rules', smallBook], Buffer.alloc(20_000_000, ' '));
    expect(code).toBe(2);
    expect(err).toBe('standard input: is too large to be one of ours: the most is 5 MB\n');
  });

  test.each([
    ['a missing file', ['plan', 'no-such.json'], 'no-such.json: no such file'],
    ['a folder', ['plan', '.'], '.: is a folder; name one file in it'],
    ['no rulebook', ['plan', '-', '--rules', 'no-such'], 'no-such: no such folder'],
    ['a folder that is none', ['lint', '.'], '.: holds no rulebook'],
    ['no file named', ['plan'], "missing required argument 'FILE'"],
    ['an unknown command', ['pln'], 'Did you mean plan?'],
    ['an unknown option', ['plan', '-', '--strct'], 'Did you mean --strict?'],
    [
      'an unknown follow-up',
      ['explain', 'steering-angle-zro'],
      'unknown follow-up: `steering-angle-zro`; did you mean `steering-angle-zero`?',
    ],
  ])('%s', async (_, args, line) => {
    const { code, out, err } = await lastbolt(args);
    expect([code, out]).toEqual([2, '']);
    expect(err).toContain(line);
  });

  test('a rulebook with faults, each with its file', async () => {
    const broken = folder('broken', camera, { 'test/bad.json': '{' });
    const { code, err } = await lastbolt(['plan', file('glass.json', glass), '--rules', broken]);
    expect(code).toBe(2);
    expect(err).toBe(`${join(broken, 'test/bad.json')}: is not JSON from line 1, column 2 on; wants key or "}"\n`);
  });
});

describe.concurrent('why, ask and explain', () => {
  test('why shows the tree of causes and what would change it', async () => {
    const { code, out } = await lastbolt(['why', file('glass.json', glass), 'aim', '--rules', smallBook]);
    expect(code).toBe(0);
    expect(out).toContain('Camera aim: needed, required, SAFETY');
    expect(out).toContain('  - Windscreen replaced: the camera looks through it\n    - camera: target, as told');
    expect(out).toContain('excluded if: camera is none');
  });

  test('why names the first fact that excludes, and the answer that would add it', async () => {
    const without = file('without.json', { ...glass, vehicle: { traits: { camera: 'none' } } });
    const { out } = await lastbolt(['why', without, 'aim', '--rules', smallBook]);
    expect(out).toContain('Camera aim: excluded\nbecause on this car camera: none');
    expect(out).toContain('needed if: camera is target');
  });

  test('ask lists questions with answers and what each settles, answered ones behind', async () => {
    const [asked, answered] = await Promise.all([
      lastbolt(['ask', file('open2.json', { ...glass, vehicle: {} }), '--rules', smallBook]),
      lastbolt(['ask', file('glass.json', glass), '--rules', smallBook]),
    ]);
    expect(asked.out).toContain('1. SAFETY camera?');
    expect(asked.out).toContain('answers: none / target / road');
    expect(asked.out).toContain('settles: Camera aim');
    expect(answered.out).toContain('Nothing left to ask');
    expect(answered.out).toContain('- camera? target');
  });

  test('explain tells what a follow-up meets, and which file says so', async () => {
    const { code, out } = await lastbolt(['explain', 'torque', '--rules', smallBook]);
    expect(code).toBe(0);
    expect(out).toContain('bolt refitted: required, it was off');
    expect(out).toContain(
      'stands before\n  - `aim`: `aim` needs `torque`, which `torque` leaves (test/aim.json#/needs/0)',
    );
  });
});

const sound = {
  cautions: ['hot'],
  skipped: [{ notice: 'n', 'sets-in': 'at-once' }],
  sources: [{ id: 's', basis: 'memory' }],
  examples: [{ work: ['bolt refitted'], verdict: 'needed' }, { verdict: 'excluded' }],
};

describe.concurrent('lint', () => {
  test('is clean on the rulebook of the package', async () => {
    const { code, out, err } = await lastbolt(['lint']);
    expect(out).toBe('');
    expect(err).toMatch(/follow-ups: 0 faults, \d+ remarks?/);
    expect(code).toBe(0);
  }, 60_000);

  test('reports all of a hundred faults in a hundred files, shape and meaning together', async () => {
    const many: Record<string, Record<string, unknown>> = {};
    for (let i = 0; i < 100; i++) {
      const trigger = { ...on('bolt refitted'), sources: ['s'] };
      const faults = [
        { safty: true },
        { fits: { '===': [{ var: 'camera' }, 'none'] } },
        { needs: [{ state: 'nowhere' }] },
        { fits: { var: '__proto__' } },
      ];
      many[`rule-${String(i).padStart(2, '0')}`] = { ...sound, triggers: [trigger], ...faults[i % 4] };
    }
    const path = folder(
      'hundred',
      { ...camera, rules: many },
      { 'sources.json': '{"s":{"publisher":"p","title":"t"}}' },
    );
    const { code, out, err } = await lastbolt(['lint', path]);
    const lines = out.trimEnd().split('\n');
    expect(code).toBe(1);
    for (const id of Object.keys(many))
      expect(
        lines.filter((line) => line.startsWith(`test/${id}.json#`)),
        id,
      ).toHaveLength(1);
    expect(lines).toHaveLength(100);
    expect(err).toMatch(/: 100 faults, /);
    expect(out).toContain('unknown key: `safty`; did you mean `safety`?');
    expect(out).toContain('unknown operator: `===`; allowed: var ==');
    expect(out).toContain('unknown state: `nowhere`');
  });

  test('shows remarks only when asked, and they leave the exit code alone', async () => {
    const clean = { ...sound, triggers: [{ ...on('bolt refitted'), sources: ['s'] }] };
    const parts = { bolt: {}, 'left-over': { title: 'Left over' } };
    const path = folder(
      'remarks',
      { rules: { clean }, parts },
      { 'sources.json': '{"s":{"publisher":"p","title":"t"}}' },
    );
    const [quiet, loud, json] = await Promise.all([
      lastbolt(['lint', path]),
      lastbolt(['lint', path, '--remarks']),
      lastbolt(['lint', path, '--json']),
    ]);
    expect([quiet.code, loud.code, json.code]).toEqual([0, 0, 0]);
    expect(quiet.out).toBe('');
    expect(loud.out).toContain('parts.json#/left-over: nothing uses this row: `left-over` [remark, used-row]');
    expect(JSON.parse(json.out)).toContainEqual(
      expect.objectContaining({ lint: 'used-row', pointer: '/left-over', severity: 'remark' }),
    );
  }, 60_000);

  test('lists what it checks', async () => {
    const { code, out } = await lastbolt(['lint', '--list']);
    expect(code).toBe(0);
    expect(out).toContain('no-ring (order): no car and job make steps wait for each other in a ring');
  });
});

describe.concurrent('schema', () => {
  test('writes all schemas, then finds them up to date; one that was touched is out of date', async () => {
    const path = folder('schema', camera);
    expect((await lastbolt(['schema', '--check', '--rules', path])).code).toBe(1);
    expect((await lastbolt(['schema', '--rules', path])).out).toContain('follow-up.json');
    expect(await lastbolt(['schema', '--check', '--rules', path])).toMatchObject({ code: 0, err: '' });
    writeFileSync(join(path, 'schema/parts.json'), '{}');
    const stale = await lastbolt(['schema', '--check', '--rules', path]);
    expect(stale.code).toBe(1);
    expect(stale.err).toContain('parts.json: is out of date');
  });
});

describe.concurrent('--help', () => {
  test.each(['plan', 'why', 'ask', 'explain', 'lint', 'schema', 'serve'])('%s', async (command) => {
    const { code, out, err } = await lastbolt([command, '--help']);
    expect([code, err]).toEqual([0, '']);
    expect(out).toContain(`Usage: lastbolt ${command}`);
  });

  test('of the whole names every command', async () => {
    const { code, out } = await lastbolt(['--help']);
    expect(code).toBe(0);
    for (const command of ['plan', 'why', 'ask', 'explain', 'lint', 'schema', 'serve'])
      expect(out).toMatch(new RegExp(`^  ${command} `, 'm'));
  });
});
