import { No } from './refusal.ts';

/** Calls that are being answered, so that the database is closed behind the last of them. */
export class Calls {
  private running = 0;
  private ending: (() => void) | undefined;

  /** Throws No once the server is being closed. */
  async during<T>(work: () => Promise<T>): Promise<T> {
    if (this.ending) throw new No(503, 'the server is being closed: send it again when it is back');
    this.running++;
    try {
      return await work();
    } finally {
      if (--this.running === 0) (this.ending as (() => void) | undefined)?.();
    }
  }

  /** Takes no more, and waits for those there are. */
  end(): Promise<void> {
    return new Promise((done) => {
      this.ending = done;
      if (this.running === 0) done();
    });
  }
}
