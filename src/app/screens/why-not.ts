import '../../../components/part-search/part-search.ts';
import { html, LitElement, type PropertyValues, type TemplateResult } from 'lit';
import { customElement, property, state } from 'lit/decorators.js';
import type { Sought } from '../../../components/part-search/part-search.ts';
import { sheet } from '../../../components/sheet/sheet.styles.ts';
import { sentence } from '../../../components/sheet/time.ts';
import type { Rulebook } from '../../rulebook/rulebook.ts';
import type { Checklist } from '../../checklist.ts';
import type { JobFile } from '../../resolve/facts.ts';
import type { Planned } from '../plan.ts';
import type { Search } from '../search.ts';

/** "Why is it not here?": finds a follow-up by name, and says where it stands or what keeps it off. */
@customElement('lb-why-not')
export class WhyNot extends LitElement {
  static override styles = [sheet];

  @property({ attribute: false }) planned!: Planned;
  @property({ attribute: false }) rulebook!: Rulebook;
  /** Finds out what keeps follow-ups off; takes longer than the plan itself. */
  @property({ attribute: false }) whyNot!: (job: JobFile) => Promise<Checklist['excluded']>;
  @state() private words = '';
  @state() private excluded: ReadonlyMap<string, string> | undefined;
  @state() private search: Search | undefined;
  private asked: JobFile | undefined;

  override willUpdate(changed: PropertyValues<this>): void {
    if (changed.has('planned') && this.asked !== this.planned.job) this.excluded = undefined;
    if (this.words.trim() && !this.excluded && this.asked !== this.planned.job) void this.ask(this.planned.job);
  }

  private async ask(job: JobFile): Promise<void> {
    this.asked = job;
    const excluded = await this.whyNot(job);
    if (this.asked === job) this.excluded = new Map(excluded.map(({ followUp, because }) => [followUp, because]));
  }

  override render(): TemplateResult {
    const hits = this.words.trim() ? this.find() : [];
    return html`<div class="screen">
      <h2>Why is a step not here?</h2>
      <lb-part-search readonly label="The step you miss" .words=${this.words} .hits=${hits} nothing="No follow-up by that name in this rulebook." @lb-sought=${(e: Sought) => (this.words = e.words)}></lb-part-search>
    </div>`;
  }

  private find() {
    if (!this.search) {
      void this.fetchSearch();
      return [];
    }
    return this.search.find(this.words, 4).map(({ id, title }) => ({ id, title, note: this.answer(id) }));
  }

  private async fetchSearch(): Promise<void> {
    const { searchFollowUps } = await import('../search.ts');
    this.search ??= searchFollowUps(this.rulebook);
  }

  private answer(id: string): string {
    const { list, numbers } = this.planned;
    const step = list?.steps.find(({ followUp }) => followUp === id);
    if (step) return `It is here: number ${numbers.get(step.id)}.`;
    const within = list?.steps.find(({ covers }) => covers.some(({ followUp }) => followUp === id));
    if (within) return `It is done within number ${numbers.get(within.id)}, ${within.title}.`;
    if (list?.undecided.some(({ followUp }) => followUp === id))
      return 'Perhaps: it hangs on a question that is not answered.';
    if (!this.excluded) return 'It is not here; why is being found out.';
    return sentence(this.excluded.get(id) ?? 'nothing on this job calls for it');
  }
}

declare global {
  interface HTMLElementTagNameMap {
    'lb-why-not': WhyNot;
  }
}
