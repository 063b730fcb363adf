import { type Readiness, readinessFromHex, readinessOf } from './readiness.ts';
import { Typed } from './readiness-typed.ts';

/** Hex replies, a table (`monitor,state` or `module,reply`, with , ; or tab) or lines such as `EVAP: not ready`. */
export function readReadiness(text: string): Readiness {
  const lines = text.replace(/^\uFEFF/, '').split(/\r\n|[\n\r]/);
  const table = tableIn(lines);
  if (table) return table;
  if (
    lines.some((line) => /^\W*(?:(?:7E[89A-F]|18 ?DA ?F1)|4[1379A] ?[0-9A-FOI]{2}|[48][0-9A-F] (?:6B|F1) )/i.test(line))
  )
    return readinessFromHex(text);
  const typed = new Typed();
  lines.forEach((line, i) => typed.line(line, i + 1));
  if (typed.seen) return typed.result();
  return readinessFromHex(text);
}

const COLUMNS = {
  name: /^(?:monitor|self-?test|test|name)s?$/,
  state: /^(?:state|status|result|ready|complete)$/,
  supported: /^(?:supported|fitted|available)$/,
  module: /^(?:module|ecu|header|address)$/,
  reply: /^(?:reply|response|data|hex|bytes)$/,
};
type Row = Partial<Record<keyof typeof COLUMNS, string>>;

/** A table, or null where the first line is no head that we know. */
function tableIn(lines: readonly string[]): Readiness | null {
  const at = lines.findIndex((line) => line.trim() !== '');
  const head = lines[at];
  const sign = head && [';', '\t', ','].find((mark) => head.includes(mark));
  if (!head || !sign) return null;
  const heads = cells(head, sign).map((cell) => columnOf(cell.toLowerCase()));
  const rows = lines.map((line, i) => (i > at ? rowOf(heads, cells(line, sign)) : {}));
  if (heads.includes('reply'))
    return readinessFromHex(rows.map(({ module = '', reply = '' }) => `${module} ${reply}`.trim()).join('\n'));
  if (!heads.includes('name') || !heads.includes('state')) return null;
  return stated(rows, lines, at);
}

function stated(rows: readonly Row[], lines: readonly string[], head: number): Readiness {
  const modules = new Map<string, Typed>();
  rows.forEach(({ name = '', state = '', supported = '', module = '' }, i) => {
    if (i <= head || name === '') return;
    const typed = modules.get(module) ?? new Typed();
    modules.set(module, typed);
    const called = name.toLowerCase();
    const value = state.toLowerCase();
    if (/\bmil\b|lamp|codes?|dtc/.test(called)) typed.line(`${called}: ${value}`, i + 1);
    else typed.test(called, value, lines[i] ?? '', i + 1, supported.toLowerCase());
  });
  const read = [...modules].map(([module, typed]) => typed.result(module === '' ? null : module));
  const text = (lines[head] ?? '').slice(0, 80);
  const empty = { line: head + 1, text, message: 'is a head without rows', kind: 'broken' as const };
  return readinessOf(
    read.flatMap((r) => r.modules),
    { doubts: read[0]?.doubts ?? [], faults: read.length === 0 ? [empty] : read.flatMap((r) => r.faults) },
  );
}

function columnOf(head: string): keyof Row | null {
  const found = Object.entries(COLUMNS).find(([, pattern]) => pattern.test(head));
  return found ? (found[0] as keyof Row) : null;
}

function rowOf(heads: readonly (keyof Row | null)[], found: readonly string[]): Row {
  return Object.fromEntries(heads.flatMap((key, i) => (key ? [[key, found[i] ?? '']] : [])));
}

/** Cells of one row; quotes as in RFC 4180, but no line break inside a cell. */
function cells(line: string, sign: string): string[] {
  const found: string[] = [];
  let cell = '';
  let quoted = false;
  for (let i = 0; i < line.length; i++) {
    const letter = line.charAt(i);
    if (quoted && letter === '"' && line.charAt(i + 1) === '"') cell += line.charAt(++i);
    else if (letter === '"') quoted = !quoted;
    else if (letter === sign && !quoted) {
      found.push(cell.trim());
      cell = '';
    } else cell += letter;
  }
  return [...found, cell.trim()];
}
