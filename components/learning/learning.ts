import { html, LitElement, nothing, type TemplateResult } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { type Learned, NOISE, type RuleCount } from '../../src/job/learning.ts';
import { passedOverText } from '../../src/job/learning/words.ts';
import '../plate/plate.ts';
import { PageFrame } from '../paper/page-frame.ts';
import { key, sheet } from '../sheet/sheet.styles.ts';
import { capital, sentence } from '../sheet/time.ts';
import { learning } from './learning.styles.ts';

/**
 * What finished jobs say of the rules, for their keeper: passed over, noted, brought back, and every count behind it.
 * Rules are judged, not people.
 */
@customElement('lb-learning')
export class LearningPage extends LitElement {
  static override styles = [sheet, key, learning];

  @property({ attribute: false }) learned!: Learned;
  @property() shop = '';
  /** Version of the rules in force. */
  @property() rules = '';
  @property({ attribute: false }) jobHref: ((ro: string) => string) | undefined = undefined;
  protected readonly frame = new PageFrame(this, () => [
    ['What jobs say of the rules', this.shop].filter(Boolean).join(' · '),
    this.rules,
  ]);

  override render(): TemplateResult {
    const { rules, counted } = this.learned;
    const called = rules.filter(({ asked }) => asked > 0);
    if (rules.length === 0 && this.learned.missing.length === 0)
      return html`<p class="band">No job is finished yet, and nobody has noted anything.</p>`;
    return html`<div class="band brief">
        <p>${counted === 1 ? '1 finished job' : `${counted} finished jobs`} counted. Rules are judged here, not people.</p>
        <button type="button" class="key screen" @click=${() => window.print()}>Print it</button>
      </div>
      ${this.noise()} ${this.notes()} ${this.back()}
      ${called.length > 0 ? html`<section class="band"><h2>Every rule that was called for</h2>${called.map((rule) => this.rule(rule))}</section>` : nothing}
      ${this.uncounted()}`;
  }

  private noise(): TemplateResult {
    const { noise } = this.learned;
    return html`<section class="band">
      <h2>Passed over so often that the rule may be noise</h2>
      ${
        noise.length === 0
          ? html`<p>None: no rule was passed over on more than ${NOISE.share * 100} % of at least ${NOISE.jobs} finished jobs.</p>`
          : html`<ul>${noise.map(({ title, safety, because }) => html`<li>${safety ? html`<lb-plate flat></lb-plate>` : nothing}<p><b>${title}.</b> ${sentence(because)} ${safety ? html`<b>It can hurt someone: find out why it is passed over before the rule is touched.</b>` : nothing}</p></li>`)}</ul>`
      }
    </section>`;
  }

  private notes(): TemplateResult | typeof nothing {
    const { rules, missing } = this.learned;
    const rows = [
      ...rules.flatMap(({ title, notes }) => notes.map((note) => ({ title, ...note }))),
      ...missing.map((note) => ({ title: 'No rule has it', ...note })),
    ];
    if (rows.length === 0) return nothing;
    return html`<section class="band">
      <h2>Noted at the car</h2>
      <ul>${rows.map(({ title, was, note, ro }) => html`<li><p><b>${title}:</b> ${was}${note ? html`, <span class="told">${sentence(note)}</span>` : '.'} ${this.job(ro)}</p></li>`)}</ul>
    </section>`;
  }

  private back(): TemplateResult | typeof nothing {
    const rows = this.learned.rules.filter(({ cameBack }) => cameBack > 0);
    if (rows.length === 0) return nothing;
    return html`<section class="band">
      <h2>Brought cars back</h2>
      <ul>${rows.map(({ title, cameBack }) => html`<li><p><b>${title}:</b> ${cameBack === 1 ? 'one car' : `${cameBack} cars`}.</p></li>`)}</ul>
    </section>`;
  }

  private rule({ title, asked, done, skipped, overridden, cameBack, why, triggers }: RuleCount): TemplateResult {
    const reasons = passedOverText(why);
    const deep = triggers.length > 1 || triggers.some(({ noise }) => noise) || reasons !== '';
    return html`<article>
      <h3>${title}</h3>
      <dl>
        ${figure('Called for', asked)}${figure('Done', done)}${figure('Not done', skipped)}${figure('Taken out', overridden)}${cameBack > 0 ? figure('Came back', cameBack) : nothing}
      </dl>
      ${
        deep
          ? html`<details><summary>By what called for it, and why it was passed over</summary>
            ${reasons ? html`<p>${sentence(reasons)}</p>` : nothing}
            <ul>${triggers.map((one) => html`<li><p>${one.noise ? html`<b>Perhaps noise.</b> ` : nothing}${capital(one.because || 'another step asked for it, or a corrected answer took it off')}: on ${one.asked}, done on ${one.done}.</p></li>`)}</ul>
          </details>`
          : nothing
      }
    </article>`;
  }

  private uncounted(): TemplateResult | typeof nothing {
    const { uncounted } = this.learned;
    if (uncounted.length === 0) return nothing;
    return html`<section class="band">
      <h2>Not counted</h2>
      <ul>${uncounted.map(({ ro, because }) => html`<li><p>${this.job(ro)} ${sentence(because)}</p></li>`)}</ul>
    </section>`;
  }

  private job(ro: string): TemplateResult {
    const href = this.jobHref?.(ro);
    return href ? html`<a class="alone" href=${href}>${ro}</a>` : html`<span class="pen">${ro}</span>`;
  }
}

function figure(name: string, count: number): TemplateResult {
  return html`<div><dt>${name}</dt><dd>${count}</dd></div>`;
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-learning': LearningPage;
  }
}
