import '../../../components/bolt/bolt.ts';
import '../../../components/change/change-note.ts';
import '../../../components/change/tear-line.ts';
import '../../../components/drive/drive-legs.ts';
import '../../../components/drive/route-card.ts';
import '../../../components/head/leaf-head.ts';
import '../../../components/part-search/part-search.ts';
import '../../../components/plate/plate.ts';
import '../../../components/question/question-card.ts';
import '../../../components/route/route-picture.ts';
import '../../../components/step/open-step.ts';
import '../../../components/step/step-row.ts';
import '../../../components/stop/stop-row.ts';
import '../../../components/vin/vin-boxes.ts';
import '../../../components/work-line/line-maker.ts';
import '../../../components/work-line/work-line.ts';
import { css, html, LitElement, nothing, type TemplateResult, unsafeCSS } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { STAGES, stageWord } from '../../../components/bolt/bolt.ts';
import type { CardLeg } from '../../../components/drive/legs.ts';
import { drawing, drawn } from '../../../components/question/drawings.ts';
import type { PictureStop } from '../../../components/route/route-picture.ts';
import { key, sheet } from '../../../components/sheet/sheet.styles.ts';
import tokens from '../../../components/sheet/tokens.css?inline';
import { setupDrawings } from '../../../components/stop/setup-glyphs.ts';
import type { Step } from '../../checklist.ts';
import type { Question } from '../../resolve/result.ts';
import type { FollowUp, Part, Rulebook } from '../../rulebook/rulebook.ts';
import { workParts } from './parts-acts.ts';
import { checkParts } from './parts-check.ts';
import { codesParts } from './parts-codes.ts';

/** Every element of the sheet in every state, on light and on dark paper, for those who carry on. Figures show the form only. */
@customElement('lb-parts-page')
export class PartsPage extends LitElement {
  static override styles = [
    // Once more in here, so that both papers can lie side by side whatever the page wears.
    unsafeCSS(tokens),
    sheet,
    key,
    css`
      .themes { display: grid; grid-template-columns: repeat(auto-fit, minmax(min(100%, 560px), 1fr)); }
      .paper { background: var(--paper); color: var(--ink); min-width: 0; padding: 8px 12px 32px; }
      h2 { border-bottom: 4px solid var(--ink); padding: 20px 0 4px; margin-bottom: 8px; overflow-wrap: anywhere; }
      .row { display: flex; flex-wrap: wrap; gap: 10px 20px; align-items: center; }
      .mark { display: grid; justify-items: center; gap: 4px; width: 120px; text-align: center; line-height: 1.15; }
      .mark div { display: flex; gap: 8px; }
      figure { width: 168px; }
      figure svg { width: 160px; height: 106px; }
      figcaption { overflow-wrap: anywhere; line-height: 1.2; }
      lb-change-note { position: static; }
      .gap > * + * { margin-top: 12px; }
      .cards { display: grid; grid-template-columns: repeat(auto-fit, minmax(min(100%, 330px), 1fr)); gap: 20px; align-items: start; }
      .cards h3 { border-bottom: 2px solid var(--ink); margin-bottom: 8px; }
    `,
  ];

  @property({ attribute: false }) rulebook!: Rulebook;

  override render(): TemplateResult {
    return html`<div class="themes">
      ${(['light', 'dark'] as const).map((theme) => html`<section class="paper" data-theme=${theme} aria-label="On ${theme} paper">${this.everything()}</section>`)}
    </div>`;
  }

  private everything(): TemplateResult {
    return html`${marks()} ${this.route()} ${this.opened()} ${workParts(this.rulebook)} ${this.questions()} ${this.writing()} ${codesParts(this.rulebook)} ${checkParts(this.rulebook)}
      <h2>lb-change-note</h2>
      <lb-change-note .sentences=${['Forward camera aim is needed now: windscreen replaced.', 'Wheel alignment is required now, no longer recommended.']} undo="Take it back"></lb-change-note>`;
  }

  private route(): TemplateResult {
    return html`<h2>lb-route-picture</h2>
      <lb-route-picture .stops=${STOPS}></lb-route-picture>
      <h2>lb-stop-row, lb-tear-line, lb-step-row</h2>
      <lb-stop-row letter="A" name="Level stand" time="12 min" .setup=${setupDrawings().map((id) => ({ id, text: id.replace(':', ' ') }))}></lb-stop-row>
      ${STAGES.map((stage, i) => html`<lb-step-row .number=${i + 1} name="Steering angle zero" say="6 min, waits for 4." href="#/parts" .stage=${stage} ?safety=${i % 2 === 0}></lb-step-row>`)}
      <lb-step-row .number=${9} name="Under the hand" say="6 min." href="#/parts" safety opened></lb-step-row>
      <lb-tear-line .changes=${['ignition on, engine not running (was off)', 'put a battery supply unit on']} .minutes=${3.5}></lb-tear-line>
      <h2>lb-drive-legs</h2>
      <lb-drive-legs .legs=${LEGS} .minutes=${12} .saved=${8} href="#/parts"></lb-drive-legs>
      <h2>lb-route-card</h2>
      <lb-route-card ro="48213" car="Halden 6" .legs=${LEGS} .minutes=${12} .saved=${8} .first=${['5 Wheel bolts torqued']} rules=${this.rulebook.version}></lb-route-card>`;
  }

  /** A real follow-up of the rulebook in force, with every note that a step can carry. */
  private opened(): TemplateResult | typeof nothing {
    const followUp = [...this.rulebook.followUps.values()].find(({ safety, ways }) => safety && ways.length > 1);
    if (!followUp) return nothing;
    const other = {
      number: 3,
      title: 'Wheel alignment',
      safety: true,
      href: '#/parts',
      because: 'the line must be true first',
    };
    return html`<h2>lb-open-step</h2>
      <lb-open-step
        .step=${stepOf(followUp)}
        .followUp=${followUp}
        .rulebook=${this.rulebook}
        .car=${{ known: new Map(), domains: this.rulebook.domains }}
        .number=${8}
        .waitsFor=${[other]}
        .holdsUp=${[{ ...other, number: 9, because: '' }]}
        .wayOpen=${[{ text: 'How is it aimed?', href: '#/parts' }]}
        .placeOpen=${[{ text: 'Can toe be set at the rear axle?', href: '#/parts' }]}
      ></lb-open-step>`;
  }

  private questions(): TemplateResult {
    const asked: Question = {
      id: 'forward-camera',
      kind: 'trait',
      text: 'has it a camera behind the windscreen?',
      howToTell: 'look at the mirror foot from outside',
      answers: [
        { value: 'none', text: 'not fitted' },
        { value: 'target', text: 'aimed on targets' },
      ],
      settles: ['a', 'b'],
      safety: true,
    };
    const likely = { value: 'target', because: 'most cars of this maker and year have it' };
    return html`<h2>lb-question-card</h2>
      <div class="gap">
        <lb-question-card .question=${{ ...asked, likely }} .number=${1}></lb-question-card>
        <lb-question-card .question=${asked} .number=${2} .answer=${'target'}></lb-question-card>
        <lb-question-card .question=${{ ...asked, safety: false }} .number=${3} .answer=${null}></lb-question-card>
        <lb-question-card .question=${{ ...asked, id: 'model', text: 'which model is it?', answers: [] }} .number=${4}></lb-question-card>
        <lb-question-card .question=${{ ...asked, id: 'maker', text: 'who made the car?', answers: [] }} .more=${[...this.rulebook.makers].map(([value, text]) => ({ value, text }))} .number=${5}></lb-question-card>
      </div>
      <h2>Drawings of how to tell</h2>
      <div class="row">${drawn().map((trait) => html`<figure>${drawing(trait)}<figcaption>${trait}</figcaption></figure>`)}</div>`;
  }

  private writing(): TemplateResult {
    const part = [...this.rulebook.parts.values()].find(({ text }) => (text.at ?? []).length > 1) as Part;
    const line = { part: part.id, did: 'replaced' as const };
    return html`<h2>lb-vin-boxes</h2>
      <lb-vin-boxes value="7ZHAB3C59K0900418"></lb-vin-boxes>
      <lb-vin-boxes value="7ZHAB3C58K0900418" .wrong=${[9]}></lb-vin-boxes>
      <h2>lb-part-search</h2>
      <lb-part-search label="What was worked on?" words="wind" .hits=${[{ id: 'windscreen', title: 'Windscreen', note: 'windshield, front glass' }]}></lb-part-search>
      <lb-part-search label="What was worked on?" words="flux" nothing="No part by that name. Try another word for it."></lb-part-search>
      <h2>lb-line-maker, lb-work-line</h2>
      <lb-line-maker .entry=${part}></lb-line-maker>
      <lb-work-line .line=${line} .entry=${part}></lb-work-line>
      <lb-work-line .line=${{ ...line, at: part.text.at?.[0] as string, by: 'another shop' }} .entry=${part}></lb-work-line>
      <h2>Keys</h2>
      <div class="keys">
        <button type="button" class="key">Key</button><button type="button" class="key" aria-pressed="true">Picked</button>
        <button type="button" class="key" aria-disabled="true">First say what was done</button><button type="button" class="key main full">Going on</button>
      </div>`;
  }
}

function marks(): TemplateResult {
  return html`<h2>lb-bolt, lb-plate</h2>
    <div class="row">
      ${STAGES.map((stage) => html`<div class="mark"><div><lb-bolt plain .stage=${stage}></lb-bolt><lb-bolt plain safety .stage=${stage}></lb-bolt></div>${stageWord(stage)}</div>`)}
      <lb-plate flat></lb-plate><lb-plate flat .count=${3}></lb-plate><lb-plate></lb-plate>
    </div>`;
}

const LEGS: readonly CardLeg[] = [
  {
    card: ['between 40 km/h (25 mph) and 80 km/h (50 mph)', 'for 10 min', 'straight, clear lane markings'],
    minutes: 10,
    serves: [
      { number: 8, title: 'Steering angle zero', safety: true },
      { number: 9, title: 'Forward camera aim', safety: true },
    ],
  },
  {
    card: ['up to 30 km/h (19 mph)', 'for 2 min', '3 full stops'],
    minutes: 2,
    serves: [{ number: 11, title: 'Idle and mixture relearn', safety: false }],
  },
];

const STOPS: readonly PictureStop[] = [
  {
    letter: 'A',
    name: 'Bay floor',
    minutes: 34,
    changeMinutes: 0,
    changes: false,
    steps: 2,
    safety: 2,
    href: '#/parts',
  },
  {
    letter: 'B',
    name: 'Alignment rack',
    minutes: 45,
    changeMinutes: 11,
    changes: true,
    steps: 1,
    safety: 1,
    href: '#/parts',
  },
  { letter: 'C', name: 'Road', minutes: 0, changeMinutes: 7, changes: true, steps: 2, safety: 0, href: '#/parts' },
];

function stepOf({ id, title, ways }: FollowUp): Step {
  return {
    id,
    followUp: id,
    title,
    level: 'required',
    safety: true,
    phase: 'after',
    way: ways[0]?.id ?? 'none',
    ways: ways.map((way) => way.id),
    wayOpen: ['forward-camera'],
    tool: ways[0]?.tool ?? 'none',
    toolMissing: true,
    setup: {},
    change: [],
    because: ['Windscreen replaced: it looks through other glass.'],
    causes: [
      {
        text: 'Windscreen replaced',
        sources: [],
        causes: [{ text: 'It stands on the repair order', sources: [], causes: [] }],
      },
    ],
    waitsFor: ['wheel-alignment'],
    waits: [],
    minutes: { hands: 40, wait: 30 },
    boxes: ['front-left', 'front-right'],
    covers: [{ followUp: 'a', title: 'Steering angle zero', because: [] }],
    confirms: [{ question: 'holds:x', state: 'x', text: 'Does the car stand level?' }],
    finish: 'owner',
    block: 1,
  };
}

/** The page; fetched only when somebody asks for it. */
export function partsPage(rulebook: Rulebook): TemplateResult {
  return html`<lb-parts-page .rulebook=${rulebook}></lb-parts-page>`;
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-parts-page': PartsPage;
  }
}
