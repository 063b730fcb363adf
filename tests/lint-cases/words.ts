import { on } from '../small-rulebook.ts';
import type { Json, LintCase } from './make.ts';

const words = (more: Json): Json => ({
  about: 'a test',
  'driver-sits': {},
  behind: {},
  means: {},
  places: { front: ['front'] },
  did: { replaced: ['replace'] },
  works: [],
  follows: [],
  passes: {},
  begins: [],
  soft: [],
  filler: [],
  heads: [],
  'not-here': [],
  plain: [],
  ...more,
});
const complaints = (more: Json): Json => ({
  'written-as': { strg: 'steering' },
  'passed-over': ['the', 'car'],
  joining: ['to'],
  'sets-aside': ['fine'],
  'set-ahead': ['since'],
  'work-words': ['replaced'],
  deniable: [],
  signs: { pull: ['pulls to the side'] },
  elsewhere: {},
  ...more,
});
const elsewhere = (more: Json): Json => ({
  title: 'worn tyre',
  said: ['tyre hums'],
  test: { label: 'look', kind: 'eye', minutes: 1 },
  sources: ['a-source'],
  ...more,
});
const parts = {
  bolt: { title: 'Bolt', system: 'body', did: ['replaced'] },
  pad: { title: 'Brake pad', system: 'brakes', did: ['refitted', 'replaced'] },
};
const rulebook = (tables: Json, rules: Json = {}): LintCase['small'] => ({
  rules: { a: { triggers: [on('bolt replaced')], ...rules } },
  parts,
  tables: { 'sources.json': { 'a-source': { publisher: 'p', title: 't' } }, ...tables },
});

export const aboutWords: readonly LintCase[] = [
  {
    lint: 'words-known',
    fault: 'works, follows and complaints name parts, deeds, systems, signs and sources that are not there',
    small: rulebook({
      'words.json': words({
        works: [
          {
            words: ['do it'],
            gives: [
              { part: 'blt', did: 'replaced' },
              { part: 'bolt', did: 'drained' },
            ],
          },
        ],
        follows: [{ words: ['and bleed'], did: 'drained', 'by-part': { pads: 'bolt' }, 'by-system': { brake: 'nut' } }],
      }),
      'complaints.json': complaints({
        deniable: ['pul'],
        elsewhere: { tyre: elsewhere({ parts: ['tire'], sources: ['b-source'] }) },
      }),
    }),
    finds: [
      ['complaints.json#/deniable/0', 'unknown sign', 'pull'],
      ['complaints.json#/elsewhere/tyre/parts/0', 'unknown part', 'tire'],
      ['complaints.json#/elsewhere/tyre/sources/0', 'unknown source', 'a-source'],
      ['words.json#/follows/0/by-part/pads', '`drained` makes no sense for `bolt`', 'it can be replaced'],
      ['words.json#/follows/0/by-part/pads', 'unknown part', 'pads'],
      ['words.json#/follows/0/by-system/brake', 'no part is of this system', 'brakes'],
      ['words.json#/follows/0/by-system/brake', 'unknown part', 'nut'],
      ['words.json#/works/0/gives/0', 'unknown part', 'bolt'],
      ['words.json#/works/0/gives/1', '`drained` makes no sense for `bolt`'],
    ],
  },
  {
    lint: 'words-known',
    fault: 'none: all of it is there, and a weaker deed is met by a stronger one',
    small: rulebook({
      'words.json': words({
        works: [{ words: ['do it'], gives: [{ part: 'pad', did: 'unplugged' }] }],
        follows: [
          { words: ['and bleed'], did: 'replaced', 'by-part': { pad: 'bolt' }, 'by-system': { brakes: 'bolt' } },
        ],
      }),
      'complaints.json': complaints({ deniable: ['pull'], elsewhere: { tyre: elsewhere({ parts: ['pad'] }) } }),
    }),
    finds: [],
  },
  {
    lint: 'one-meaning',
    fault:
      'a verb, a phrase and an abbreviation that stand for two things each; a fault that bears the name of a follow-up',
    small: rulebook({
      'words.json': words({
        did: { replaced: ['renew'], refitted: ['renew|renewd'] },
        means: { 'r+r': 'replace', 'r&r': 'refit' },
        passes: { advice: ['Next time'], declined: ['next time'] },
        works: [
          { words: ['do it'], gives: [{ part: 'pad', did: 'replaced' }] },
          { words: ['do it'], gives: [] },
        ],
      }),
      'complaints.json': complaints({ elsewhere: { a: elsewhere({}) } }),
    }),
    finds: [
      ['complaints.json#/elsewhere/a', 'has the name of a follow-up'],
      ['words.json#/did/refitted/0', 'stands for `refitted` here and for `replaced` at /did/replaced/0', 'renew'],
      ['words.json#/means/r&r', 'stands for `refit` here and for `replace`'],
      ['words.json#/passes/declined/0', 'stands for `declined` here and for `advice`', 'next time'],
      ['words.json#/works/1/words/0', 'stands for `a follow-up` here and for `pad replaced`', 'do it'],
    ],
  },
  {
    lint: 'one-meaning',
    fault: 'none: said twice, but it stands for the same',
    small: rulebook({
      'words.json': words({ works: [{ words: ['do it', 'do it'], gives: [{ part: 'pad', did: 'replaced' }] }] }),
      'complaints.json': complaints({ elsewhere: { tyre: elsewhere({}) } }),
    }),
    finds: [],
  },
  {
    lint: 'shorthand-is-read',
    fault: 'abbreviations that lines are never cut into, and a place of six words',
    small: rulebook({
      'words.json': words({
        means: { 'a.c.': 'air', 's/b link': 'sway bar link', ABS: 'brake' },
        places: { 'front of the car as one': ['front'] },
      }),
    }),
    finds: [
      ['words.json#/means/a.c.', 'is never found in a line'],
      ['words.json#/means/ABS', 'is never found in a line'],
      ['words.json#/means/s~1b link', 'is never found in a line'],
      ['words.json#/places/front of the car as one', 'is never found in a line', 'five pieces'],
    ],
  },
  {
    lint: 'shorthand-is-read',
    fault: 'none: glued, apart and spelt otherwise',
    small: rulebook({
      'words.json': words({
        means: { 'a/c': 'air', 'link rod': 'link', brk: 'brake' },
        places: { 'o/s/f': ['front', 'offside'], lh: ['left'] },
      }),
    }),
    finds: [],
  },
  {
    lint: 'phrase-is-read',
    fault:
      'a set phrase, a part that is not here and a phrase of no work whose words an abbreviation or another kind takes',
    small: rulebook({
      'words.json': words({
        did: { replaced: ['replace', 'change'] },
        means: { 'srv brakes': 'brake pad' },
        works: [{ words: ['srv brakes', 'change it'], gives: [{ part: 'bolt', did: 'replaced' }] }],
        passes: { advice: ['next time'], declined: ['next time'] },
        'not-here': ['front awning'],
      }),
    }),
    finds: [
      ['words.json#/not-here/0', 'is never understood', 'front awning'],
      ['words.json#/passes/declined/0', 'is never understood', 'next time'],
    ],
  },
  {
    lint: 'phrase-is-read',
    fault: 'none: each is understood by itself',
    small: rulebook({
      'words.json': words({
        works: [{ words: ['replace all bolts'], gives: [{ part: 'bolt', did: 'replaced' }] }],
        passes: { advice: ['next time'] },
        'not-here': ['awning'],
      }),
    }),
    finds: [],
  },
  {
    lint: 'name-is-read',
    fault: 'a name that is also one of the parts that are not here',
    small: {
      ...rulebook({ 'words.json': words({ 'not-here': ['gauge'] }) }),
      parts: { ...parts, dial: { title: 'Dial', system: 'body', aka: ['clock', 'gauge'], did: ['replaced'] } },
    },
    finds: [['parts.json#/dial/aka/1', 'never found in a line', 'gauge']],
  },
  {
    lint: 'name-is-read',
    fault: 'none: by its title, by another name, by words in another order',
    small: {
      ...rulebook({ 'words.json': words({}) }),
      parts: {
        ...parts,
        seal: { title: 'Front seal', system: 'body', aka: ['seal, front', 'crank seal'], did: ['replaced'] },
      },
    },
    finds: [],
  },
  {
    lint: 'sign-is-read',
    fault: 'a phrase that is cut in two, one that says that all is well, and a word as written that is none',
    small: rulebook({
      'complaints.json': complaints({
        'written-as': { "won't": 'will not' },
        signs: { 'start-die': ['starts, dies', 'start and dies', 'fires but stalls'], fine: ['was fine before'] },
      }),
    }),
    finds: [
      ['complaints.json#/signs/fine/0', 'never gives its sign', 'nothing is left of it'],
      ['complaints.json#/signs/start-die/0', 'never gives its sign', 'starts, dies', 'it is read as'],
      ["complaints.json#/written-as/won't", 'is never met'],
    ],
  },
  { lint: 'sign-is-read', fault: 'none', small: rulebook({ 'complaints.json': complaints({}) }), finds: [] },
  {
    lint: 'saying-tells',
    fault: 'customers are quoted with words that are all passed over, or that say that it is in order',
    small: rulebook(
      { 'complaints.json': complaints({ elsewhere: { tyre: elsewhere({ said: ['tyre hums', 'the car'] }) } }) },
      { skipped: [{ notice: 'a lamp', 'sets-in': 'at-once', said: ['it pulls', 'it is fine'] }] },
    ),
    finds: [
      ['complaints.json#/elsewhere/tyre/said/1', 'tells nothing', 'the car'],
      ['test/a.json#/skipped/0/said/1', 'tells nothing', 'it is fine'],
    ],
  },
  {
    lint: 'saying-tells',
    fault: 'none',
    small: rulebook(
      { 'complaints.json': complaints({}) },
      { skipped: [{ notice: 'a lamp', 'sets-in': 'at-once', said: ['it pulls'] }] },
    ),
    finds: [],
  },
];
