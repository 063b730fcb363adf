import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { toldOf } from '../../src/job/codes/reading.ts';
import { CONTINUOUS, type Ignition, type MonitorId, MONITOR_TITLES, monitorsOf } from '../../src/scan/monitors.ts';
import type { Readiness } from '../../src/scan/readiness.ts';
import { readReadiness } from '../../src/scan/readiness-read.ts';
import { readinessFromTicks, type Tick } from '../../src/scan/readiness-typed.ts';
import { choice } from '../keys/choice.ts';
import { Said } from '../record/said.ts';
import { blank, key, sheet } from '../sheet/sheet.styles.ts';
import { capital, sentence } from '../sheet/time.ts';
import { codes } from './codes.styles.ts';
import { testCell } from './marks.ts';

const STATES: readonly (readonly [Tick, string])[] = [
  ['complete', 'ready'],
  ['not-complete', 'not yet'],
  ['not-fitted', 'not fitted'],
];

/**
 * The self-tests as a tool shows them: hex replies, a table or lines pasted, or said one by one. What was made of it
 * stands below before it is written down.
 * @fires lb-said
 */
@customElement('lb-readiness')
export class ReadinessField extends LitElement {
  static override styles = [
    sheet,
    key,
    blank,
    codes,
    css`
      .made { border-top: 2px solid var(--ink); }
      .made li { display: grid; grid-template-columns: 48px minmax(0, 1fr) auto; gap: 10px; align-items: center; min-height: 48px; border-bottom: 2px solid var(--ink); line-height: 1.15; }
      .made svg { width: 44px; height: 28px; }
      .one { display: grid; gap: 8px 14px; grid-template-columns: repeat(auto-fill, minmax(min(100%, 230px), 1fr)); }
      select { min-height: 54px; }
    `,
  ];

  @property() when: 'before' | 'after' = 'before';
  @state() private text = '';
  @state() private ticks: Readonly<Partial<Record<MonitorId, Tick>>> = {};
  @state() private ignition: Ignition = 'spark';
  @state() private lamp: boolean | undefined;
  @query('textarea') private readonly field!: HTMLTextAreaElement;

  override render(): TemplateResult {
    const read = this.read();
    return html`<div class="form">
      <label><span class="label">What the tool answers, pasted: hex replies, a table, or lines such as "EVAP: not ready"</span>
        <textarea rows="3" .value=${this.text} placeholder="41 01 00 07 E5 00" autocomplete="off" spellcheck="false" maxlength="60000" @input=${this.typed}></textarea>
      </label>
      ${this.text.trim() === '' ? this.oneByOne() : nothing}
      <div aria-live="polite">${read ? made(read) : nothing}</div>
      ${this.keys(read)}
    </div>`;
  }

  private read(): Readiness | undefined {
    if (this.text.trim() !== '') return readReadiness(this.text);
    if (Object.keys(this.ticks).length === 0) return undefined;
    const { ticks: tests, ignition, lamp } = this;
    return readinessFromTicks({ tests, ignition, ...(lamp === undefined ? {} : { mil: lamp }) });
  }

  private oneByOne(): TemplateResult {
    const yes = this.lamp === undefined ? [] : [this.lamp ? 'on' : 'off'];
    return html`<details>
      <summary>Say them one by one</summary>
      ${choice(
        'How the engine burns',
        [
          { value: 'spark', text: 'Petrol or gas' },
          { value: 'compression', text: 'Diesel' },
        ],
        [this.ignition],
        (value) => {
          this.ignition = value as Ignition;
          this.ticks = {};
        },
      )}
      <div class="form">
        ${choice(
          'The warning lamp, by the tool',
          [
            { value: 'on', text: 'Lamp commanded on' },
            { value: 'off', text: 'Lamp off' },
          ],
          yes,
          (value) => (this.lamp = value === 'on'),
        )}
        <div class="one">${[...CONTINUOUS, ...monitorsOf(this.ignition)].map((id) => this.one(id))}</div>
      </div>
    </details>`;
  }

  private one(id: MonitorId): TemplateResult {
    return html`<label><span class="label">${capital(MONITOR_TITLES[id])}</span>
      <select @change=${(event: Event) => this.tick(id, (event.target as HTMLSelectElement).value)}>
        <option value="" ?selected=${!this.ticks[id]}>not said</option>
        ${STATES.map(([value, text]) => html`<option value=${value} ?selected=${this.ticks[id] === value}>${text}</option>`)}
      </select></label>`;
  }

  private keys(read: Readiness | undefined): TemplateResult {
    const told = read && toldOf(read);
    const first = told ? '' : read ? 'No self-test in it' : 'First paste or say them';
    return html`<div class="keys"><button type="button" class="key ${first ? '' : 'full'}" aria-disabled=${first ? 'true' : 'false'} @click=${() => told && this.write(told)}>${first || 'Write them down'}</button></div>`;
  }

  private readonly typed = (): void => {
    this.text = this.field.value;
  };

  private tick(id: MonitorId, value: string): void {
    const { [id]: _, ...rest } = this.ticks;
    this.ticks = value ? { ...rest, [id]: value as Tick } : rest;
  }

  private write(told: NonNullable<ReturnType<typeof toldOf>>): void {
    this.dispatchEvent(new Said([{ type: 'readiness-read', when: this.when, ...told }]));
    this.text = '';
    this.ticks = {};
    this.lamp = undefined;
  }
}

/** What was made of the text, to be compared with the tool. */
function made({ monitors, mil, count, modules, faults, doubts }: Readiness): TemplateResult {
  return html`${modules.length > 0 ? html`<p><b>Compare it with the tool.</b> Lamp ${mil ? 'commanded on' : 'off'}, ${count} ${count === 1 ? 'code' : 'codes'}, ${modules.length} ${modules.length === 1 ? 'module' : 'modules'}.</p>` : nothing}
    ${monitors.length > 0 ? testList(monitors) : nothing}
    ${faults.map(({ line, text, message, hint, kind }) => html`<p class=${kind === 'broken' ? 'strong' : ''}>Line ${line} <span class="pen">${text}</span> ${message}${hint ? `; ${hint}` : ''}.</p>`)}
    ${doubts.map((doubt) => html`<p class="soft">${sentence(doubt)}</p>`)}`;
}

/** Each self-test with its state, as a list. */
export function testList(monitors: Readiness['monitors']): TemplateResult {
  return html`<ul class="made">${monitors.map(({ id, complete }) => html`<li>${testCell(complete)}<b>${capital(MONITOR_TITLES[id])}</b><span>${complete ? 'ready' : 'not yet'}</span></li>`)}</ul>`;
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-readiness': ReadinessField;
  }
}
