import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { sheet } from '../sheet/sheet.styles.ts';

/** The VIN was written differently; as typed. */
export class VinTyped extends Event {
  static readonly type = 'lb-vin-typed';
  constructor(readonly text: string) {
    super(VinTyped.type, { bubbles: true, composed: true });
  }
}

const LENGTH = 17;
/** World maker code, description with the check digit last, serial part. */
const GROUPS = [
  [0, 3],
  [3, 9],
  [9, 17],
] as const;
const CHECK = 8;

/**
 * Seventeen boxes, over them one field: typed, pasted and read out as one. `wrong` marks places (1 to 17) to look at.
 * @fires lb-vin-typed
 */
@customElement('lb-vin-boxes')
export class VinBoxes extends LitElement {
  static override styles = [
    sheet,
    css`
      .field { position: relative; display: inline-block; max-width: 100%; }
      .boxes { display: flex; flex-wrap: wrap; gap: 6px 10px; pointer-events: none; }
      .group { display: flex; }
      i { font: 650 1.5rem/46px var(--pen); font-style: normal; width: 36px; height: 52px; border: 2px solid var(--touch); border-left-width: 1px; border-right-width: 1px; background: var(--wash); text-align: center; }
      i.check { border-width: 4px 3px; line-height: 42px; background: var(--paper); }
      i.wrong { border-bottom-width: 8px; text-decoration: line-through; text-decoration-thickness: 3px; }
      i.here { background: var(--paint); color: var(--on-paint); }
      input { position: absolute; inset: 0; width: 100%; height: 100%; opacity: 0; border: 0; padding: 0; margin: 0; font-size: 16px; cursor: text; }
      .field:focus-within { outline: 4px solid var(--paint); outline-offset: 4px; box-shadow: 0 0 0 10px var(--ink); border-radius: 2px; }
      .field:not(:focus-within) i.here { background: var(--wash); color: var(--ink); }
      .over { font: 650 1.25rem/1.2 var(--pen); overflow-wrap: anywhere; }
      @media (max-width: 560px) { i { width: 30px; font-size: 1.375rem; } }
    `,
  ];

  @property() value = '';
  @property({ attribute: false }) wrong: readonly number[] = [];
  @state() private caret = 0;
  @query('input') private readonly input!: HTMLInputElement;

  override focus(): void {
    this.input.focus();
  }

  override render(): TemplateResult {
    const shown = this.value.toUpperCase();
    const over = [...shown].length > LENGTH;
    return html`<label class="label" for="vin">VIN</label>
      <div>
        <div class="field">
          <input id="vin" .value=${this.value} autocomplete="off" autocapitalize="characters" spellcheck="false" inputmode="text"
            @input=${this.typed} @keyup=${this.follow} @focus=${this.follow} @click=${this.place} />
          <div class="boxes" aria-hidden="true">
            ${GROUPS.map(([from, to]) => html`<span class="group">${Array.from({ length: to - from }, (_, i) => this.box(from + i, shown))}</span>`)}
          </div>
        </div>
      </div>
      ${over ? html`<p class="over">${shown}</p>` : nothing}`;
  }

  private box(index: number, shown: string): TemplateResult {
    const marks = [
      index === CHECK ? 'check' : '',
      this.wrong.includes(index + 1) ? 'wrong' : '',
      index === Math.min(this.caret, LENGTH - 1) ? 'here' : '',
    ];
    return html`<i class=${marks.filter(Boolean).join(' ')}>${[...shown][index] ?? ''}</i>`;
  }

  private readonly typed = (): void => {
    this.follow();
    this.dispatchEvent(new VinTyped(this.input.value));
  };

  private readonly follow = (): void => {
    this.caret = this.input.selectionStart ?? this.input.value.length;
  };

  /** The field's own letters lie elsewhere than the boxes: a tap goes to the box under it. */
  private readonly place = (event: PointerEvent): void => {
    const boxes = [...this.renderRoot.querySelectorAll('i')];
    const under = boxes.findIndex((box) => {
      const { left, right, top, bottom } = box.getBoundingClientRect();
      return event.clientX >= left && event.clientX < right && event.clientY >= top && event.clientY < bottom;
    });
    if (under >= 0 && this.input.selectionStart === this.input.selectionEnd) {
      const at = Math.min(under, this.input.value.length);
      this.input.setSelectionRange(at, at);
    }
    this.follow();
  };
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-vin-boxes': VinBoxes;
  }
}
