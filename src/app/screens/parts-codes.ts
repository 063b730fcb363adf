import '../../../components/codes/codes.ts';
import '../../../components/comeback/comeback.ts';
import { html, type TemplateResult } from 'lit';
import type { Back, Comeback } from '../../job/comeback/comeback.ts';
import { Command, type Saying } from '../../job/commands.ts';
import { decide } from '../../job/decide.ts';
import { evolve } from '../../job/evolve.ts';
import { sightOf, type Sight } from '../../job/sight.ts';
import { type Job, UNOPENED } from '../../job/state.ts';
import type { Rulebook } from '../../rulebook/rulebook.ts';

/** The leaf of codes and "it came back" in their states, on an invented job of the rulebook in force. */
export function codesParts(rulebook: Rulebook): TemplateResult {
  const opening = { type: 'opened', ro: '48213', rulebook: rulebook.version, units: 'metric' } as const;
  const line = { type: 'line-added', line: { part: 'windscreen', did: 'replaced' } } as const;
  const fresh = told([opening, line], rulebook);
  const done = told(
    [
      opening,
      line,
      { type: 'lamps', when: 'intake', lit: ['engine'] },
      { type: 'scanned', when: 'before', codes: [{ code: 'P0456' }, { code: 'U3003-16', module: 'brakes' }] },
      { type: 'work-done' },
      { type: 'scanned', when: 'after', codes: [{ code: 'P0456', text: 'P0456 permanent' }, { code: 'B11E0-13' }] },
      readiness,
      { type: 'lamps', when: 'release', lit: ['engine', 'airbag'] },
    ],
    rulebook,
  );
  const back = told(
    [
      {
        type: 'came-back',
        ro: '48300',
        rulebook: rulebook.version,
        units: 'metric',
        old: { ro: '48213', rulebook: rulebook.version },
        complaint: BACK.says,
      },
    ],
    rulebook,
  );
  return html`<h2>lb-codes</h2>
    <lb-codes .sight=${fresh} .rulebook=${rulebook}></lb-codes>
    <lb-codes .sight=${done} .rulebook=${rulebook} .place=${'US-CA'} .modelYear=${2012} .stepHref=${() => '#/parts'}></lb-codes>
    <h2>lb-comeback</h2>
    <lb-comeback .answer=${ANSWER} .back=${BACK} .job=${back.job} .old=${done} .rulebook=${rulebook}></lb-comeback>
    <lb-comeback .answer=${{ ...ANSWER, causes: [], afresh: { ...ANSWER.afresh, advised: true } }} .back=${{ says: '', codes: ['P0171'] }} .rulebook=${rulebook}></lb-comeback>`;
}

const readiness: Saying = {
  type: 'readiness-read',
  when: 'after',
  modules: [
    {
      module: '7E8',
      mil: false,
      count: 0,
      ignition: 'spark',
      monitors: [
        { id: 'misfire', complete: true },
        { id: 'catalyst', complete: false },
        { id: 'evap', complete: false },
      ],
    },
  ],
  permanent: null,
  doubts: ['typed, not read from the car'],
  unread: 0,
};

const BACK: Back = { says: 'Since you did the glass it nudges me to the right.', codes: ['U3003-16'], days: 14 };
const ANSWER: Comeback = {
  causes: [
    {
      id: 'forward-camera-aim',
      title: 'Forward camera aim',
      kind: 'out-of-order',
      chance: 0.6,
      because: ['it is said like "it nudges me to the right"', 'it sets in same day: that fits 14 days'],
      against: ['it stores no code'],
      bears: { words: 'fits', days: 'fits', codes: { 'U3003-16': 'against' } },
      evidence: [{ text: 'Forward camera aim took', by: 'Rilla Quist', at: '2026-11-11T14:10:00Z', event: 'e1' }],
      tests: [{ kind: 'reading', label: 'Read the aim offset', tells: 'should be -0.3 to 0.3 deg', minutes: 4 }],
    },
    {
      id: 'trim',
      title: 'Cowl or clip not seated',
      kind: 'elsewhere',
      chance: 0.1,
      because: ['worked on: Windscreen'],
      against: [],
      bears: { words: 'against', days: 'nothing', codes: { 'U3003-16': 'nothing' } },
      evidence: [{ text: 'no missed follow-up explains it' }],
      tests: [{ kind: 'eye', label: 'Press along the cowl', tells: 'shows it', minutes: 2 }],
    },
  ],
  sure: false,
  first: {
    test: { kind: 'reading', label: 'Read the aim offset', tells: 'should be -0.3 to 0.3 deg', minutes: 4 },
    confirms: ['forward-camera-aim'],
    settles: 0.9,
  },
  afresh: { advised: false, chance: 0.2, threshold: 0.5, because: 'if no test shows any of these' },
  heard: { signs: [], unknown: [] },
};

/** Said one after the other, each taken by the record. */
function told(sayings: readonly Saying[], rulebook: Rulebook): Sight {
  let job: Job = UNOPENED;
  for (const [i, saying] of sayings.entries()) {
    const command = Command.parse({
      ...saying,
      id: `p${i}`,
      at: `2026-11-25T08:${String(i + 10)}:00Z`,
      by: 'Rilla Quist',
    });
    const said = decide(command, job, { rulebook: () => rulebook, alone: false });
    if ('events' in said) for (const event of said.events) job = evolve(job, event);
  }
  return sightOf(job, rulebook);
}
