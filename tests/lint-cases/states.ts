import { on } from '../small-rulebook.ts';
import { camera, is, isNot, when, type LintCase } from './make.ts';

export const states: readonly LintCase[] = [
  {
    lint: 'left-by-somebody',
    fault: 'nobody leaves what is needed, nor what guards the road',
    small: {
      states: { ready: {}, cured: { guards: [{ place: 'road' }] } },
      rules: { a: { needs: [{ state: 'ready' }] } },
    },
    finds: [
      ['states.json#/cured', 'nobody leaves state `cured`'],
      ['test/a.json#/needs/0', 'nobody leaves state `ready`'],
    ],
  },
  {
    lint: 'left-by-somebody',
    fault: 'none: the row says that it is asked',
    small: { states: { ready: { start: 'confirm' } }, rules: { a: { needs: [{ state: 'ready' }] } } },
    finds: [],
  },
  {
    lint: 'need-can-be-met',
    fault: 'needer and leaver never fit one car',
    small: {
      traits: camera,
      rules: { a: { fits: is('camera', 'road'), needs: [{ state: 'b' }] }, b: { fits: is('camera', 'target') } },
    },
    finds: [['test/a.json#/needs/0', 'no car can have `b`', 'left by `b`']],
  },
  {
    lint: 'need-can-be-met',
    fault: 'none: some car has both',
    small: {
      traits: camera,
      rules: { a: { fits: isNot('camera', 'none'), needs: [{ state: 'b' }] }, b: { fits: is('camera', 'target') } },
    },
    finds: [],
  },
  {
    lint: 'one-leaver',
    fault: 'two leave one state in one phase on one car',
    small: {
      traits: camera,
      rules: {
        a: { leaves: [{ state: 's' }], fits: isNot('camera', 'none') },
        b: { leaves: [{ state: 't' }, { state: 's' }], fits: isNot('camera', 'road') },
      },
    },
    finds: [['test/b.json#/leaves/1', '`a` leaves `s` too', '`camera` target']],
  },
  {
    lint: 'one-leaver',
    fault: 'none: other phase, or no common car',
    small: {
      traits: camera,
      rules: {
        a: { leaves: [{ state: 's' }], fits: is('camera', 'none') },
        b: { leaves: [{ state: 's' }], fits: is('camera', 'road') },
        c: { phase: 'before', leaves: [{ state: 's' }] },
      },
    },
    finds: [],
  },
  {
    lint: 'needs-or-upsets',
    fault: 'needs and upsets one state',
    small: {
      traits: camera,
      rules: {
        a: {
          needs: [{ state: 's', if: isNot('camera', 'none') }],
          upsets: [{ state: 's', if: isNot('camera', 'road') }],
        },
        s: {},
      },
    },
    finds: [['test/a.json#/upsets/0', 'needs `s` and upsets it', '`camera` target']],
  },
  {
    lint: 'needs-or-upsets',
    fault: 'none: leaver is repeatable, never on one car, or each in another way',
    small: {
      traits: camera,
      rules: {
        a: { needs: [{ state: 's' }], upsets: [{ state: 's' }] },
        s: { repeatable: true },
        b: { needs: [{ state: 't', if: is('camera', 'none') }], upsets: [{ state: 't', if: is('camera', 'road') }] },
        t: {},
        c: {
          ways: [
            { id: 'one', if: is('camera', 'none'), needs: [{ state: 't' }] },
            { id: 'two', upsets: [{ state: 't' }] },
          ],
        },
      },
    },
    finds: [],
  },
  {
    lint: 'preparation-is-a-need',
    fault: 'needer does the work that calls for its own preparation, by a chain',
    small: {
      parts: { bolt: { implies: [{ when: 'refitted', part: 'nut', did: 'refitted', because: 'b' }] }, nut: {} },
      rules: {
        torque: { triggers: [on('nut refitted')] },
        run: { does: [{ part: 'bolt', did: 'replaced' }], needs: [{ state: 'torque' }] },
      },
    },
    finds: [['test/torque.json#/triggers/0', 'set off by work of `run`, which needs `torque` first']],
  },
  {
    lint: 'preparation-is-a-need',
    fault: 'none: doer does not need it, the leaver repeats, or a narrower "not needed" speaks',
    small: {
      traits: camera,
      rules: {
        torque: { triggers: [on('nut refitted')] },
        run: { does: [{ part: 'nut', did: 'refitted' }] },
        bleed: { repeatable: true, triggers: [on('hose refitted')] },
        hose: { does: [{ part: 'hose', did: 'refitted' }], needs: [{ state: 'bleed' }] },
        level: {
          fits: is('maker', 'x'),
          triggers: [on('tank refitted'), when(on('tank refitted'), { level: 'not-needed', scope: { makers: ['x'] } })],
        },
        tank: { does: [{ part: 'tank', did: 'refitted' }], needs: [{ state: 'level' }] },
      },
    },
    finds: [],
  },
  {
    lint: 'upset-within-scope',
    fault: 'pulls on any car what one maker asks for',
    small: {
      rules: {
        a: { upsets: [{ state: 'b' }] },
        b: { triggers: [when(on('bolt refitted'), { scope: { makers: ['x'] } })] },
      },
    },
    finds: [['test/a.json#/upsets/0', "pulls `b` on any maker's car", '`maker` that no rule names']],
  },
  {
    lint: 'upset-within-scope',
    fault: 'none: scoped itself, a general trigger, or no trigger at all',
    small: {
      rules: {
        a: { upsets: [{ state: 'b', scope: { makers: ['x'] } }, { state: 'c' }, { state: 'd' }] },
        b: { triggers: [when(on('bolt refitted'), { scope: { makers: ['x'] } })] },
        c: { triggers: [on('bolt refitted')] },
        d: {},
      },
    },
    finds: [],
  },
];
