/** Has the browser keep the page. */
export class Offline extends EventTarget {
  /** A newer page is here and waits; '' = none. */
  newer: ServiceWorker | undefined;
  /** Why the page does not open without a signal, as a sentence; empty where it does. */
  lacks = '';

  /** Never rejects: without any of it the page still works while there is a signal. */
  async begin(): Promise<void> {
    if (!('serviceWorker' in navigator)) {
      this.lacks = isSecureContext
        ? 'This browser cannot keep the page: without a signal it does not open.'
        : 'On plain http a browser keeps no page, opens no camera and installs nothing: without a signal this one does not open. Served with a certificate, it does.';
      return;
    }
    try {
      const registered = await navigator.serviceWorker.register('./sw.js');
      this.found(registered.waiting ?? undefined);
      registered.addEventListener('updatefound', () => {
        const coming = registered.installing;
        coming?.addEventListener('statechange', () => {
          // The very first one has nothing to wait for.
          if (coming.state === 'installed' && navigator.serviceWorker.controller) this.found(coming);
        });
      });
      navigator.serviceWorker.addEventListener('controllerchange', () => {
        if (this.newer) location.reload();
      });
    } catch (error) {
      this.lacks = `The page could not be kept on this tablet (${error instanceof Error ? error.message : String(error)}): without a signal it does not open.`;
    }
    this.dispatchEvent(new Event('change'));
  }

  /** The newer page takes over, and this one goes. */
  takeOver(): void {
    this.newer?.postMessage('take-over');
  }

  private found(waiting: ServiceWorker | undefined): void {
    if (!waiting) return;
    this.newer = waiting;
    this.dispatchEvent(new Event('change'));
  }
}
