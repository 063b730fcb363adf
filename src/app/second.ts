import type { ReactiveController, ReactiveControllerHost } from 'lit';

/** Has its element drawn anew each second. `now` is in milliseconds since 1970, by this tablet's clock. */
export class Second implements ReactiveController {
  now = Date.now();
  private ticking: ReturnType<typeof setInterval> | undefined;

  constructor(private readonly host: ReactiveControllerHost) {
    host.addController(this);
  }

  hostConnected(): void {
    this.ticking = setInterval(() => {
      this.now = Date.now();
      this.host.requestUpdate();
    }, 1000);
  }

  hostDisconnected(): void {
    clearInterval(this.ticking);
  }
}
