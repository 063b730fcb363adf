import { describe, expect, test } from 'vitest';
import { builtCli } from './built-cli.ts';
import { rulebook } from './real-rulebook.ts';

const { lastbolt } = builtCli('show');

describe('show', () => {
  test('writes a page on 100 columns, with the version of the rulebook', async () => {
    const { code, out, err } = await lastbolt(['show', 'forward-camera-aim']);
    expect({ code, err }).toEqual({ code: 0, err: '' });
    for (const words of [
      'Forward camera aim',
      'SAFETY',
      'WHEN IT IS CALLED FOR',
      'WHEN IT IS NOT',
      'WHAT DECIDES',
      'IF IT IS SKIPPED',
      'ITS PLACE IN THE ORDER',
      'CASES THAT HOLD',
      'SOURCES',
      rulebook.version,
    ])
      expect(out).toContain(words);
    expect(out.split('\n').filter((line) => line.length > 100)).toEqual([]);
    // A pager shows it as it is.
    expect([...out].filter((sign) => sign < ' ' && sign !== '\n')).toEqual([]);
  });

  test.each([
    ['an id', ['wheel-alignment'], ['wheel-alignment']],
    ['a title', ['Wheel alignment'], ['wheel-alignment']],
    ['another name', ['SAS reset'], ['steering-angle-zero']],
    ['several', ['brake-bleed', 'wheel-alignment'], ['brake-bleed', 'wheel-alignment']],
    ['a part', ['--part', 'windscreen'], ['windscreen']],
    ['a part by another name', ['--part', 'Windshield'], ['windscreen']],
    ['a source', ['--source', 'CH-005'], ['CH-005']],
    [
      'all three',
      ['brake-bleed', '--part', 'windscreen', '--source', 'CH-005'],
      ['brake-bleed', 'windscreen', 'CH-005'],
    ],
  ])('finds %s', async (_, args, ids) => {
    const { code, out } = await lastbolt(['show', ...args, '--json']);
    expect(code).toBe(0);
    const told = JSON.parse(out) as { rulebook: string; pages: { id: string; sections: unknown[] }[] };
    expect(told.rulebook).toBe(rulebook.version);
    expect(told.pages.map(({ id }) => id)).toEqual(ids);
    for (const { sections } of told.pages) expect(sections.length).toBeGreaterThan(0);
  });

  test.each([
    [['wheel-alignmnt'], 'FOLLOW-UP: unknown follow-up: `wheel-alignmnt`; did you mean `wheel-alignment`?'],
    [['Steering angle zeo'], 'did you mean `steering-angle-zero`?'],
    [['--part', 'windscren'], 'PART: unknown part: `windscren`; did you mean `windscreen`?'],
    [['--source', 'CH-0055'], 'SOURCE: unknown source: `CH-0055`; did you mean `CH-005`?'],
    [['nothing-like-it-at-all'], 'FOLLOW-UP: unknown follow-up: `nothing-like-it-at-all`\n'],
  ])('%j is told with the nearest name', async (args, says) => {
    const { code, out, err } = await lastbolt(['show', ...args]);
    expect({ code, out }).toEqual({ code: 2, out: '' });
    expect(err).toContain(says);
  });

  test('tells all unknown names at once', async () => {
    const { err } = await lastbolt(['show', 'brake-bled', '--part', 'windscren']);
    expect(err.trim().split('\n')).toHaveLength(2);
  });

  test('without a name, the contents: every follow-up once', async () => {
    const { code, out } = await lastbolt(['show']);
    expect(code).toBe(0);
    for (const { id, title } of rulebook.followUps.values()) {
      expect(out).toContain(title);
      expect(out.split('\n').filter((line) => line.endsWith(` ${id}`))).toHaveLength(1);
    }
  });

  test('--all writes contents, every page and both indexes', async () => {
    const { code, out } = await lastbolt(['show', '--all']);
    expect(code).toBe(0);
    expect(out.match(/^={100}$/gm)).toHaveLength(rulebook.followUps.size);
    for (const words of ['INDEX BY PART', 'INDEX BY CODE']) expect(out).toContain(words);
    expect(out.split('\n').filter((line) => line.length > 100)).toEqual([]);
  });

  test('--all --markdown: every link leads to a page in it, and nothing that was written is taken for a sign', async () => {
    const { out } = await lastbolt(['show', '--all', '--markdown']);
    const anchors = new Set([...out.matchAll(/<a id="([^"]+)"><\/a>/g)].map(([, id]) => id));
    expect(anchors).toEqual(new Set(rulebook.followUps.keys()));
    const links = [...out.matchAll(/\]\(#([^)]+)\)/g)].map(([, id]) => id);
    expect(links.length).toBeGreaterThan(1000);
    expect(links.filter((id) => !anchors.has(id))).toEqual([]);
    expect(out.match(/^# /gm)).toHaveLength(1);
  });
});
