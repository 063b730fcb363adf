import { closest, distance } from 'fastest-levenshtein';

/** One thing wrong with an input, complete enough to mend it without looking elsewhere. */
export interface Fault {
  readonly file: string;
  /** JSON pointer (RFC 6901) inside the file; '' is the whole file. */
  readonly pointer: string;
  /** Lower case, no final stop: what is wrong. */
  readonly message: string;
  readonly value?: unknown;
  readonly hint?: string;
  readonly nearest?: string;
}

/** `file#/pointer: message: value; hint; did you mean X?` */
export function printFault(fault: Fault): string {
  const where = fault.pointer ? `${fault.file}#${fault.pointer}` : fault.file;
  const value = fault.value === undefined ? '' : `: ${short(fault.value)}`;
  const hint = fault.hint ? `; ${fault.hint}` : '';
  const nearest = fault.nearest ? `; did you mean \`${fault.nearest}\`?` : '';
  return `${where}: ${fault.message}${value}${hint}${nearest}`;
}

/** The known name most like `word`, if it is like it at all. */
export function nearestName(word: string, known: Iterable<string>): string | undefined {
  const names = [...known];
  if (names.length === 0 || word.length > 80) return undefined;
  const starts = names.find((n) => word.length >= 3 && (n.startsWith(`${word}-`) || word.startsWith(`${n}-`)));
  const best = closest(word, names);
  if (distance(word, best) <= Math.max(2, Math.floor(word.length / 3))) return best;
  return starts ?? names.find((n) => word.length >= 4 && n.includes(word));
}

export function pointer(...path: readonly PropertyKey[]): string {
  return path.map((p) => `/${String(p).replaceAll('~', '~0').replaceAll('/', '~1')}`).join('');
}

function short(value: unknown): string {
  const text = typeof value === 'string' ? `\`${value}\`` : (JSON.stringify(value) ?? String(value));
  return text.length > 80 ? `${text.slice(0, 77)}...` : text;
}
