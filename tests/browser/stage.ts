import type { ChildProcess } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, BrowserContext, Page } from 'playwright';
import { afterAll, afterEach, beforeAll, beforeEach } from 'vitest';
import { cookies, type SignedIn } from '../signed-in.ts';
import { launch } from './launch.ts';
import { serve, stop } from './served.ts';

/** A built server with a record of its own, and a page on which somebody is signed in; new for each test. */
export class Stage {
  browser!: Browser;
  context!: BrowserContext;
  page!: Page;
  server!: ChildProcess;
  /** Folder of the record. */
  data!: string;
  base!: string;
  /** Signed in: the invented foreman, or the first one of a new shop. */
  who!: SignedIn;
  /** What the page complained of. */
  troubles: string[] = [];

  /** Another tablet; it goes with the test. */
  async tablet(who: SignedIn | undefined = this.who, signedIn = true): Promise<Page> {
    const context = await this.browser.newContext({ viewport: { width: 1280, height: 800 } });
    if (who && signedIn) await context.addCookies(cookies(who, this.base));
    context.setDefaultTimeout(15_000);
    return this.heard(await context.newPage());
  }

  heard(page: Page): Page {
    page.on('pageerror', (error) => this.troubles.push(error.message));
    page.on('console', (message) => {
      if (message.type() === 'error') this.troubles.push(message.text());
    });
    return page;
  }
}

/** Sets the stage before each test of the file and clears it behind; `options` go to `lastbolt serve`. */
export function setStage(...options: string[]): Stage {
  const stage = new Stage();
  beforeAll(async () => {
    stage.browser = await launch();
  });
  afterAll(async () => {
    await stage.browser.close();
  });
  beforeEach(async () => {
    stage.data = mkdtempSync(join(tmpdir(), 'lastbolt-'));
    Object.assign(stage, await serve(stage.data, ...options));
    stage.troubles = [];
    stage.page = await stage.tablet();
    stage.context = stage.page.context();
  });
  afterEach(async () => {
    await Promise.all(stage.browser.contexts().map((context) => context.close()));
    await stop(stage.server);
    rmSync(stage.data, { recursive: true, force: true });
  });
  return stage;
}
