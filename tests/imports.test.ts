import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { posix, sep } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { drawerIn, violations } from './imports.ts';

const top = fileURLToPath(new URL('..', import.meta.url));

describe('the house', () => {
  const modules = filesUnder('src', 'components').filter((path) => /\.[cm]?[jt]sx?$/.test(path));

  test('was seen at all', () => {
    expect(modules.length).toBeGreaterThan(0);
  });

  test('imports only downwards, and plans without clock, disk, network or randomness', () => {
    const found = modules.flatMap((path) => violations(path, readFileSync(top + path, 'utf8')));
    expect(found).toEqual([]);
  });

  test('has no drawers', () => {
    expect(filesUnder('src', 'components', 'rules', 'tests', '.ci').filter(drawerIn)).toEqual([]);
  });
});

/** Each case: a module, and the words its violation must hold; none means it must be clean. */
const cases: [path: string, text: string, ...words: string[]][] = [
  // direction
  ['src/job/a.ts', `import { x } from '../vehicle/vin.ts';`],
  ['src/job/a.ts', `import { x } from './events.ts';`],
  ['src/vehicle/a.ts', `import { x } from '../job/events.ts';`, 'vehicle (0) may not import from job (4)'],
  [
    'src/vehicle/a.ts',
    `import type { X } from '../rulebook/schema.ts';`,
    'vehicle (0) may not import from rulebook (1)',
  ],
  ['src/vehicle/a.ts', `import { x } from '../sequence/search.ts';`, 'vehicle (0) may not import from sequence (0)'],
  ['src/rulebook/a.ts', `export { x } from '../scan/codes.ts';`, 'rulebook (1) may not import from scan (2)'],
  ['src/rulebook/a.ts', `export type * from '../resolve/verdict.ts';`, 'rulebook (1) may not import from resolve (2)'],
  [
    'src/resolve/a.ts',
    `const x = await import('../checklist.ts');`,
    'resolve (2) may not import from checklist.ts (3)',
  ],
  ['src/resolve/a.ts', `type X = import('../job/events.ts').Event;`, 'resolve (2) may not import from job (4)'],
  ['src/scan/a.ts', `import x = require('../drive/judge.ts');`, 'scan (2) may not import from drive (2)'],
  [
    'src/drive/a.ts',
    `const w = new Worker(new URL('../job/w.ts', import.meta.url));`,
    'drive (2) may not import from job (4)',
    'import.meta',
  ],
  ['src/checklist.ts', `import { x } from './job/events.ts';`, 'checklist.ts (3) may not import from job (4)'],
  ['src/checklist.ts', `import { x } from './resolve/resolve.ts';`],
  ['src/job/a.ts', `import { x } from '../store/log.ts';`, 'job (4) may not import from store (5)'],
  ['src/store/a.ts', `import { x } from '../job/events.ts';\nimport { readFile } from 'node:fs/promises';`],
  ['src/store/a.ts', `import { x } from '../server/main.ts';`, 'store (5) may not import from server (6)'],
  ['src/server/a.ts', `import { x } from '../store/log.ts';\nconst now = Date.now();`],
  ['src/server/a.ts', `import { x } from '../cli/main.ts';`, 'server (6) may not import from cli (7)'],
  ['components/a/a.ts', `import { x } from '../../src/job/gate.ts';\nimport '../b/b.ts';`],
  ['components/a/a.ts', `import { x } from '../../src/store/log.ts';`, 'components (6) may not import from store (5)'],
  ['components/a/a.ts', `import { x } from '../../src/app/routes.ts';`, 'components (6) may not import from app (6)'],
  ['src/app/a.ts', `import '../../components/a/a.ts';\nimport { x } from '../checklist.ts';\nfetch('/api');`],
  ['src/app/a.ts', `import { x } from '../store/log.ts';`, 'app (6) may not import from store (5)'],
  ['src/app/a.ts', `import type { x } from '../server/routes.ts';`, 'app (6) may not import from server (6)'],
  // outside the house
  ['src/loose.ts', `export const x = 1;`, 'no folder that has a place'],
  ['src/misc/a.ts', `export const x = 1;`, 'no folder that has a place'],
  ['src/job/a.ts', `import { x } from '../../tests/imports.ts';`, 'outside the house'],
  ['src/job/a.ts', `import { x } from '../../../elsewhere/a.ts';`, 'outside the house'],
  ['src/job/a.ts', `import { x } from '/src/vehicle/vin.ts';`, 'absolute path'],
  ['src/cli/a.ts', `const name = './x.ts'; await import(name);`, 'imports what it computes'],
  ['src/rulebook/a.ts', `import brakes from '../../rules/brakes/x.json';`, 'only server, cli, app read rules'],
  ['src/app/a.ts', `const rules = import.meta.glob('../../rules/**/*.json');`],
  [
    'src/app/a.ts',
    `const x = import.meta.glob(['../store/*.ts', '../job/*.ts']);`,
    'app (6) may not import from store (5)',
  ],
  // purity
  ['src/sequence/a.ts', `import { readFileSync } from 'node:fs';`, 'imports node:fs: sequence is pure'],
  ['src/sequence/a.ts', `import { readFile } from 'fs/promises';`, 'imports fs/promises: sequence is pure'],
  ['components/a/a.ts', `import { join } from 'node:path';`, 'components runs in a browser'],
  ['src/app/a.ts', `import { join } from 'path';`, 'app runs in a browser'],
  [
    'src/job/a.ts',
    `import { z } from 'zod';\nexport const at = new Date(event.at), first = Date.UTC(2026, 0, 1), most = Math.max(1, 2);`,
  ],
  ['src/job/a.ts', `const now = Date.now();`, 'uses Date.now'],
  ['src/job/a.ts', `const now = new Date();`, 'uses new Date()'],
  ['src/job/a.ts', `const now = new Date;`, 'uses new Date()'],
  ['src/job/a.ts', `const now = Date();`, 'uses Date as a value'],
  ['src/job/a.ts', `const D = Date;`, 'uses Date as a value'],
  ['src/job/a.ts', `class Clock extends Date {}`, 'uses Date as a value'],
  ['src/job/a.ts', `interface Stamp extends Date {}`],
  ['src/job/a.ts', `const { now } = Date;`, 'uses Date as a value'],
  ['src/job/a.ts', `const x = Math.random();`, 'uses Math.random'],
  ['src/job/a.ts', `const x = Math['random']();`, 'uses Math as a value'],
  ['src/job/a.ts', `const id = crypto.randomUUID();`, 'uses crypto.randomUUID'],
  ['src/job/a.ts', `const t = performance.now();`, 'uses performance'],
  ['src/job/a.ts', `await fetch('/x');`, 'uses fetch'],
  ['src/job/a.ts', `const get = globalThis.fetch;`, 'uses globalThis', 'uses fetch'],
  ['src/job/a.ts', `setTimeout(() => {}, 1);`, 'uses setTimeout'],
  ['src/job/a.ts', `const later = { setTimeout };`, 'uses setTimeout'],
  ['src/job/a.ts', `const home = process.env.HOME;`, 'uses process'],
  [
    'src/job/a.ts',
    `interface Log { fetch: string; at: Date }\nconst x = { fetch: 1, process: 2 };\nlog.fetch(x.process);`,
  ],
  ['src/job/a.ts', `// Date.now() and fetch()\nconst s = 'Math.random()';`],
  ['components/a/a.ts', `const at = Date.now();\nsetTimeout(() => {}, 1);`],
  ['components/a/a.ts', `await fetch('/x');`, 'never fetches'],
  ['components/a/a.ts', `await window.fetch('/x');`, 'never fetches'],
  ['components/a/a.ts', `navigator.sendBeacon('/x');`, 'never fetches'],
  ['components/a/a.ts', `const stream = new EventSource('/x');`, 'never fetches'],
];

describe('the checker', () => {
  test.each(cases)('%s: %s', (path, text, ...words) => {
    const found = violations(path, text);
    expect(found).toHaveLength(words.length);
    words.forEach((word, at) => expect(found[at]).toContain(word));
  });

  test('names the line', () => {
    const text = `const a = 1;\n\nimport { x } from '../job/events.ts';\n`;
    expect(violations('src/vehicle/a.ts', text)[0]).toMatch(/^src\/vehicle\/a\.ts:3: imports src\/job\/events\.ts: /);
  });

  test.each([
    ['src/job/utils.ts', 'utils'],
    ['src/core/rules.ts', 'core'],
    ['components/common/a.ts', 'common'],
    ['tests/helpers/a.ts', 'helpers'],
    ['src/scan/types.d.ts', 'types'],
    ['src/scan/code-types.ts', undefined],
    ['rules/tyres/wheel-torque.json', undefined],
  ])('drawer in %s: %s', (path, drawer) => {
    expect(drawerIn(path)).toBe(drawer);
  });
});

function filesUnder(...folders: string[]): string[] {
  return folders
    .filter((folder) => existsSync(top + folder))
    .flatMap((folder) => {
      const names = readdirSync(top + folder, { recursive: true, withFileTypes: true }).filter((entry) =>
        entry.isFile(),
      );
      return names.map((entry) =>
        posix.join(
          folder,
          entry.parentPath
            .slice(top.length + folder.length)
            .split(sep)
            .join('/'),
          entry.name,
        ),
      );
    });
}
