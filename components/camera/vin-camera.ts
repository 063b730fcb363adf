import { css, html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, query, state } from 'lit/decorators.js';
import { key, sheet } from '../sheet/sheet.styles.ts';
import { TURNS, turned } from './frames.ts';
import { type LabelVin, type Read, Sightings, vinIn } from './label.ts';

/** A VIN was read off its label. */
export class VinRead extends Event {
  static readonly type = 'lb-vin-read';
  constructor(readonly vin: string) {
    super(VinRead.type, { bubbles: true, composed: true });
  }
}

/** The part of the picture that is looked at; drawn as the guide. */
const GUIDE = { wide: 0.92, high: 0.5 };
const BETWEEN_MS = 60;

type Decoder = (picture: ImageData) => Promise<Read[]>;

/**
 * Reads the VIN off the label of the car: through the camera in the page where the browser allows one (https), from a
 * picture of it everywhere. What stands in the slot is for typing it instead.
 * @fires lb-vin-read
 */
@customElement('lb-vin-camera')
export class VinCamera extends LitElement {
  static override styles = [
    sheet,
    key,
    css`
      .keys { align-items: center; }
      .key { min-height: 54px; }
      .file { position: absolute; width: 1px; height: 1px; opacity: 0; }
      .file:focus-visible + label { outline: 4px solid var(--paint); outline-offset: 2px; box-shadow: 0 0 0 8px var(--ink); }
      .view { position: relative; border: 4px solid var(--ink); background: #000; margin-bottom: 8px; max-width: 720px; }
      video { display: block; width: 100%; max-height: 60vh; object-fit: cover; }
      .guide { position: absolute; inset: 25% 4%; border: 5px solid #ffd21f; outline: 3px solid #12161a; }
      .guide::after { content: ''; position: absolute; left: 4%; right: 4%; top: calc(50% - 2px); height: 4px; background: #ffd21f; outline: 2px solid #12161a; }
      p { line-height: 1.25; margin: 6px 0; }
      .against { border-left: 10px solid var(--ink); padding-left: 8px; }
    `,
  ];

  @state() private stream: MediaStream | undefined;
  @state() private says = '';
  @state() private fault = '';
  @state() private lit: boolean | undefined;
  @query('video') private readonly video!: HTMLVideoElement | null;
  @query('.file') private readonly file!: HTMLInputElement;
  private readonly canRun = typeof navigator.mediaDevices?.getUserMedia === 'function';

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.stop();
  }

  override render(): TemplateResult {
    return html`<div role="group" aria-label="Read the VIN off its label">
      ${this.stream ? this.view() : this.closed()}
      <p role="status">${this.says}</p>
      ${this.fault ? html`<p class="against" role="alert">${this.fault}</p>` : nothing}
      <slot></slot>
    </div>`;
  }

  private closed(): TemplateResult {
    return html`<div class="keys">
      ${this.canRun ? html`<button type="button" class="key" @click=${this.start}>Read it with the camera</button>` : nothing}
      <span><input id="file" class="file" type="file" accept="image/*" .capture=${'environment'} @change=${this.picture} /><label class="key" for="file">Photograph the label</label></span>
    </div>
    ${this.canRun ? nothing : html`<p class="soft">On this address the camera does not run in the page (it wants https). A picture of the label does as well.</p>`}`;
  }

  private view(): TemplateResult {
    return html`<div class="view"><video .srcObject=${this.stream ?? null} autoplay playsinline muted aria-label="What the camera sees"></video><div class="guide" aria-hidden="true"></div></div>
      <div class="keys">
        <button type="button" class="key" @click=${this.stop}>Put the camera away</button>
        ${this.lit === undefined ? nothing : html`<button type="button" class="key" aria-pressed=${this.lit ? 'true' : 'false'} @click=${this.light}>Light</button>`}
      </div>`;
  }

  private readonly start = async (): Promise<void> => {
    this.fault = '';
    this.says = 'The camera is being opened.';
    try {
      const [stream, { codesIn }] = await Promise.all([
        navigator.mediaDevices.getUserMedia({ video: { facingMode: 'environment', width: { ideal: 1920 } } }),
        import('./decode.ts'),
      ]);
      if (!this.isConnected) return stopped(stream);
      this.stream = stream;
      this.lit = hasLight(stream) ? false : undefined;
      this.says = 'Hold the bars of the label along the line.';
      await this.updateComplete;
      await this.look(codesIn);
    } catch {
      this.stop();
      this.fault =
        'The camera does not open: the browser was not allowed to use it, or there is none. Photograph the label, or type it.';
    }
  };

  /** One picture after the other, each turned a little differently, until enough of them say the same. */
  private async look(codesIn: Decoder): Promise<void> {
    const sightings = new Sightings();
    for (let i = 0; this.stream; i++) {
      const { video } = this;
      if (video && video.videoWidth > 0) {
        const size = { width: video.videoWidth, height: video.videoHeight };
        const found = vins(await codesIn(turned(video, size, TURNS[i % TURNS.length] as number, GUIDE)));
        const sure = found.flatMap((read) => sightings.add(read) ?? [])[0];
        if (sure && this.stream) return this.tell(sure);
        if (found[0]) this.says = `${found[0].vin}? Hold it still.`;
      }
      await new Promise((resolve) => setTimeout(resolve, BETWEEN_MS));
    }
  }

  private readonly picture = async (): Promise<void> => {
    const [file] = this.file.files ?? [];
    this.file.value = '';
    if (!file) return;
    this.fault = '';
    this.says = 'The picture is being read.';
    const found = await this.inPicture(file);
    this.says = '';
    if (found) this.tell(found);
    else
      this.fault =
        'No VIN could be read in that picture. Hold the tablet straight before the label, close and sharp, without glare; or type it.';
  };

  /** All the turns of one picture are looked at; what agrees with its check digit counts before what does not. */
  private async inPicture(file: Blob): Promise<LabelVin | undefined> {
    try {
      const [bitmap, { codesIn }] = await Promise.all([createImageBitmap(file), import('./decode.ts')]);
      const all: LabelVin[] = [];
      for (const degrees of TURNS) {
        all.push(...vins(await codesIn(turned(bitmap, bitmap, degrees))));
        if (all.some(({ agrees }) => agrees)) break;
      }
      bitmap.close();
      return all.find(({ agrees }) => agrees) ?? all[0];
    } catch {
      return undefined;
    }
  }

  private tell({ vin, agrees }: LabelVin): void {
    this.stop();
    this.says = agrees
      ? `Read: ${vin}. Its check digit agrees.`
      : `Read: ${vin}. Its check digit does not agree, as on cars not built for the US, Canada or China: compare it with the car.`;
    this.dispatchEvent(new VinRead(vin));
  }

  private readonly stop = (): void => {
    if (this.stream) stopped(this.stream);
    this.stream = undefined;
    this.says = '';
  };

  private readonly light = async (): Promise<void> => {
    const on = !this.lit;
    const [track] = this.stream?.getVideoTracks() ?? [];
    await track?.applyConstraints({ advanced: [{ torch: on } as MediaTrackConstraintSet] });
    this.lit = on;
  };
}

function vins(codes: readonly Read[]): LabelVin[] {
  return codes.flatMap((code) => vinIn(code) ?? []);
}

function stopped(stream: MediaStream): void {
  for (const track of stream.getTracks()) track.stop();
}

function hasLight(stream: MediaStream): boolean {
  const [track] = stream.getVideoTracks();
  return (track?.getCapabilities?.() as { torch?: boolean } | undefined)?.torch === true;
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-vin-camera': VinCamera;
  }
}
