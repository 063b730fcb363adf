import '../../components/sheet/tokens.css';
import '../../components/acts/step-acts.ts';
import { html, type LitElement, render } from 'lit';
import type { PhotoTaken } from '../../components/photo/photo.ts';
import type { Said } from '../../components/record/said.ts';
import { sightOf } from '../../src/job/sight.ts';
import type { Saying } from '../../src/job/commands.ts';
import type { FollowUp, Rulebook } from '../../src/rulebook/rulebook.ts';
import { rules } from '../job.rulebook.ts';
import { Runner, type Told } from '../job.run.ts';

/** A job on record and one step of it under the hand: what is said goes to the record itself, and the step is drawn anew. */
export class Bench {
  readonly runner: Runner;
  readonly said: Saying[] = [];
  readonly refused: string[] = [];
  readonly stage = document.createElement('main');
  server = true;
  foreman = false;
  later = 0;

  constructor(
    given: readonly Told[],
    readonly step: string,
    readonly book: Rulebook = rules,
  ) {
    this.runner = new Runner([book]);
    for (const told of given) this.runner.must(told);
    document.body.append(this.stage);
    this.stage.addEventListener('lb-photo-taken', (event) =>
      this.tell({ type: 'photo-attached', hash: (event as PhotoTaken).hash, step }),
    );
    this.stage.addEventListener('lb-said', (event) => {
      for (const saying of (event as Said).sayings) this.tell(saying as Saying & Told);
      this.draw();
    });
  }

  get now(): number {
    const { events } = this.runner;
    return Date.parse(events.at(-1)?.at ?? '') + this.later;
  }

  draw(): void {
    const { job } = this.runner;
    const item = sightOf(job, this.book).items.find(({ id }) => id === this.step);
    if (!item) throw new Error(`${this.step} is not on the list`);
    const followUp = this.book.followUps.get(item.followUp) as FollowUp;
    render(
      html`<lb-step-acts .item=${item} .job=${job} .followUp=${followUp} .now=${this.now} .server=${this.server} .foreman=${this.foreman}></lb-step-acts>`,
      this.stage,
    );
  }

  async drawn(): Promise<LitElement> {
    this.draw();
    const element = this.stage.firstElementChild as LitElement;
    await settled(element);
    return element;
  }

  /** Every word that is to be seen. */
  async words(): Promise<string> {
    return seen(await this.drawn())
      .replaceAll(/\s+/g, ' ')
      .trim();
  }

  private tell(told: Told): void {
    this.said.push(told as unknown as Saying);
    this.refused.push(...this.runner.tell(told).filter((line) => typeof line === 'string'));
  }
}

export async function settled(element: LitElement): Promise<void> {
  await element.updateComplete;
  const inner = [...(element.renderRoot?.querySelectorAll<LitElement>('*') ?? [])];
  for (const one of inner.filter((it) => 'updateComplete' in it)) await settled(one);
}

function seen(node: Node): string {
  if (node instanceof Text) return node.data;
  if (!(node instanceof Element) || node.localName === 'style' || node.localName === 'svg') return '';
  const { display } = getComputedStyle(node);
  if (display === 'none') return '';
  const folded = node instanceof HTMLDetailsElement && !node.open;
  const within = folded ? [node.querySelector('summary') as Node] : [...(node.shadowRoot ?? node).childNodes];
  const words = within.map(seen).join('');
  return display.startsWith('inline') && node.localName !== 'button' ? words : ` ${words} `;
}
