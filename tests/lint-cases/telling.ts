import { on } from '../small-rulebook.ts';
import { camera, is, isNot, limited, parts, told, when, type LintCase } from './make.ts';

export const tellings: readonly LintCase[] = [
  {
    lint: 'examples-of-each',
    fault: 'shows needed only, though a trait can be unknown',
    small: {
      traits: camera,
      rules: {
        a: { fits: isNot('camera', 'none'), triggers: [on('bolt refitted')], examples: [{ verdict: 'needed' }] },
      },
    },
    finds: [['no example with verdict excluded'], ['no example with verdict undecided']],
  },
  {
    lint: 'examples-of-each',
    fault: 'a narrower "not needed" leaves the maker open',
    small: {
      rules: {
        a: {
          triggers: [on('bolt refitted'), when(on('bolt refitted'), { level: 'not-needed', scope: { makers: ['x'] } })],
          examples: [{ verdict: 'needed' }, { verdict: 'excluded' }],
        },
      },
    },
    finds: [['no example with verdict undecided']],
  },
  {
    lint: 'examples-of-each',
    fault: 'none: a narrower trigger beside a general one leaves nothing open',
    small: {
      rules: {
        a: {
          triggers: [on('bolt refitted'), when(on('bolt refitted'), { scope: { makers: ['x'] } })],
          examples: [{ verdict: 'needed' }, { verdict: 'excluded' }],
        },
      },
    },
    finds: [],
  },
  {
    lint: 'cautions-on-safety',
    fault: 'safety, and one way without cautions',
    small: { rules: { a: { safety: true, ways: [{ id: 'one', cautions: ['hot'] }, { id: 'two' }] } } },
    finds: [['/ways/1', 'safety follow-up without cautions', 'two']],
  },
  {
    lint: 'cautions-on-safety',
    fault: 'none: said once for the file, or no safety follow-up',
    small: { rules: { a: { safety: true, cautions: ['hot'] }, b: {} } },
    finds: [],
  },
  {
    lint: 'skipped-is-told',
    fault: 'nothing is said',
    small: { rules: { a: {} } },
    finds: [['/skipped', 'nothing says what is noticed']],
  },
  { lint: 'skipped-is-told', fault: 'none', small: { rules: { a: { skipped: told } } }, finds: [] },
  {
    lint: 'examples-hold',
    fault: 'verdict and level come out otherwise, and a job that can not be read',
    small: {
      traits: camera,
      parts,
      rules: {
        a: {
          fits: isNot('camera', 'none'),
          triggers: [when(on('bolt refitted'), { level: 'recommended' })],
          examples: [
            { work: ['bolt refitted'], verdict: 'needed' },
            { work: ['bolt refitted'], traits: { camera: 'road' }, verdict: 'needed', level: 'required' },
            { work: ['bolt inspected'], verdict: 'needed' },
            { work: ['blt refitted'], traits: { camra: 'x' }, verdict: 'needed' },
          ],
        },
      },
    },
    finds: [
      ['/examples/0/verdict', 'comes out undecided', 'rests on camera', 'needed'],
      ['/examples/1/level', 'comes out recommended'],
      ['/examples/2/verdict', 'comes out excluded', 'nothing on this job calls for it'],
      ['/examples/3/traits/camra', 'camera'],
      ['/examples/3/work/0', 'unknown part', 'bolt'],
    ],
  },
  {
    lint: 'examples-hold',
    fault: 'none',
    small: {
      traits: camera,
      parts,
      rules: {
        a: {
          fits: isNot('camera', 'none'),
          triggers: [on('bolt refitted')],
          examples: [
            { work: ['bolt replaced left'], traits: { camera: true }, verdict: 'needed', level: 'required' },
            { work: ['bolt refitted'], verdict: 'undecided' },
            { verdict: 'excluded' },
          ],
        },
      },
    },
    finds: [],
  },
  {
    lint: 'used-row',
    fault: 'part, trait, state and source that nothing uses',
    small: {
      tables: { 'sources.json': { s: { publisher: 'p', title: 't' } } },
      parts,
      traits: camera,
      states: { loose: {} },
      rules: { a: { triggers: [on('cable refitted')] } },
    },
    finds: [
      ['parts.json#/bolt', 'nothing uses this row'],
      ['sources.json#/s'],
      ['states.json#/loose'],
      ['traits.json#/camera'],
    ],
  },
  {
    lint: 'used-row',
    fault: 'none: a limit uses the trait',
    small: {
      traits: camera,
      parts: { bolt: {} },
      states: { tight: {} },
      rules: {
        a: {
          triggers: [on('bolt refitted')],
          leaves: [{ state: 'tight' }],
          proof: [limited({ min: 1, if: is('camera', 'road') })],
        },
      },
    },
    finds: [],
  },
];
