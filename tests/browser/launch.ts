import { type Browser, chromium, type LaunchOptions } from 'playwright';
import { chromiumPath, launchArgs } from '../../.ci/chromium.mjs';

/** A Chromium for end-to-end tests; the caller closes it. */
export async function launch(options: LaunchOptions = {}): Promise<Browser> {
  const args = [...launchArgs, ...(options.args ?? [])];
  return chromium.launch({ ...options, executablePath: await chromiumPath(), args });
}
