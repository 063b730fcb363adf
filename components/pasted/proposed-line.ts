import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import type { Part } from '../../src/rulebook/rulebook.ts';
import { type Did, DIDS } from '../../src/rulebook/schema.ts';
import type { Proposal } from '../../src/write-up/reading.ts';
import { choice } from '../keys/choice.ts';
import { key, sheet } from '../sheet/sheet.styles.ts';
import { capital, placeText } from '../sheet/time.ts';
import { didText, LineMade } from '../work-line/line-maker.ts';

/**
 * A work line that pasted words seem to name: it goes on the sheet by a tap and not before. What is open is asked.
 * @fires lb-line-made
 */
@customElement('lb-proposed-line')
export class ProposedLine extends LitElement {
  static override styles = [
    sheet,
    key,
    css`
      :host { border-bottom: 2px solid var(--ink); }
      .line { display: flex; flex-wrap: wrap; gap: 6px 10px; align-items: center; min-height: 64px; padding: 5px 0; }
      .letter { font: 800 1rem/26px var(--print); min-width: 26px; padding: 0 5px; text-align: center; background: var(--ink); color: var(--paper); border-radius: 13px; align-self: flex-start; margin-top: 6px; }
      .what { flex: 1 1 180px; line-height: 1.22; }
      .out .what { text-decoration: line-through; text-decoration-thickness: 2px; }
      .on { padding: 6px 0; }
      .doubt { margin-top: 2px; }
      .ask { padding: 0 0 10px 36px; }
      .ask .label { margin-bottom: 4px; }
    `,
  ];

  @property({ attribute: false }) proposal!: Proposal;
  @property() letter = '';
  @property({ attribute: false }) parts!: ReadonlyMap<string, Part>;
  /** Work lines that are on the sheet: part, did and places. */
  @property({ attribute: false }) sheet: readonly {
    part: string;
    did: string;
    at?: string | readonly string[] | undefined;
  }[] = [];
  @state() private told: { readonly part?: string; readonly did?: Did; readonly at?: readonly string[] } = {};
  @state() private leftOff = false;
  /** It was put on from here: focus must not fall off the page with its key. */
  private pressed = false;

  override willUpdate(changed: ReadonlyMap<PropertyKey, unknown>): void {
    if (!changed.has('proposal')) return;
    this.told = {};
    this.leftOff = false;
  }

  override updated(): void {
    if (!this.pressed || !this.taken) return;
    this.pressed = false;
    this.renderRoot.querySelector<HTMLElement>('.on')?.focus();
  }

  override render(): TemplateResult {
    const title = this.name();
    return html`<div class="line ${this.leftOff ? 'out' : ''}" role="group" aria-label="${this.letter}, ${title}">
        <span class="letter" aria-hidden="true">${this.letter}</span>
        <div class="what"><b>${title}</b><p>${this.says()}</p>${this.doubt()}</div>
        <div class="keys">${this.keys(title)}</div>
      </div>
      ${this.leftOff || this.taken ? nothing : this.asks(title)}`;
  }

  private get which(): string | undefined {
    return this.told.part ?? this.proposal.part ?? undefined;
  }

  private get did(): Did | undefined {
    return this.told.did ?? this.proposal.did ?? undefined;
  }

  private get at(): readonly string[] {
    return this.told.at ?? this.proposal.at;
  }

  private get taken(): boolean {
    const at = [...this.at].sort().join();
    return this.sheet.some(
      (line) => line.part === this.which && line.did === this.did && [line.at ?? []].flat().sort().join() === at,
    );
  }

  private name(): string {
    const asked = this.proposal.asks.find(({ about }) => about === 'part');
    if (this.which !== undefined) return this.parts.get(this.which)?.text.title ?? placeText(this.which);
    return (asked?.choices ?? []).map((id) => this.parts.get(id)?.text.title ?? id).join(', or ');
  }

  private says(): string {
    const did = this.did ? didText(this.did) : 'what was done is not said';
    return [did, this.at.map(placeText).join(' and ')].filter(Boolean).join(', ');
  }

  private doubt(): TemplateResult | typeof nothing {
    const { sure, doubts } = this.proposal;
    if (doubts.length === 0) return nothing;
    return html`<p class="doubt soft">${sure === 'look again' ? html`<b>Look again:</b> ` : nothing}${capital(doubts.join('; '))}.</p>`;
  }

  private keys(title: string): TemplateResult {
    if (this.taken) return html`<span class="label on" tabindex="-1">On the sheet</span>`;
    if (this.leftOff)
      return html`<button type="button" class="key" aria-label="${title} is left off. Undo" @click=${() => (this.leftOff = false)}>Left off. Undo</button>`;
    const ready = this.which !== undefined && this.did !== undefined;
    const open = this.at.length === 0 && this.proposal.asks.some(({ about }) => about === 'place');
    const undone = this.which === undefined ? 'First say which' : 'First say what was done';
    const words = !ready ? undone : open ? 'Put on, place not known' : 'Put on';
    return html`<button type="button" class="key" aria-disabled=${ready ? 'false' : 'true'} aria-label="${words}: ${title}, ${this.says()}" @click=${this.putOn}>${words}</button>
      <button type="button" class="key" aria-label="Leave off ${title}" @click=${() => (this.leftOff = true)}>Leave off</button>`;
  }

  private asks(title: string): TemplateResult[] {
    return this.proposal.asks.map(({ about, question, choices }) => {
      const [picked, pick]: [readonly string[], (value: string) => void] =
        about === 'part'
          ? [this.told.part ? [this.told.part] : [], (part) => (this.told = { ...this.told, part })]
          : about === 'did'
            ? [this.did ? [this.did] : [], (did) => (this.told = { ...this.told, did: did as Did })]
            : [this.at, (place) => this.toggle(place)];
      const text = (id: string) =>
        about === 'part'
          ? (this.parts.get(id)?.text.title ?? id)
          : capital(about === 'did' ? didText(id) : placeText(id));
      const sensible = about === 'did' && this.which ? (this.parts.get(this.which)?.text.did ?? DIDS) : choices;
      return html`<div class="ask"><p class="label">${question}</p>${choice(
        `${title}: ${question}`,
        sensible.map((value) => ({ value, text: text(value) })),
        picked,
        pick,
      )}</div>`;
    });
  }

  private toggle(place: string): void {
    const at = this.at.includes(place) ? this.at.filter((other) => other !== place) : [...this.at, place];
    this.told = { ...this.told, at };
  }

  private readonly putOn = (): void => {
    const { which: part, did, at } = this;
    if (part === undefined || did === undefined) return;
    this.pressed = true;
    this.dispatchEvent(new LineMade(part, did, at));
  };
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-proposed-line': ProposedLine;
  }
}
