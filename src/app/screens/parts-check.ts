import '../../../components/check/final-check.ts';
import '../../../components/papers/hand-over.ts';
import '../../../components/people/people-page.ts';
import '../../../components/people/shop-page.ts';
import '../../../components/people/sign-in.ts';
import { html, type TemplateResult } from 'lit';
import type { Command, Saying } from '../../job/commands.ts';
import { decide } from '../../job/decide.ts';
import type { Door, Shop } from '../../job/exchange.ts';
import { evolve } from '../../job/evolve.ts';
import type { Person } from '../../job/people.ts';
import { type Sight, sightOf } from '../../job/sight.ts';
import { type Job, UNOPENED } from '../../job/state.ts';
import type { Rulebook } from '../../rulebook/rulebook.ts';

const FOREMAN: Person = { id: 'ode-falkenby', name: 'Ode Falkenby', roles: ['foreman'] };
const HAND: Person = { id: 'rilla-quist', name: 'Rilla Quist', roles: ['technician', 'desk'] };
const PEOPLE: readonly Person[] = [
  FOREMAN,
  HAND,
  { id: 'wen-tolley', name: 'Wen Tolley', roles: ['keeper'], gone: true },
];
const DOOR: Door = { shop: 'Tarn Lane Garage', people: [...PEOPLE], first: false, session: null, locksAfter: 10 };
const SHOP: Shop = {
  name: 'Tarn Lane Garage',
  alone: false,
  units: 'metric',
  tools: ['scan-tool'],
  'lock-minutes': 10,
  'keep-years': 3,
};

/** The foreman's side, who works here, and the papers, in every state. */
export function checkParts(rulebook: Rulebook): TemplateResult {
  const open = sightOf(told(WRITTEN, rulebook), rulebook);
  const left = sightOf(told([...WRITTEN, leaving(open)], rulebook), rulebook);
  const session = { person: HAND, token: '', until: '2026-11-25T12:00:00Z' };
  return html`<h2>lb-sign-in</h2>
    <lb-sign-in .door=${{ ...DOOR, demo: '2468' }}></lb-sign-in>
    <lb-sign-in again says="That is not the PIN." .door=${{ ...DOOR, session }}></lb-sign-in>
    <lb-sign-in .door=${{ ...DOOR, first: true }}></lb-sign-in>
    <h2>lb-people</h2>
    <lb-people .people=${PEOPLE} .person=${FOREMAN}></lb-people>
    <lb-people .people=${PEOPLE} .person=${HAND} says="Only a foreman does that."></lb-people>
    <h2>lb-shop</h2>
    <lb-shop foreman .shop=${SHOP} .tools=${rulebook.setups.tools}></lb-shop>
    <h2>lb-lamps</h2>
    <lb-lamps when="intake"></lb-lamps>
    <lb-lamps .lamps=${{ seq: 1, event: '', at: '2026-11-25T10:00:00Z', by: 'Ode Falkenby', lit: ['abs'] }} .came=${['airbag']}></lb-lamps>
    <h2>lb-final-check, lb-gate</h2>
    <lb-final-check server .sight=${open} .person=${FOREMAN}></lb-final-check>
    <h2>lb-gate, nothing holds it; out of reach; no foreman</h2>
    <lb-gate ro="48213" server .person=${FOREMAN}></lb-gate>
    <lb-gate ro="48213" .person=${FOREMAN}></lb-gate>
    <lb-gate ro="48213" server .person=${HAND}></lb-gate>
    <h2>lb-leave-unfinished</h2>
    <lb-leave-unfinished ro="48213" foreman="Ode Falkenby" .lines=${open.safetyLines}></lb-leave-unfinished>
    <h2>lb-hand-over</h2>
    <lb-hand-over .sight=${left} .rulebook=${rulebook} shop="Tarn Lane Garage" car="Halden 6" hash=${'9f3a71c05e2d'.padStart(64, '0')}></lb-hand-over>`;
}

const WRITTEN: readonly Saying[] = [
  { type: 'opened', ro: '48213', rulebook: '', units: 'metric' },
  { type: 'line-added', line: { part: 'windscreen', did: 'replaced' } },
  { type: 'lamps', when: 'intake', lit: ['airbag'] },
];

function leaving({ safetyLines }: Sight): Saying {
  const lines = safetyLines.map(({ text }) => text);
  return { type: 'left-unfinished', foreman: FOREMAN.name, customer: 'Nel Ashgrove', lines };
}

/** A job as the record would have it; what is refused here is a fault of this page. */
function told(sayings: readonly Saying[], rulebook: Rulebook): Job {
  return sayings.reduce<Job>((job, saying, i) => {
    const head = saying.type === 'opened' ? { rulebook: rulebook.version } : {};
    const command = { ...saying, ...head, id: `p${i}`, at: `2026-11-25T08:0${i}:00Z`, by: FOREMAN.name } as Command;
    const answer = decide(command, job, { rulebook: () => rulebook, alone: false });
    if ('refused' in answer) throw new Error(answer.refused.join(' '));
    return answer.events.reduce(evolve, job);
  }, UNOPENED);
}
