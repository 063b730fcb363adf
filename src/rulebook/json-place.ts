/** Where a text stops being JSON (RFC 8259). Engines word their errors differently, and some name no place. */
export interface JsonPlace {
  /** Both counted from 1. */
  readonly line: number;
  readonly column: number;
  readonly wanted: string;
}

const BLANK = /[ \t\n\r]*/y;
// In a string: all but quote, backslash and what lies below the blank.
const SCALAR =
  /"[ !#-[\]-\uffff]*(?:\\(?:["\\/bfnrt]|u[0-9a-fA-F]{4})[ !#-[\]-\uffff]*)*"|-?(?:0|[1-9]\d*)(?:\.\d+)?(?:[eE][+-]?\d+)?|true|false|null/y;

type Wanted = 'value' | 'value or "]"' | 'key' | 'key or "}"' | '":"' | '"," or "}"' | '"," or "]"' | 'end of the text';

/** The first place at which no JSON text could go on as this one does; undefined for JSON. */
export function placeOfFault(text: string): JsonPlace | undefined {
  const open: ('{' | '[')[] = [];
  let wanted: Wanted = 'value';
  let at = skip(BLANK, text, 0);
  while (at < text.length) {
    const length = wanted === 'end of the text' ? 0 : tokenAt(text, at, wanted);
    if (length === 0) return locate(text, at, wanted);
    wanted = next(text[at] as string, wanted, open);
    at = skip(BLANK, text, at + length);
  }
  return wanted === 'end of the text' ? undefined : locate(text, at, wanted);
}

function tokenAt(text: string, at: number, wanted: Wanted): number {
  const sign = text[at] as string;
  if (wanted.includes(`"${sign}"`)) return 1;
  if (wanted.startsWith('value')) return sign === '{' || sign === '[' ? 1 : skip(SCALAR, text, at) - at;
  return wanted.startsWith('key') && sign === '"' ? skip(SCALAR, text, at) - at : 0;
}

function next(sign: string, wanted: Wanted, open: ('{' | '[')[]): Wanted {
  if (wanted.startsWith('key') && sign === '"') return '":"';
  if (sign === ':') return 'value';
  if (sign === ',') return open.at(-1) === '{' ? 'key' : 'value';
  if (sign === '{' || sign === '[') {
    open.push(sign);
    return sign === '{' ? 'key or "}"' : 'value or "]"';
  }
  if (sign === '}' || sign === ']') open.pop();
  const outer = open.at(-1);
  if (outer === undefined) return 'end of the text';
  return outer === '{' ? '"," or "}"' : '"," or "]"';
}

function skip(what: RegExp, text: string, from: number): number {
  what.lastIndex = from;
  return what.test(text) ? what.lastIndex : from;
}

function locate(text: string, at: number, wanted: string): JsonPlace {
  const before = text.slice(0, at);
  const lineStart = before.lastIndexOf('\n') + 1;
  return { line: before.split('\n').length, column: at - lineStart + 1, wanted };
}
