import { lineText } from './words.ts';
import type { Resolution } from './resolve.ts';
import type { Line } from './result.ts';
import type { Step } from './step.ts';
import { surelyDone } from './work.ts';
import { whyNot } from './why.ts';

/**
 * Minutes of what is still to do; a before-step that is over, and a wait that ends with the owner, cost the shop nothing.
 * A shared drive is counted once.
 */
export function timeOf(
  steps: readonly Step[],
  drives: readonly { readonly saved: number }[],
  changes: number,
): { hands: number; changes: number; waiting: number; total: number } {
  const ahead = steps.filter((step) => step.asked === undefined);
  const saved = drives.reduce((sum, drive) => sum + drive.saved, 0);
  const hands = round(ahead.reduce((sum, step) => sum + step.minutes.hands, 0) - saved);
  const waiting = round(
    ahead.filter((step) => step.finish === 'shop').reduce((sum, step) => sum + step.minutes.wait, 0),
  );
  return { hands, changes: round(changes), waiting, total: round(hands + changes + waiting) };
}

function round(minutes: number): number {
  return Math.round(minutes * 100) / 100;
}

export function whyExcluded(resolution: Resolution): { followUp: string; title: string; because: string }[] {
  return [...resolution.rulebook.followUps.values()]
    .filter((f) => (resolution.verdicts.get(f.id)?.kind ?? 'excluded') === 'excluded')
    .map((f) => ({ followUp: f.id, title: f.title, because: whyNot(resolution, f) }));
}

export interface ImpliedWork {
  readonly part: string;
  readonly did: string;
  readonly at?: readonly string[];
  readonly because: string;
  /** From the line itself back to the repair order. */
  readonly chain: readonly string[];
  readonly maybe: boolean;
  readonly question?: string;
}

/** Work that follows from the lines, told once each. */
export function impliedWork(resolution: Resolution): ImpliedWork[] {
  const told = new Map<string, ImpliedWork>();
  for (const line of resolution.lines) {
    if (line.origin.kind !== 'implied') continue;
    const maybe = !surelyDone(line, resolution.known);
    const question = line.flags.find((flag) => flag.startsWith('did:'));
    const work: ImpliedWork = {
      part: line.part,
      did: line.did,
      ...(line.at ? { at: line.at } : {}),
      because: line.origin.because,
      chain: chainOf(resolution, line),
      maybe,
      ...(question ? { question } : {}),
    };
    const key = `${line.part}/${line.did}/${line.at?.join() ?? ''}`;
    if (!told.has(key) || (told.get(key)?.maybe && !maybe)) told.set(key, work);
  }
  return [...told.values()];
}

function chainOf(resolution: Resolution, line: Line): string[] {
  const text = lineText(resolution.rulebook, line);
  return line.origin.kind === 'implied' ? [text, ...chainOf(resolution, line.origin.parent)] : [text];
}
