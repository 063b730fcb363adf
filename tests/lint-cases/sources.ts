import { on } from '../small-rulebook.ts';
import { limited, sources, when, type LintCase } from './make.ts';

export const fromSources: readonly LintCase[] = [
  {
    lint: 'sourced-trigger',
    fault: 'trigger without sources',
    small: { rules: { a: { triggers: [on('bolt replaced'), when(on('bolt refitted'), { sources: ['s'] })] } } },
    finds: [['/triggers/0', 'trigger without sources']],
  },
  {
    lint: 'sourced-trigger',
    fault: 'none',
    small: { rules: { a: { triggers: [when(on('bolt refitted'), { sources: ['s'] })] } } },
    finds: [],
  },
  {
    lint: 'sourced-figure',
    fault: 'limit, drive, tries, waits and lag without sources',
    small: {
      rules: {
        a: {
          sources: sources('s', 't'),
          proof: [limited({ min: 1 })],
          needs: [{ state: 'a', within: { seconds: 5 } }],
          ways: [
            {
              id: 'do',
              drive: { 'from-km/h': 40 },
              tries: { most: 3, then: 'stop' },
              minutes: { wait: 5 },
              closing: { wait: { seconds: 9 } },
              entry: [limited({ max: 2 })],
            },
          ],
        },
      },
    },
    finds: [
      ['/needs/0/within', 'lag'],
      ['/proof/0/limits/0', 'limit'],
      ['/ways/0/closing/wait'],
      ['/ways/0/drive', 'drive figures'],
      ['/ways/0/entry/0/limits/0'],
      ['/ways/0/minutes/wait'],
      ['/ways/0/tries'],
    ],
  },
  {
    lint: 'sourced-figure',
    fault: 'none: named on the figure or on its way',
    small: {
      rules: {
        a: {
          sources: sources('s', 't'),
          proof: [limited({ min: 1, sources: ['s'] }), limited({ text: "the maker's figure" })],
          ways: [{ id: 'do', drive: { minutes: 4 }, minutes: { hands: 5, wait: 5 }, sources: ['t'] }],
        },
      },
    },
    finds: [],
  },
  {
    lint: 'sourced-figure',
    fault: 'none: the file has one source only',
    small: { rules: { a: { sources: sources('s'), proof: [limited({ min: 1 })] } } },
    finds: [],
  },
  {
    lint: 'listed-source',
    fault: "source is not in the file's list, or twice",
    small: {
      rules: {
        a: {
          sources: sources('maker-page', 'maker-page'),
          triggers: [when(on('bolt refitted'), { sources: ['maker-pag'] })],
        },
      },
    },
    finds: [
      ['/sources/1', 'twice'],
      ['/triggers/0/sources/0', "not in the file's list", 'maker-page', 'maker-pag'],
    ],
  },
  {
    lint: 'listed-source',
    fault: 'none',
    small: { rules: { a: { sources: sources('s'), triggers: [when(on('bolt refitted'), { sources: ['s'] })] } } },
    finds: [],
  },
  {
    lint: 'known-source',
    fault: 'sources.json has no such source',
    small: {
      tables: { 'sources.json': { 'maker-page': { publisher: 'p', title: 't' } } },
      parts: { bolt: { implies: [{ when: 'refitted', part: 'bolt', did: 'adjusted', because: 'b', sources: ['x'] }] } },
      traits: { camera: { values: { none: 'none' }, sources: ['maker-pages'] } },
      rules: { a: { sources: sources('maker-pge') } },
    },
    finds: [
      ['parts.json#/bolt/implies/0/sources/0'],
      ['test/a.json#/sources/0/id', 'unknown source', 'maker-page'],
      ['traits.json#/camera/sources/0', 'maker-page'],
    ],
  },
  {
    lint: 'known-source',
    fault: 'none',
    small: {
      tables: { 'sources.json': { s: { publisher: 'p', title: 't' } } },
      rules: { a: { sources: sources('s') } },
    },
    finds: [],
  },
  {
    lint: 'used-source',
    fault: 'listed source is named nowhere',
    small: { rules: { a: { sources: sources('s', 't'), triggers: [when(on('bolt refitted'), { sources: ['s'] })] } } },
    finds: [['/sources/1', 'named nowhere', 't']],
  },
  {
    lint: 'used-source',
    fault: 'none',
    small: {
      rules: {
        a: {
          sources: sources('s', 't'),
          triggers: [when(on('bolt refitted'), { sources: ['s'] })],
          ways: [{ id: 'do', sources: ['t'] }],
        },
      },
    },
    finds: [],
  },
  {
    lint: 'stated-basis',
    fault: 'no sources, read without a day, and read what nobody wrote',
    small: {
      tables: { 'sources.json': { memory: { publisher: 'p', title: 't', kind: 'memory' } } },
      rules: {
        a: {},
        b: {
          sources: [
            { id: 'memory', basis: 'read', 'read-on': '2026-11-25' },
            { id: 's', basis: 'read' },
          ],
        },
      },
    },
    finds: [
      ['test/a.json#/sources', 'no sources'],
      ['test/b.json#/sources/0/basis', 'nothing that can be read', 'write memory'],
      ['test/b.json#/sources/1', 'wants "read-on"'],
    ],
  },
  {
    lint: 'stated-basis',
    fault: 'none',
    small: {
      rules: {
        a: {
          sources: [
            { id: 's', basis: 'read', 'read-on': '2026-11-25' },
            { id: 't', basis: 'memory' },
          ],
        },
      },
    },
    finds: [],
  },
];
