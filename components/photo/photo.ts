import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property, query, state } from 'lit/decorators.js';
import { key, sheet } from '../sheet/sheet.styles.ts';
import { sha256 } from './sha256.ts';
import { shrink } from './shrink.ts';

/** A picture was taken; `hash` is the SHA-256 of exactly these bytes. */
export class PhotoTaken extends Event {
  static readonly type = 'lb-photo-taken';
  constructor(
    readonly blob: Blob,
    readonly hash: string,
  ) {
    super(PhotoTaken.type, { bubbles: true, composed: true });
  }
}

/**
 * A picture of the thing itself. The tablet's own camera opens, which needs no https.
 * @fires lb-photo-taken
 */
@customElement('lb-photo')
export class Photo extends LitElement {
  static override styles = [
    sheet,
    key,
    css`
      .photo { display: grid; grid-template-columns: minmax(0, 1fr); gap: 6px; }
      .photo.shown { grid-template-columns: minmax(0, 1fr) auto; align-items: center; }
      input { position: absolute; width: 1px; height: 1px; opacity: 0; }
      label.key { min-height: 54px; width: 100%; }
      label.key svg { width: 30px; height: 30px; }
      input:focus-visible + label { outline: 4px solid var(--paint); outline-offset: 2px; box-shadow: 0 0 0 8px var(--ink); }
      img { width: 96px; height: 72px; object-fit: cover; border: 2px solid var(--ink); display: block; }
      p { line-height: 1.2; }
      .against { border-left: 10px solid var(--ink); padding-left: 8px; }
    `,
  ];

  /** What it is to show; stands on the key. */
  @property() label = 'Photograph it';
  /** A picture of it is on record already. */
  @property({ type: Boolean }) kept = false;
  @state() private busy = false;
  @state() private fault = '';
  @state() private preview = '';
  @query('input') private readonly input!: HTMLInputElement;

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.show('');
  }

  override render(): TemplateResult {
    const has = this.kept || this.preview !== '';
    return html`<div class="photo ${this.preview ? 'shown' : ''}">
      <div>
        <input id="file" type="file" accept="image/*" .capture=${'environment'} ?disabled=${this.busy} @change=${this.chosen} />
        <label class="key" for="file">${CAMERA}<span>${has ? `${this.label}, once more` : this.label}</span></label>
      </div>
      ${this.preview ? html`<img src=${this.preview} alt="The picture just taken" />` : nothing}
    </div>
    <p role="status">${this.says()}</p>
    ${this.fault ? html`<p class="against" role="alert">${this.fault}</p>` : nothing}`;
  }

  private says(): string {
    if (this.busy) return 'The picture is being made smaller.';
    return this.kept || this.preview ? 'A picture is kept.' : '';
  }

  private readonly chosen = async (): Promise<void> => {
    const [file] = this.input.files ?? [];
    // The same picture may be chosen again.
    this.input.value = '';
    if (file) await this.take(file);
  };

  /** Also for a picture from elsewhere, such as a camera that runs in the page. */
  async take(picture: Blob | HTMLVideoElement): Promise<void> {
    this.busy = true;
    this.fault = '';
    try {
      const blob = await shrink(picture);
      const hash = await sha256(new Uint8Array(await blob.arrayBuffer()));
      this.show(URL.createObjectURL(blob));
      this.dispatchEvent(new PhotoTaken(blob, hash));
    } catch {
      this.fault = 'That is no picture this tablet can read. Take one with its camera, as JPEG or PNG.';
    } finally {
      this.busy = false;
    }
  }

  private show(url: string): void {
    if (this.preview) URL.revokeObjectURL(this.preview);
    this.preview = url;
  }
}

const CAMERA = html`<svg viewBox="0 0 30 30" fill="none" stroke="currentColor" stroke-width="3" aria-hidden="true"><path d="M2 8h7l2-4h8l2 4h7v18H2z" stroke-linejoin="round"/><circle cx="15" cy="16.500" r="5"/></svg>`;

declare global {
  interface HTMLElementTagNameMap {
    'lb-photo': Photo;
  }
}
