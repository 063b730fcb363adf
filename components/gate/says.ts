import { clock } from '../sheet/clock.ts';

const MOMENT = /\d{4}-\d\d-\d\dT\d\d:\d\d(?::\d\d(?:\.\d+)?)?(?:Z|[+-]\d\d:\d\d)/g;

/** A sentence of the record with its moments as a clock on the wall shows them. */
export function byTheClock(text: string, now: number): string {
  return text.replaceAll(MOMENT, (at) => clock(at, now));
}

/** What is so, and what would settle it: "X is stuck: do it." */
export function headAndRest(text: string): [string, string] {
  const parts = /^(.+?): (.+)$/s.exec(text);
  const [, head = text, rest = ''] = parts ?? [];
  // A single word before the colon is the name of a figure, not a sentence.
  if (head.split(' ').length < 3) return ['', text];
  return rest ? [`${head}.`, rest.charAt(0).toUpperCase() + rest.slice(1)] : [text, ''];
}

const WORDS = ['No', 'One', 'Two', 'Three', 'Four', 'Five', 'Six', 'Seven', 'Eight', 'Nine'];

export function countWord(count: number): string {
  return WORDS[count] ?? String(count);
}
