import { on } from '../small-rulebook.ts';
import { limited, madeBy, parts, when, type LintCase } from './make.ts';

export const names: readonly LintCase[] = [
  {
    lint: 'known-part',
    fault: 'trigger, does, done-by and implies each name an unknown part',
    small: {
      tables: {
        'parts.json': {
          bolt: {
            title: 'bolt',
            system: 's',
            implies: [{ when: 'refitted', part: 'washr', did: 'refitted', because: 'b' }],
          },
          washer: { title: 'washer', system: 's' },
        },
      },
      rules: {
        a: {
          triggers: [on('blt replaced')],
          does: [{ part: 'any', did: 'adjusted' }],
          'done-by': [{ part: 'nope', did: 'adjusted' }],
        },
      },
    },
    finds: [
      ['parts.json#/bolt/implies/0/part', 'washer'],
      ['/does/0/part', 'unknown part', 'any'],
      ['/done-by/0/part'],
      ['/triggers/0/work/0/part', 'unknown part', 'bolt', 'blt'],
    ],
  },
  {
    lint: 'plain-is-plain',
    fault: 'a trigger and a done-by line name a part that calls for nothing',
    small: {
      tables: {
        'parts.json': {
          bulb: { title: 'bulb', system: 's', plain: true },
          lamp: { title: 'lamp', system: 's' },
        },
      },
      rules: {
        a: {
          triggers: [on('lamp replaced', 'bulb replaced')],
          'done-by': [{ part: 'bulb', did: 'adjusted' }],
        },
      },
    },
    finds: [
      ['/done-by/0/part', 'plain', 'bulb'],
      ['/triggers/0/work/1/part', 'plain', 'bulb', 'take "plain" off'],
    ],
  },
  {
    lint: 'plain-is-plain',
    fault: 'none: a plain part that a step works on itself, and "any"',
    small: {
      tables: {
        'parts.json': {
          bulb: { title: 'bulb', system: 's', plain: true },
          lamp: { title: 'lamp', system: 's' },
        },
      },
      rules: {
        a: { triggers: [on('lamp replaced'), on('any programmed')], does: [{ part: 'bulb', did: 'replaced' }] },
      },
    },
    finds: [],
  },
  {
    lint: 'known-part',
    fault: 'none: "any" is every part in a trigger',
    small: { rules: { a: { triggers: [on('any refitted')] } } },
    finds: [],
  },
  {
    lint: 'known-position',
    fault: 'part is never there, or has no positions',
    small: { parts, rules: { a: { triggers: [on('bolt replaced lft', 'cable replaced left')] } } },
    finds: [
      ['/triggers/0/work/0/at/0', 'unknown position', 'can be at left, right', 'left'],
      ['/triggers/0/work/1/at/0', 'there is only one `cable`'],
    ],
  },
  {
    lint: 'known-position',
    fault: 'none',
    small: { parts, rules: { a: { triggers: [on('bolt replaced left,right')] } } },
    finds: [],
  },
  {
    lint: 'sensible-did',
    fault: 'cable can not be drained',
    small: {
      parts: {
        ...parts,
        nut: { did: ['replaced'], implies: [{ when: 'drained', part: 'cable', did: 'drained', because: 'b' }] },
      },
      rules: { a: { triggers: [on('cable drained')] } },
    },
    finds: [
      ['parts.json#/nut/implies/0/did'],
      ['parts.json#/nut/implies/0/when', 'it can be replaced'],
      ['/triggers/0/work/0/did', 'makes no sense for `cable`', 'refitted, replaced', 'drained'],
    ],
  },
  {
    lint: 'sensible-did',
    fault: 'none: a weaker did is met by a stronger one that makes sense',
    small: { parts, rules: { a: { triggers: [on('cable unplugged')] } } },
    finds: [],
  },
  {
    lint: 'known-state',
    fault: 'needs and upsets a misspelt state',
    small: {
      rules: { aim: { needs: [{ state: 'zro' }], ways: [{ id: 'do', upsets: [{ state: 'zerro' }] }] }, zero: {} },
    },
    finds: [
      ['/needs/0/state', 'unknown state', 'zero'],
      ['/ways/0/upsets/0/state', 'zero', 'zerro'],
    ],
  },
  {
    lint: 'known-state',
    fault: 'none: it has a row, or somebody leaves it',
    small: {
      states: { asked: { start: 'confirm' } },
      rules: { aim: { needs: [{ state: 'zero' }, { state: 'asked' }] }, zero: {} },
    },
    finds: [],
  },
  {
    lint: 'known-step',
    fault: 'after and covers name nobody, or the file itself',
    small: {
      rules: {
        aim: {
          after: [
            { step: 'zeroo', because: 'b', sources: [] },
            { step: 'aim', because: 'b', sources: [] },
          ],
          covers: ['amm'],
        },
        zero: {},
      },
    },
    finds: [
      ['/after/0/step', 'unknown follow-up', 'zero'],
      ['/after/1/step', 'names its own file'],
      ['/covers/0', 'aim'],
    ],
  },
  {
    lint: 'known-step',
    fault: 'none',
    small: {
      rules: { aim: { after: [{ step: 'zero', because: 'b', sources: [] }], covers: [{ step: 'zero' }] }, zero: {} },
    },
    finds: [],
  },
  {
    lint: 'known-tool',
    fault: 'scan tool misspelt',
    small: { rules: { a: { ways: [{ id: 'do', tool: 'scantool' }] } } },
    finds: [['/ways/0/tool', 'unknown tool', 'scan-tool']],
  },
  {
    lint: 'known-tool',
    fault: 'none',
    small: {
      rules: {
        a: {
          ways: [
            { id: 'do', tool: 'scan-tool' },
            { id: 'by-hand', tool: 'none' },
          ],
        },
      },
    },
    finds: [],
  },
  {
    lint: 'known-setup',
    fault: 'unknown dimension and value, in a way and in a guard',
    small: {
      states: { cured: { guards: [{ place: 'rod' }] } },
      rules: {
        a: {
          ways: [{ id: 'do', setup: { ignitoin: 'on' }, hold: { place: 'moon' }, closing: { wheels: 'straight' } }],
        },
      },
    },
    finds: [
      ['states.json#/cured/guards/0/place', 'road'],
      ['/ways/0/closing/wheels', 'unknown set-up dimension'],
      ['/ways/0/hold/place', 'one of floor, rack, road', 'moon'],
      ['/ways/0/setup/ignitoin', 'ignition'],
    ],
  },
  {
    lint: 'known-setup',
    fault: 'none',
    small: {
      rules: {
        a: {
          ways: [
            {
              id: 'do',
              setup: { ignition: 'on' },
              becomes: { place: 'rack' },
              closing: { ignition: 'off', wait: { seconds: 30 } },
            },
          ],
        },
      },
    },
    finds: [],
  },
  {
    lint: 'known-maker',
    fault: 'scope of a trigger and of a limit name nobody',
    small: {
      tables: madeBy,
      rules: {
        a: {
          triggers: [when(on('bolt refitted'), { scope: { makers: ['fictional', 'fictionl'] } })],
          proof: [limited({ min: 1, scope: { makers: ['nobody'] } })],
        },
      },
    },
    finds: [
      ['/proof/0/limits/0/scope/makers/0', 'nobody'],
      ['/triggers/0/scope/makers/1', 'unknown maker', '| fictional |', 'fictionl'],
    ],
  },
  {
    lint: 'known-maker',
    fault: 'none',
    small: {
      tables: madeBy,
      rules: { a: { triggers: [when(on('bolt refitted'), { scope: { makers: ['fictional'] } })] } },
    },
    finds: [],
  },
];
