import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import type { Part } from '../../src/rulebook/rulebook.ts';
import { type Did, DIDS } from '../../src/rulebook/schema.ts';
import { choice } from '../keys/choice.ts';
import { key, sheet } from '../sheet/sheet.styles.ts';
import { capital, placeText } from '../sheet/time.ts';

/** A work line is complete enough for the sheet; `at` is empty where nobody said. */
export class LineMade extends Event {
  static readonly type = 'lb-line-made';
  constructor(
    readonly part: string,
    readonly did: Did,
    readonly at: readonly string[],
  ) {
    super(LineMade.type, { bubbles: true, composed: true });
  }
}

/** The part is not put on after all. */
export class LineLeft extends Event {
  static readonly type = 'lb-line-left';
  constructor() {
    super(LineLeft.type, { bubbles: true, composed: true });
  }
}

/** What a did is called on a key. */
export function didText(did: string): string {
  return did === 'power-lost' ? 'lost power' : did;
}

/**
 * Says of one part what was done to it, and where. A part there is only one of is on the sheet with the first tap.
 * @fires lb-line-made
 * @fires lb-line-left
 */
@customElement('lb-line-maker')
export class LineMaker extends LitElement {
  static override styles = [
    sheet,
    key,
    css`
      .made { border: 3px solid var(--touch); border-radius: 4px; background: var(--wash); padding: 10px 12px 12px; margin-top: 8px; }
      h3 { font-size: var(--t-step); }
      .label { margin: 8px 0 4px; }
      .end { margin-top: 12px; }
    `,
  ];

  @property({ attribute: false }) entry!: Part;
  @state() private did: Did | undefined;
  @state() private at: readonly string[] = [];

  override render(): TemplateResult {
    const { title, did: sensible, at = [] } = this.entry.text;
    const dids = (sensible ?? DIDS).map((did) => ({ value: did, text: capital(didText(did)) }));
    const places = at.map((place) => ({ value: place, text: capital(placeText(place)) }));
    return html`<div class="made" role="group" aria-label=${title}>
      <h3>${title}</h3>
      <p class="label">was</p>
      ${choice(`${title} was`, dids, this.did ? [this.did] : [], (value) => this.say(value as Did))}
      ${places.length > 0 ? html`<p class="label">at</p>${choice(`${title}, where`, places, this.at, (place) => this.toggle(place))}` : nothing}
      <div class="keys end">
        ${places.length > 0 ? this.putOn() : nothing}
        <button type="button" class="key" @click=${() => this.dispatchEvent(new LineLeft())}>Leave off</button>
      </div>
    </div>`;
  }

  private putOn(): TemplateResult {
    const ready = this.did !== undefined;
    const words = !ready
      ? 'First say what was done'
      : this.at.length === 0
        ? 'Put on, place not known'
        : 'Put on the sheet';
    return html`<button type="button" class="key ${ready ? 'full' : ''}" aria-disabled=${ready ? 'false' : 'true'} @click=${this.made}>${words}</button>`;
  }

  private say(did: Did): void {
    this.did = did;
    if ((this.entry.text.at ?? []).length === 0) this.made();
  }

  private toggle(place: string): void {
    this.at = this.at.includes(place) ? this.at.filter((other) => other !== place) : [...this.at, place];
  }

  private readonly made = (): void => {
    if (this.did) this.dispatchEvent(new LineMade(this.entry.id, this.did, this.at));
  };
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-line-maker': LineMaker;
  }
}
