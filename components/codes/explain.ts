import { css, html, LitElement, type TemplateResult } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { choice } from '../keys/choice.ts';
import { Said, type Saying } from '../record/said.ts';
import { blank, key, sheet } from '../sheet/sheet.styles.ts';
import { codes } from './codes.styles.ts';

type About = Extract<Saying, { type: 'explained' }>['about'];

/**
 * Why the car may go with a code or a lamp that it has: left by a line of the order, belonging to a step, or in words.
 * @fires lb-said
 */
@customElement('lb-explain')
export class Explain extends LitElement {
  static override styles = [sheet, key, blank, codes, css`.key { justify-content: flex-start; text-align: start; }`];

  @property({ attribute: false }) about!: About;
  /** Sentences that can be taken as they are: work lines, open steps. */
  @property({ attribute: false }) offers: readonly string[] = [];
  @state() private picked = '';
  @state() private wrong = '';
  @query('textarea') private readonly words!: HTMLTextAreaElement;

  override render(): TemplateResult {
    const { offers, picked } = this;
    const options = offers.map((text) => ({ value: text, text }));
    return html`<div class="form">
      ${offers.length > 0 ? choice('What explains it', options, picked ? [picked] : [], (text) => this.pick(text)) : ''}
      <label><span class="label">${offers.length > 0 ? 'More about it, or in other words' : 'Why the car may go with it'}</span><textarea rows="2" maxlength="1500"></textarea></label>
      <div role="alert">${this.wrong ? html`<p class="strong">${this.wrong}</p>` : ''}</div>
      <div class="keys"><button type="button" class="key full" @click=${this.send}>Explain it with my name</button></div>
    </div>`;
  }

  private pick(text: string): void {
    this.picked = this.picked === text ? '' : text;
    this.wrong = '';
  }

  private readonly send = (): void => {
    const because = [this.picked, this.words.value.trim()].filter(Boolean).join(': ');
    this.wrong = because ? '' : 'Say in a few words what explains it.';
    if (because) this.dispatchEvent(new Said([{ type: 'explained', about: this.about, because }]));
  };
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-explain': Explain;
  }
}
