/**
 * Keeps the page itself on the tablet, so that every screen opens without a signal. Jobs, rules and what was said are
 * kept by the page (keep.ts); nothing below /api ever goes through here, nor the server's page about trust.
 */

/** What is used here of a service worker's world; its own library cannot stand beside the page's. */
interface Scope {
  readonly location: Location;
  skipWaiting(): Promise<void>;
  addEventListener(type: 'install' | 'activate', listener: (event: Waiting) => void): void;
  addEventListener(type: 'message', listener: (event: MessageEvent<unknown>) => void): void;
  addEventListener(type: 'fetch', listener: (event: Fetching) => void): void;
}
interface Waiting {
  waitUntil(done: Promise<unknown>): void;
}
interface Fetching {
  readonly request: Request;
  respondWith(answer: Promise<Response>): void;
}

const scope = globalThis as unknown as Scope;
/** Every built file, and a name that changes with any of them; written in when the page is built. */
declare const PAGE_FILES: readonly string[];
declare const PAGE_VERSION: string;

const SHELF = `page-${PAGE_VERSION}`;
/** What the page says to have its successor take over. */
const TAKE_OVER = 'take-over';

scope.addEventListener('install', (event) => {
  event.waitUntil(caches.open(SHELF).then((shelf) => shelf.addAll(['./', ...PAGE_FILES])));
});

scope.addEventListener('activate', (event) => {
  event.waitUntil(dropOldShelves());
});

// A page is never swapped under the hand: the new one waits until somebody says so, or all tabs are closed.
scope.addEventListener('message', ({ data }) => {
  if (data === TAKE_OVER) void scope.skipWaiting();
});

scope.addEventListener('fetch', (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== 'GET' || url.origin !== scope.location.origin || /^\/(?:api|trust)(?:\/|$)/.test(url.pathname))
    return;
  event.respondWith(answer(request));
});

/** From the shelf; what is not on it, from the server. Whatever address was opened, the page is the same. */
async function answer(request: Request): Promise<Response> {
  const shelf = await caches.open(SHELF);
  const kept = await shelf.match(request.mode === 'navigate' ? './' : request, { ignoreSearch: true });
  return kept ?? fetch(request);
}

async function dropOldShelves(): Promise<void> {
  const names = await caches.keys();
  await Promise.all(names.filter((name) => name !== SHELF).map((name) => caches.delete(name)));
}

export {};
