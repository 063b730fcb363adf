import { css, LitElement } from 'lit';
import { property } from 'lit/decorators.js';
import type { JobFile } from '../../resolve/facts.ts';
import type { Rulebook } from '../../rulebook/rulebook.ts';
import type { Planned } from '../plan.ts';

/** The job on the open leaf was changed. */
export class JobChanged extends Event {
  static readonly type = 'lb-job-changed';
  constructor(readonly job: JobFile) {
    super(JobChanged.type, { bubbles: true, composed: true });
  }
}

/**
 * What every leaf of a job is given.
 * @fires lb-job-changed
 */
export class Leaf extends LitElement {
  @property({ attribute: false }) planned!: Planned;
  @property({ attribute: false }) rulebook!: Rulebook;
  /** Id of the step that is opened, if any. */
  @property() step = '';

  /** The server can be reached. */
  @property({ type: Boolean }) server = false;
  /** A foreman is signed in. */
  @property({ type: Boolean }) foreman = false;
  /** Name of whoever is signed in. */
  @property() person = '';

  protected change(job: JobFile): void {
    this.dispatchEvent(new JobChanged(job));
  }
}

/** Bands, columns and foot that leaves share. */
export const leaf = css`
  .band { padding: 10px 16px; border-bottom: 3px solid var(--ink); line-height: 1.3; }
  .halves { display: grid; grid-template-columns: minmax(0, 1fr) minmax(0, 1fr); border-bottom: 3px solid var(--ink); }
  .halves > section { padding: 12px 16px 18px; min-width: 0; }
  .halves > section + section { border-left: 3px solid var(--ink); }
  .halves h2 { margin-bottom: 6px; }
  .chain { border-left: 8px solid var(--ink); padding: 4px 0 4px 12px; margin: 12px 0; line-height: 1.28; }
  .chain.maybe { border-left-style: dashed; }
  .chain .keys { margin-top: 8px; }
  .foot { display: flex; gap: 12px; padding: 14px 16px; align-items: center; flex-wrap: wrap; }
  .foot p { flex: 1 1 260px; }
  @media (max-width: 760px) {
    .halves { grid-template-columns: minmax(0, 1fr); }
    .halves > section + section { border-left: 0; border-top: 3px solid var(--ink); }
  }
  @media (max-width: 560px) { .foot .key.main { flex: 1 1 100%; } }
`;
