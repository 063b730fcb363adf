import '../../../components/comeback/comeback.ts';
import { html, type TemplateResult } from 'lit';
import { comeback } from '../../job/comeback/comeback.ts';
import type { Person } from '../../job/people.ts';
import type { Job } from '../../job/state.ts';
import type { Sight } from '../../job/sight.ts';
import type { Rulebook } from '../../rulebook/rulebook.ts';

export interface CameBackTo {
  /** The job it came back as. */
  readonly job: Job;
  /** When it was opened; ISO 8601. */
  readonly here: string;
  /** The one it came back from, and the rules that it was done by. */
  readonly old: Sight;
  readonly rulebook: Rulebook;
  /** Whoever is signed in. */
  readonly person: Person | undefined;
}

const DAY_MS = 86_400_000;

/** What may have brought the car back, by the record of the job before. */
export function comebackLeaf({ job, here, old, rulebook, person }: CameBackTo): TemplateResult {
  const back = { says: job.cameBack?.complaint ?? '', codes: [...job.codes], ...daysSince(old.job.ending?.at, here) };
  const answer = comeback(back, { job: old.job }, rulebook);
  return html`<lb-comeback .answer=${answer} .back=${back} .job=${job} .old=${old} .rulebook=${rulebook} .person=${person} .now=${Date.now()}></lb-comeback>`;
}

/** Days from when it went to when it was here again; unknown where either is. */
function daysSince(went: string | undefined, here: string): { days?: number } {
  if (!went || !here) return {};
  return { days: Math.max(0, Math.round((Date.parse(here) - Date.parse(went)) / DAY_MS)) };
}
