import { html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import type { Settle } from '../../src/job/refusal.ts';
import '../photo/photo.ts';
import type { PhotoTaken } from '../photo/photo.ts';
import { Said, type Saying } from '../record/said.ts';
import { blank, key, sheet } from '../sheet/sheet.styles.ts';
import { gate } from './gate.styles.ts';

/** What can be settled where it is read. */
export type HereSettled =
  | Extract<Settle, { type: 'explained' | 'state-ended' }>
  | { readonly type: 'ruled-out'; readonly step: string };

const WORDS: Readonly<
  Record<HereSettled['type'], { readonly asks: string; readonly key: string; readonly photo: string }>
> = {
  explained: { asks: 'Why the car may go with it', key: 'Explain it with my name', photo: '' },
  'ruled-out': {
    asks: 'What shows that this car does not need it',
    key: 'Settle it',
    photo: 'Photograph what shows it',
  },
  'state-ended': { asks: 'How it ended', key: 'It has ended', photo: 'Photograph the car without it' },
};

/**
 * A few words, and where a picture has to bear them out that picture, behind one key.
 * @fires lb-said
 * @fires lb-photo-taken
 */
@customElement('lb-settle-form')
export class SettleForm extends LitElement {
  static override styles = [sheet, key, blank, gate];

  @property({ attribute: false }) settle!: HereSettled;
  @state() private hash = '';
  @state() private wrong = '';
  @query('textarea') private readonly words!: HTMLTextAreaElement;

  override focus(): void {
    this.words.focus();
  }

  override render(): TemplateResult {
    const { asks, key: done, photo } = WORDS[this.settle.type];
    return html`<div class="form">
      ${photo ? html`<lb-photo .label=${photo} @lb-photo-taken=${this.took}></lb-photo>` : nothing}
      <label><span class="label">${asks}</span><textarea rows="2" maxlength="2000"></textarea></label>
      <div role="alert">${this.wrong ? html`<p class="against">${this.wrong}</p>` : nothing}</div>
      <div class="keys"><button type="button" class="key full" @click=${this.send}>${done}</button></div>
    </div>`;
  }

  private readonly took = ({ hash }: PhotoTaken): void => {
    this.hash = hash;
  };

  private readonly send = (): void => {
    const because = this.words.value.trim();
    const { settle, hash } = this;
    if (settle.type !== 'explained' && !hash) this.wrong = 'It takes a photo: without one it is only a word.';
    else if (!because) this.wrong = 'Say it in a few words.';
    else {
      this.wrong = '';
      this.dispatchEvent(new Said([saying(settle, because, hash)]));
    }
  };
}

function saying(settle: HereSettled, because: string, photo: string): Saying {
  switch (settle.type) {
    case 'ruled-out':
      return { type: 'ruled-out', step: settle.step, photo, because };
    case 'state-ended':
      return { type: 'state-ended', state: settle.state, photo, because };
    default:
      return {
        type: 'explained',
        about: settle.code === undefined ? { lamp: settle.lamp ?? '' } : { code: settle.code },
        because,
      };
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-settle-form': SettleForm;
  }
}
