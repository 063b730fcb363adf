import { on } from '../small-rulebook.ts';
import { camera, is, isNot, needs, parts, type LintCase } from './make.ts';

export const orders: readonly LintCase[] = [
  {
    lint: 'way-for-every-car',
    fault: 'a car that fits has no way',
    small: {
      traits: camera,
      rules: { a: { fits: isNot('camera', 'none'), ways: [{ id: 'do', if: is('camera', 'target') }] } },
    },
    finds: [['/ways', 'no way to do it', '`camera` road']],
  },
  {
    lint: 'way-for-every-car',
    fault: 'none: the ways take in every car',
    small: {
      traits: camera,
      rules: {
        a: {
          fits: isNot('camera', 'none'),
          ways: [
            { id: 'one', if: is('camera', 'target') },
            { id: 'two', if: is('camera', 'road') },
          ],
        },
      },
    },
    finds: [],
  },
  {
    lint: 'positions-exist',
    fault: 'its parts are never at the rear, or have no positions',
    small: {
      parts,
      rules: {
        a: { per: { position: ['left', 'rear'] }, triggers: [on('bolt refitted')] },
        b: { per: { position: ['left'] }, triggers: [on('cable refitted')] },
      },
    },
    finds: [
      ['test/a.json#/per/position/1', 'they can be at left, right', 'rear'],
      ['test/b.json#/per/position/0', 'none of them has positions'],
    ],
  },
  {
    lint: 'positions-exist',
    fault: 'none',
    small: {
      parts,
      rules: {
        a: { per: { position: ['left', 'right'] }, triggers: [on('bolt refitted')] },
        b: { per: { position: ['left'] } },
      },
    },
    finds: [],
  },
  {
    lint: 'can-appear',
    fault: 'nothing calls for it; two that only pull each other',
    small: { rules: { a: {}, b: { upsets: [{ state: 'c' }] }, c: { upsets: [{ state: 'b' }] } } },
    finds: [['test/a.json#', 'can never come onto a list'], ['test/b.json#'], ['test/c.json#']],
  },
  {
    lint: 'can-appear',
    fault: 'none: called for, on the order, upset, absent, asked, or undone',
    small: {
      states: { saved: { start: 'absent' }, level: { start: 'confirm' }, opened: { delivery: 'must-not' } },
      rules: {
        a: {
          triggers: [on('bolt refitted')],
          upsets: [{ state: 'b' }],
          needs: [{ state: 'saved' }, { state: 'level' }],
        },
        b: {},
        saved: { phase: 'before' },
        level: {},
        d: { 'done-by': [{ part: 'bolt', did: 'adjusted' }] },
        open: { leaves: [{ state: 'opened' }], triggers: [on('pad refitted')] },
        shut: { upsets: [{ state: 'opened' }] },
      },
    },
    finds: [],
  },
  {
    lint: 'no-ring',
    fault: 'two need each other',
    small: { rules: { a: needs('b'), b: needs('a') } },
    finds: [['test/b.json#/needs/0', 'ring of 2 steps', '`a` leaves', '`b` leaves', 'on any car']],
  },
  {
    lint: 'no-ring',
    fault: 'a step needs what it leaves itself',
    small: { rules: { a: needs('a') } },
    finds: [['test/a.json#/needs/0', 'waits for itself']],
  },
  {
    lint: 'no-ring',
    fault: 'need, upset, does and after close a ring of four on one car',
    small: {
      traits: camera,
      rules: {
        a: { ...needs('d'), upsets: [{ state: 'b', if: isNot('camera', 'none') }] },
        b: { triggers: [on('bolt refitted')], does: [{ part: 'lamp', did: 'adjusted', if: isNot('camera', 'road') }] },
        c: { triggers: [on('lamp adjusted')] },
        d: { triggers: [on('bolt refitted')], after: [{ step: 'c', because: 'the page says so', sources: [] }] },
      },
    },
    finds: [['ring of 4 steps', 'the page says so', '`camera` target']],
  },
  {
    lint: 'no-ring',
    fault: 'a guard of the road, and the step that is guarded is needed before',
    small: {
      states: { cured: { guards: [{ place: 'road' }] } },
      rules: {
        run: { triggers: [on('bolt refitted')], ways: [{ id: 'road', drive: { minutes: 5 } }] },
        cure: { leaves: [{ state: 'cured' }], ...needs('run') },
      },
    },
    finds: [['ring of 2 steps', '`cured`', '`run`']],
  },
  {
    lint: 'no-ring',
    fault: 'a state that must not stay is opened after it was closed',
    small: {
      states: { opened: { delivery: 'must-not' } },
      rules: {
        open: { leaves: [{ state: 'opened' }], ...needs('shut') },
        shut: { leaves: [{ state: 'shut' }], upsets: [{ state: 'opened' }] },
      },
    },
    finds: [['ring of 2 steps', '`shut`']],
  },
  {
    lint: 'no-ring',
    fault: 'none: no one car makes all of it true',
    small: {
      traits: camera,
      rules: {
        a: { ...needs(), needs: [{ state: 'b', if: is('camera', 'road') }] },
        b: { ...needs(), needs: [{ state: 'a', if: is('camera', 'target') }] },
      },
    },
    finds: [],
  },
  {
    lint: 'no-ring',
    fault: 'none: one of them is repeatable',
    small: { rules: { a: { ...needs('b'), upsets: [{ state: 'b' }] }, b: { ...needs(), repeatable: true } } },
    finds: [],
  },
  {
    lint: 'no-ring',
    fault: 'none: phases are put in order apart',
    small: { rules: { a: { ...needs('b'), phase: 'before' }, b: needs('a') } },
    finds: [],
  },
  {
    lint: 'no-ring',
    fault: 'none: the two needs are of two ways, and only one is planned',
    small: {
      traits: camera,
      rules: {
        a: { ...needs(), ways: [{ id: 'one', if: is('camera', 'road'), needs: [{ state: 'b' }] }, { id: 'two' }] },
        b: { ...needs(), ways: [{ id: 'one', if: isNot('camera', 'road'), needs: [{ state: 'a' }] }, { id: 'two' }] },
      },
    },
    finds: [],
  },
  {
    lint: 'no-ring',
    fault: 'what is covered is left by the step that covers it',
    small: { rules: { a: { ...needs('c'), covers: ['b'] }, b: needs(), c: { ...needs('b') } } },
    finds: [['ring of 2 steps', '`a`', '`c`']],
  },
  {
    lint: 'no-ring',
    fault: 'none: a covered step has no place of its own',
    small: { rules: { a: { ...needs('b'), covers: ['b'] }, b: needs('a') } },
    finds: [],
  },
];
