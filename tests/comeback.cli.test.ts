import { mkdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { builtCli } from './built-cli.ts';
import type { Comeback } from '../src/job/comeback/comeback.ts';
import { openLog } from '../src/store/log/log.ts';
import { rulebook } from './real-rulebook.ts';
import { Runner } from './job.run.ts';

const { work, lastbolt, file } = builtCli('comeback');

const VIN = '1XXAA11A8S1000001';
const job = file('job.json', {
  ro: '4711',
  vehicle: { vin: VIN, maker: 'nissan', modelYear: 2007, traits: { throttle: 'electronic', 'idle-learn': 'separate' } },
  work: [{ part: 'throttle-body', did: 'cleaned' }],
});

describe.concurrent('comeback', () => {
  test('ranks causes with reasons, the first test and when to look afresh, on 80 columns', async () => {
    const { code, out } = await lastbolt([
      'comeback',
      job,
      '--says',
      'idles at 1800 since the throttle was cleaned',
      '--days',
      '2',
    ]);
    expect(code).toBe(0);
    expect(out).toMatch(
      /^== it came back =+\n"idles at 1800 since the throttle was cleaned"\n2 days after hand-over\n/,
    );
    expect(out).toMatch(/\n1\. Idle air learn: never done, \d+%\n/);
    expect(out).toContain('   = no record says that it was done');
    expect(out).toMatch(/\n== first test =+\n/);
    expect(out).toMatch(/\n== none of these: diagnose afresh =+\nnot yet: \d+%, from 50% on/);
    for (const line of out.split('\n')) expect(line.length, line).toBeLessThanOrEqual(80);
  });

  test('gives the same as JSON, from standard input too', async () => {
    const args = ['--says', 'idles high', '--code', 'p0507', '--json'];
    const { out } = await lastbolt(['comeback', job, ...args]);
    const told = JSON.parse(out) as Comeback;
    expect(told.causes[0]?.id).toBe('idle-air-learn');
    expect(told.causes[0]?.because).toContain('code P0507 shows where it is skipped');
    const text = readFileSync(join(work, job), 'utf8');
    expect((await lastbolt(['comeback', '-', ...args], text)).out).toBe(out);
  });

  test('looks afresh where nothing on the job explains it: exit code 1', async () => {
    const { code, out } = await lastbolt(['comeback', job, '--says', 'the ashtray is full', '--code', 'P0420']);
    expect(code).toBe(1);
    expect(out).toContain('nothing on this job explains P0420');
  });

  test('reads codes out of a report, and refuses that of another car', async () => {
    const report = file('report.txt', `VIN ${VIN}\nECM\nP0507 stored\n`);
    expect((await lastbolt(['comeback', job, '--report', report])).out).toContain('codes now: P0507');
    const other = file('other.txt', 'VIN 1HGCM82633A004352\nP0507 stored\n');
    const { code, err } = await lastbolt(['comeback', job, '--report', other]);
    expect([code, err]).toEqual([
      2,
      `other.txt: is a report of another car: VIN 1HGCM82633A004352; the job is of VIN ${VIN}\n`,
    ]);
  });

  test('reads one job as export writes it, with who did what', async () => {
    const runner = new Runner([rulebook]);
    for (const told of [
      { type: 'opened' },
      { type: 'vehicle-told', vehicle: { maker: 'nissan', modelYear: 2007 } },
      { type: 'trait-told', trait: 'throttle', answer: { value: 'electronic', by: 'looked' } },
      { type: 'trait-told', trait: 'idle-learn', answer: { value: 'separate', by: 'looked' } },
      { type: 'line-added', line: { part: 'throttle-body', did: 'cleaned' } },
      { type: 'work-done' },
      { type: 'not-done', step: 'idle-air-learn', reason: 'no-tool', by: 'Ben', id: 'left' },
    ])
      runner.must(told);
    const { log } = await openLog(join(work, 'record'), { create: true });
    await log.append('4711', 0, runner.events);
    file('record.jsonl', (await log.exported('4711')) as string);
    await log.close();
    const { code, out } = await lastbolt(['comeback', 'record.jsonl', '--says', 'idles high']);
    expect(code).toBe(0);
    expect(out).toContain('1. Idle air learn: never done');
    expect(out.replace(/\s+/g, ' ')).toContain('Idle air learn is down as not done: no tool (Ben,');
  });

  test.each([
    [
      'no complaint and no code',
      [job],
      'comeback: wants a complaint or a code; --says WORDS, --code CODE or --report FILE\n',
    ],
    ['what is no code', [job, '--code', 'P12'], '--code: `P12` is no trouble code such as P0123 or C1234-5A\n'],
    ['no such file', ['nix.json', '--says', 'a'], 'nix.json: no such file\n'],
    [
      'a speech without end',
      [job, '--says', 'a '.repeat(4000)],
      '--says: is too long: 7999 characters, 5000 at most\n',
    ],
    [
      'no JSON',
      [file('broken.json', '{"ro": '), '--says', 'a'],
      'broken.json: is not JSON from line 1, column 8 on; wants value\n',
    ],
    [
      'an unknown part',
      [file('part.json', { ro: '1', work: [{ part: 'throttle-bodi', did: 'cleaned' }] }), '--says', 'a'],
      'part.json#/work/0/part: unknown part: `throttle-bodi`; did you mean `throttle-body`?\n',
    ],
    [
      'a record that is none',
      [file('false.json', { format: 'lastbolt-record', v: 1, job: '1', links: [] }), '--says', 'a'],
      undefined,
    ],
  ])('refuses %s with exit code 2', async (_, args, said) => {
    const { code, out, err } = await lastbolt(['comeback', ...args]);
    expect([code, out]).toEqual([2, '']);
    if (said === undefined) expect(err).toContain('false.json: is no record that can be read');
    else expect(err).toBe(said);
  });

  test.each(['-1', '1.5', 'soon', '99999'])('refuses %s days', async (days) => {
    const { code, err } = await lastbolt(['comeback', job, '--says', 'a', '--days', days]);
    expect(code).toBe(2);
    expect(err).toContain('wants whole days, 0 to 3650');
  });

  test('refuses a rulebook without a table of complaints', async () => {
    mkdirSync(join(work, 'bare'), { recursive: true });
    for (const [name, value] of Object.entries({
      traits: {},
      parts: {},
      states: {},
      sources: {},
      setups: { dimensions: {}, forbidden: [], tools: {}, drive: { setup: {}, becomes: {} } },
    }))
      file(`bare/${name}.json`, value);
    const { code, err } = await lastbolt(['comeback', job, '--says', 'a', '--rules', 'bare']);
    expect([code, err]).toEqual([2, 'bare: has no complaints.json; complaints can not be read without it\n']);
  });

  test('--help', async () => {
    const { code, out } = await lastbolt(['comeback', '--help']);
    expect(code).toBe(0);
    expect(out).toContain('Usage: lastbolt comeback');
  });
});
