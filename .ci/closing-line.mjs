// A vitest reporter that ends a run with one plain line: `N passed, N failed`.

/** @typedef {import('vitest/node').TestModule} TestModule */

export default class ClosingLine {
  count = { passed: 0, failed: 0, skipped: 0, pending: 0 };

  // Written when the process ends, so that nothing another reporter prints can follow it.
  onInit() {
    process.once('exit', () => process.stdout.write(`\n${this.line()}\n`));
  }

  /**
   * @param {readonly TestModule[]} modules
   * @param {readonly unknown[]} strayErrors
   */
  onTestRunEnd(modules, strayErrors) {
    this.count = { passed: 0, failed: strayErrors.length, skipped: 0, pending: 0 };
    for (const module of modules) {
      for (const test of module.children.allTests()) this.count[test.result().state]++;
      this.count.failed += brokenSuites(module);
    }
  }

  line() {
    const skipped = this.count.skipped + this.count.pending;
    return `${this.count.passed} passed, ${this.count.failed} failed${skipped ? `, ${skipped} skipped` : ''}`;
  }
}

// A file that did not load, or a suite whose set-up threw, has failed although no single test of it did.
/** @param {TestModule} module */
function brokenSuites(module) {
  let errors = module.errors().length;
  for (const suite of module.children.allSuites()) errors += suite.errors().length;
  return errors;
}
