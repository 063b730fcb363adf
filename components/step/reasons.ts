import { sentence } from '../sheet/time.ts';

/** The reasons worth a line: those that are sure before those that only may be, and how many more there are. */
export function reasons(because: readonly string[], most: number): string {
  const sure = because.filter((reason) => !isPerhaps(reason));
  const told = [...sure, ...because.filter(isPerhaps)].slice(0, sure.length > 0 ? Math.min(most, sure.length) : most);
  const more = because.length - told.length;
  const rest = more > 0 ? ` And ${more === 1 ? 'one more reason' : `${more} more reasons`}.` : '';
  return told.map(sentence).join(' ') + rest;
}

function isPerhaps(reason: string): boolean {
  return reason.startsWith('Perhaps') || reason.startsWith('perhaps');
}
