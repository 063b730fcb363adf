import { on } from '../small-rulebook.ts';
import { camera, is, isNot, parts, when, type LintCase } from './make.ts';

export const conditions: readonly LintCase[] = [
  {
    lint: 'ever-true',
    fault: 'fits nothing; trigger, need and way contradict fits; implied never',
    small: {
      traits: camera,
      parts: {
        bolt: { implies: [{ when: 'refitted', part: 'nut', did: 'refitted', if: false, because: 'b' }] },
        nut: {},
      },
      rules: {
        a: {
          fits: is('camera', 'road'),
          triggers: [when(on('bolt refitted'), { if: is('camera', 'target') })],
          needs: [{ state: 'b', if: is('camera', 'none') }],
          ways: [{ id: 'one', if: isNot('camera', 'road') }, { id: 'two' }],
        },
        b: { fits: { and: [is('camera', 'road'), is('camera', 'none')] } },
      },
    },
    finds: [
      ['parts.json#/bolt/implies/0', 'never true on any car'],
      ['test/a.json#/needs/0'],
      ['test/a.json#/triggers/0', 'never true on a car that the follow-up fits'],
      ['test/a.json#/ways/0'],
      ['test/b.json#/fits', 'fits no car at all'],
    ],
  },
  {
    lint: 'ever-true',
    fault: 'years that no number lies between',
    small: {
      rules: {
        a: {
          triggers: [
            when(on('bolt refitted'), {
              if: { and: [{ '>': [{ var: 'model-year' }, 2010] }, { '<': [{ var: 'model-year' }, 2011] }] },
            }),
          ],
        },
      },
    },
    finds: [['/triggers/0']],
  },
  {
    lint: 'ever-true',
    fault: 'none',
    small: {
      traits: camera,
      rules: {
        a: {
          fits: isNot('camera', 'none'),
          triggers: [
            when(on('bolt refitted'), { if: is('camera', 'target'), scope: { makers: ['x'], years: [2010, 2011] } }),
          ],
        },
      },
    },
    finds: [],
  },
  {
    lint: 'one-level',
    fault: 'not needed and required at one rank, on a car that makes both true',
    small: {
      traits: camera,
      parts: { bolt: {} },
      rules: {
        a: {
          triggers: [on('bolt refitted'), when(on('bolt replaced'), { level: 'not-needed', if: is('camera', 'road') })],
        },
      },
    },
    finds: [['/triggers/1', 'called for by /triggers/0, at one rank', '`bolt replaced`', '`camera` road']],
  },
  {
    lint: 'one-level',
    fault: 'none: ranks, conditions, places or dids keep them apart',
    small: {
      traits: camera,
      parts,
      rules: {
        a: {
          triggers: [
            when(on('bolt refitted left'), { if: is('camera', 'road') }),
            when(on('bolt refitted'), { level: 'not-needed', if: is('camera', 'none') }),
            when(on('bolt refitted right'), { level: 'not-needed' }),
            when(on('bolt adjusted'), { level: 'not-needed' }),
            when(on('bolt refitted'), { level: 'not-needed', scope: { makers: ['x'] } }),
          ],
        },
      },
    },
    finds: [],
  },
  {
    lint: 'not-shadowed',
    fault: 'weaker level on stronger work, a twin, and one under a higher rank',
    small: {
      traits: camera,
      rules: {
        a: {
          triggers: [
            on('bolt refitted'),
            when(on('bolt replaced'), { level: 'recommended', if: is('camera', 'road') }),
          ],
        },
        b: { triggers: [on('bolt refitted'), on('bolt refitted')] },
        c: {
          triggers: [
            when(on('bolt replaced'), { if: is('maker', 'x') }),
            when(on('bolt refitted'), { level: 'not-needed', scope: { makers: ['x'] } }),
          ],
        },
      },
    },
    finds: [
      ['test/a.json#/triggers/1', 'can never change anything', '/triggers/0'],
      ['test/b.json#/triggers/1', '/triggers/0'],
      ['test/c.json#/triggers/0', '/triggers/1'],
    ],
  },
  {
    lint: 'not-shadowed',
    fault: 'none: stronger level, other place, one part of the work left, or a condition',
    small: {
      traits: camera,
      parts,
      rules: {
        a: {
          triggers: [
            when(on('bolt refitted'), { level: 'recommended' }),
            on('bolt replaced'),
            when(on('bolt refitted left', 'cable refitted'), { level: 'recommended' }),
            when(on('nut refitted'), { if: is('camera', 'road') }),
            when(on('nut refitted'), { if: is('camera', 'none') }),
          ],
        },
      },
    },
    finds: [],
  },
];
