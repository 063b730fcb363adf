import { Keep } from './keep.ts';
import { AtTablet } from './session.ts';
import { Sheets } from './sheets.ts';
import { type Started, start } from './start.ts';

/** What the page shows once somebody has signed in. */
export interface Open {
  readonly started: Started;
  readonly sheets: Sheets;
  readonly tablet: AtTablet;
}

/** Opens the page: who is at the tablet, then the rules and the sheets. Fires `change` with anything that can be seen. */
export class Opening extends EventTarget {
  tablet: AtTablet | undefined;
  open: Open | undefined;
  /** Why the page cannot open, as a sentence. */
  trouble = '';
  private starting: Promise<void> | undefined;

  async begin(): Promise<void> {
    await this.tried(async () => {
      const keep = await Keep.open();
      this.tablet = await AtTablet.open(keep, () => Date.now());
      this.tablet.addEventListener('change', () => void this.entered(keep));
      await this.entered(keep);
    });
  }

  /** Somebody signed in, or the lock fell. */
  private async entered(keep: Keep): Promise<void> {
    const { tablet, open } = this;
    if (!tablet?.door && !open)
      this.trouble = 'The server cannot be reached, and nobody has signed in on this tablet before. Is it running?';
    this.changed();
    if (!tablet || tablet.locked) return;
    if (open) return goOn(open.started);
    this.starting ??= this.tried(() => this.openBook(keep, tablet));
    await this.starting;
  }

  private async openBook(keep: Keep, tablet: AtTablet): Promise<void> {
    const started = await start(keep, tablet);
    for (const part of [started.jobs, started.records, started.planner, started.offline])
      part.addEventListener('change', () => this.changed());
    this.open = { started, tablet, sheets: new Sheets(started) };
    this.changed();
  }

  private async tried(attempt: () => Promise<void>): Promise<void> {
    try {
      await attempt();
    } catch (error) {
      this.trouble = error instanceof Error ? error.message : String(error);
      this.changed();
    }
  }

  private changed(): void {
    this.dispatchEvent(new Event('change'));
  }
}

/** Under the hand of whoever has just signed in. */
function goOn({ jobs, records, listen }: Started): void {
  listen();
  void Promise.all([jobs.sync(), records.sync()]);
}
