import { type Fault, pointer } from '../fault.ts';
import type { RuleFiles } from '../load.ts';
import type { Rulebook } from '../rulebook.ts';
import { TooWide } from './car.ts';

/** A fault must be mended; a remark is for the author to weigh, and leaves the exit code alone. */
export type Severity = 'fault' | 'remark';

export interface Finding extends Fault {
  readonly lint: string;
  readonly severity: Severity;
}

/** One thing that is checked across the whole rulebook. */
export interface Lint {
  readonly id: string;
  /** What it looks at, in the rulebook's own words. */
  readonly scope: 'names' | 'sources' | 'examples' | 'conditions' | 'states' | 'order' | 'telling' | 'tables';
  /** What a clean rulebook keeps, as one sentence. */
  readonly says: string;
  readonly severity: Severity;
  check(rulebook: Rulebook, files: RuleFiles): Iterable<Fault>;
  readonly exceptions: readonly Exception[];
}

/** A finding that is let pass, for a reason, until something stated happens. */
export interface Exception {
  readonly file: string;
  /** Only at and below this JSON pointer; the whole file where left out. */
  readonly pointer?: string;
  readonly reason: string;
  readonly until: string;
}

/**
 * All findings of all lints, sorted by file, then place, then lint. An exception that lets nothing pass is a finding
 * too. `before` hears which lint comes next.
 */
export function lint(
  rulebook: Rulebook,
  lints: readonly Lint[],
  files: RuleFiles,
  before?: (next: Lint, done: number) => void,
): Finding[] {
  const findings = lints.flatMap((one, done) => {
    before?.(one, done);
    return [...run(one, rulebook, files)];
  });
  return findings.sort(
    (a, b) =>
      order(a.file, b.file) || order(a.pointer, b.pointer) || order(a.lint, b.lint) || order(a.message, b.message),
  );
}

function* run(one: Lint, rulebook: Rulebook, files: RuleFiles): Iterable<Finding> {
  const used = new Set<Exception>();
  for (const fault of faultsOf(one, rulebook, files)) {
    const exception = one.exceptions.find((e) => covers(e, fault));
    if (exception) used.add(exception);
    else yield { ...fault, lint: one.id, severity: one.severity };
  }
  const present = new Set([...rulebook.followUps.values()].map((f) => f.file));
  for (const exception of one.exceptions) {
    if (used.has(exception) || !present.has(exception.file)) continue;
    const hint = `it was made because ${exception.reason}, until ${exception.until}`;
    yield {
      ...place(exception),
      message: `exception from \`${one.id}\` lets nothing pass any more`,
      hint,
      lint: one.id,
      severity: 'fault',
    };
  }
}

/** A condition with too many traits must not silence the lint: what it could not settle is said. */
function* faultsOf(one: Lint, rulebook: Rulebook, files: RuleFiles): Iterable<Fault> {
  try {
    yield* one.check(rulebook, files);
  } catch (error) {
    if (!(error instanceof TooWide)) throw error;
    yield {
      file: '',
      pointer: '',
      message: `\`${one.id}\` gave up: ${error.message}`,
      hint: 'name fewer traits in one follow-up',
    };
  }
}

function covers(exception: Exception, fault: Fault): boolean {
  if (exception.file !== fault.file) return false;
  const { pointer: at } = exception;
  return at === undefined || fault.pointer === at || fault.pointer.startsWith(`${at}/`);
}

function place(exception: Exception): { file: string; pointer: string } {
  return { file: exception.file, pointer: exception.pointer ?? pointer() };
}

function order(a: string, b: string): number {
  return a.localeCompare(b, 'en', { numeric: true });
}
