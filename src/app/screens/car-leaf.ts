import '../../../components/question/question-card.ts';
import { css, html, nothing, type PropertyValues, type TemplateResult } from 'lit';
import { customElement, state } from 'lit/decorators.js';
import { repeat } from 'lit/directives/repeat.js';
import type { Option } from '../../../components/keys/choice.ts';
import type { Answered } from '../../../components/question/answered.ts';
import { key, sheet } from '../../../components/sheet/sheet.styles.ts';
import type { Question } from '../../resolve/result.ts';
import { answer, answerOf } from '../job.ts';
import { linkTo } from '../routes.ts';
import { Leaf, leaf } from './leaf.ts';
import { modelName, modelsOf } from '../models.ts';
import { byLaw } from './vin-says.ts';

/** No more than these at once; the rest comes up as they are answered. */
const MOST = 12;

/** Leaf 2: what has this car? Only questions whose answer can change the sheet, the best first. */
@customElement('lb-car-leaf')
export class CarLeaf extends Leaf {
  static override styles = [
    sheet,
    key,
    leaf,
    css`
      ol { display: grid; grid-template-columns: 1fr 1fr; }
      li { border-bottom: 2px solid var(--ink); min-width: 0; }
      li:nth-child(odd) { border-right: 2px solid var(--ink); }
      .none { padding: 24px 16px; border-bottom: 3px solid var(--ink); font-size: var(--t-step); }
      @media (max-width: 999px) { ol { grid-template-columns: minmax(0, 1fr); } li:nth-child(odd) { border-right: 0; } }
    `,
  ];

  /** Ids in the order in which they came up: a card does not move under the hand that answers it. */
  @state() private shown: readonly string[] = [];

  override willUpdate(changed: PropertyValues<this>): void {
    if (!changed.has('planned')) return;
    const questions = this.questions();
    const asked = questions.filter(({ answered }) => answered === undefined).slice(0, MOST);
    const rest = questions.filter(({ answered, settles }) => answered !== undefined && settles.length > 0);
    const known = new Set(questions.map(({ id }) => id));
    const kept = this.shown.filter((id) => known.has(id));
    const fresh = [...asked, ...(kept.length === 0 ? rest : [])].map(({ id }) => id).filter((id) => !kept.includes(id));
    this.shown = [...kept, ...fresh];
  }

  override render(): TemplateResult {
    const questions = new Map(this.questions().map((question) => [question.id, question]));
    const open = [...questions.values()].filter(({ answered }) => answered === undefined);
    const cards = this.shown.map((id) => questions.get(id)).filter((question) => question !== undefined);
    return html`${this.known()}
      ${this.disputes()}
      ${cards.length === 0 ? html`<p class="none">Nothing more has to be known of this car: no answer would change the sheet.</p>` : nothing}
      <ol>
        ${repeat(
          cards,
          ({ id }) => id,
          (question, i) => html`<li>${this.card(question, i)}</li>`,
        )}
      </ol>
      <div class="foot">
        <p>${this.footWords(open.length)}</p>
        <a class="key main full" href=${linkTo(this.planned.job.ro, 'before')}>Before you start</a>
      </div>`;
  }

  private questions(): Question[] {
    const { list, job, planned } = this.planned;
    return (
      (list?.questions ?? [])
        .filter(
          ({ kind, answered }) => kind !== 'done' && !(kind === 'car' && answered !== undefined && !this.shown.length),
        )
        // "Where was it" names a line by its place: while lines come and go it may name another one.
        .filter(({ kind }) => kind !== 'at' || planned?.work === job.work)
        .map((question) => (question.id === 'model' ? this.ofMaker(question) : question))
    );
  }

  /** Only models of the maker that is known stand on keys; any other is written. */
  private ofMaker(question: Question): Question {
    const maker = this.planned.facts?.car.get('maker')?.values ?? [];
    const known = maker.length === 1 ? modelsOf(String(maker[0]), this.rulebook) : [];
    return { ...question, answers: known.map((value) => ({ value, text: modelName(value) })) };
  }

  private card(question: Question, index: number): TemplateResult {
    const own = answerOf(this.planned.job, question.id);
    const elsewhere = question.answered === 'cannot-tell' ? null : question.answered;
    return html`<lb-question-card
      .question=${question}
      .number=${index + 1}
      .answer=${own === undefined ? elsewhere : own}
      .more=${this.more(question)}
      .free=${question.id === 'model'}
      @lb-answered=${this.answered}
    ></lb-question-card>`;
  }

  /** Any maker can be told, not only those that rules name. */
  private more({ id }: Question): Option[] {
    return id === 'maker' ? [...this.rulebook.makers].map(([value, text]) => ({ value, text })) : [];
  }

  private readonly answered = ({ question, value }: Answered): void => {
    const number = this.rulebook.domains.get(question)?.kind === 'number';
    this.change(answer(this.planned.job, question, value, number));
  };

  /** Answers given on two tablets that did not know of each other; what is said now settles it. */
  private disputes(): TemplateResult[] {
    const refusals = this.planned.sight?.refusals ?? [];
    return refusals
      .filter(({ rule, settle }) => rule === 'two-answers' && settle.some(({ type }) => type === 'answered'))
      .map(({ text }) => html`<p class="band" role="alert"><b>Two answers.</b> ${text}</p>`);
  }

  private known(): TemplateResult | typeof nothing {
    const titles = byLaw(this.planned.facts, this.rulebook);
    if (titles.length === 0) return nothing;
    return html`<p class="band"><b>Known without looking.</b> There by law: ${titles.join(', ').toLowerCase()}.</p>`;
  }

  private footWords(open: number): TemplateResult | string {
    if (open === 0) return 'All is answered that can change the sheet.';
    const more = open > MOST ? ` ${open - MOST} more come up as these are answered.` : '';
    return html`${open === 1 ? 'One is' : `${open} are`} unanswered. Steps that hang on them stay on the sheet until you look.
      <b>Can't tell</b> is an answer; for safety items it means do it anyway.${more}`;
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-car-leaf': CarLeaf;
  }
}
