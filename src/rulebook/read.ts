import { z } from 'zod';
import { type Fault, nearestName, pointer } from './fault.ts';
import { placeOfFault } from './json-place.ts';

const MOST_DEPTH = 64;
const FORBIDDEN = new Set(['__proto__', 'constructor', 'prototype']);

/** JSON text to a value; refuses keys that reach into prototypes, and nesting no rule or job needs. */
export function parseJson(file: string, text: string, faults: Fault[]): unknown {
  let value: unknown;
  try {
    value = JSON.parse(text.replace(/^\uFEFF/, ''));
  } catch {
    const place = placeOfFault(text.replace(/^\uFEFF/, ''));
    faults.push({
      file,
      pointer: '',
      message: `is not JSON from line ${place?.line}, column ${place?.column} on`,
      hint: `wants ${place?.wanted}`,
    });
    return undefined;
  }
  const before = faults.length;
  const open: { value: unknown; at: string; depth: number }[] = [{ value, at: '', depth: 0 }];
  for (let next = open.pop(); next; next = open.pop()) {
    if (typeof next.value !== 'object' || next.value === null) continue;
    if (next.depth > MOST_DEPTH) {
      faults.push({ file, pointer: next.at.slice(0, 200), message: `nested deeper than ${MOST_DEPTH} levels` });
      continue;
    }
    for (const [key, inner] of Object.entries(next.value)) {
      const at = next.at + pointer(key);
      if (FORBIDDEN.has(key)) faults.push({ file, pointer: at, message: 'forbidden key', value: key });
      else open.push({ value: inner, at, depth: next.depth + 1 });
    }
  }
  return faults.length === before ? value : undefined;
}

/** Checks against a Zod shape; each issue becomes one fault with the value and, for a misspelt key or word, the nearest one. */
export function shaped<T>(
  file: string,
  value: unknown,
  present: boolean,
  shape: z.ZodType<T>,
  faults: Fault[],
  at = '',
): T | undefined {
  if (value === undefined) {
    if (!present) faults.push({ file, pointer: at, message: 'is missing' });
    return undefined;
  }
  const result = checked(value, shape);
  if (!result) faults.push({ file, pointer: at, message: 'holds a value that can not be checked', value });
  else if (result.success) return result.data;
  else for (const issue of telling(result.error.issues)) faults.push(...issueFaults(file, at, value, issue, shape));
  return undefined;
}

/** Zod measures the `length` of what is no text either, and throws where that can not be made a number. */
function checked<T>(value: unknown, shape: z.ZodType<T>): z.ZodSafeParseResult<T> | undefined {
  try {
    return shape.safeParse(value);
  } catch (error) {
    if (error instanceof TypeError) return undefined;
    throw error;
  }
}

/** Of a value of the wrong type nothing more is told: its length says nothing. */
function telling(issues: readonly z.core.$ZodIssue[]): z.core.$ZodIssue[] {
  const all = flat(issues);
  const mistyped = new Set(all.filter((issue) => issue.code === 'invalid_type').map((issue) => issue.path.join('/')));
  return all.filter((issue) => issue.code === 'invalid_type' || !mistyped.has(issue.path.join('/')));
}

/** A union's issues are those of the branch that came closest. */
function flat(issues: readonly z.core.$ZodIssue[]): z.core.$ZodIssue[] {
  return issues.flatMap((issue) => {
    if (issue.code !== 'invalid_union' || issue.errors.length === 0) return [issue];
    const best = [...issue.errors].sort((a, b) => depth(b) - depth(a) || a.length - b.length)[0] ?? [];
    return flat(best).map((inner) => ({ ...inner, path: [...issue.path, ...inner.path] }));
  });
}

function depth(issues: readonly z.core.$ZodIssue[]): number {
  return Math.max(0, ...issues.map((i) => i.path.length + (i.code === 'unrecognized_keys' ? 1 : 0)));
}

function issueFaults(file: string, at: string, whole: unknown, issue: z.core.$ZodIssue, shape: z.ZodType): Fault[] {
  const value = issue.path.reduce<unknown>((v, key) => (v as Record<PropertyKey, unknown> | undefined)?.[key], whole);
  const where = at + pointer(...issue.path);
  if (issue.code === 'unrecognized_keys') {
    const known = knownKeys(shape);
    return issue.keys.map((key) => ({
      file,
      pointer: where + pointer(key),
      message: 'unknown key',
      value: key,
      ...(known.has(key) ? { hint: 'it belongs elsewhere' } : near(key, known)),
    }));
  }
  if (issue.code === 'invalid_value') {
    const values = issue.values.map(String);
    const hint = `one of ${values.join(', ')}`;
    return [
      {
        file,
        pointer: where,
        message: value === undefined ? 'is missing' : 'is not allowed here',
        ...(value === undefined ? {} : { value }),
        hint,
        ...(typeof value === 'string' ? near(value, values) : {}),
      },
    ];
  }
  if (value === undefined && issue.code === 'invalid_type')
    return [{ file, pointer: where, message: 'is missing', hint: `wants ${issue.expected}` }];
  return [
    {
      file,
      pointer: where,
      message: issue.message.replace(/^Invalid input: /, '').replace(/^[A-Z]/, (c) => c.toLowerCase()),
      value,
    },
  ];
}

/** Every key that the shape knows at any depth: good enough to find what a misspelt one meant. */
function knownKeys(shape: z.ZodType): Set<string> {
  const keys = new Set<string>();
  const collect = (node: unknown): void => {
    if (typeof node !== 'object' || node === null) return;
    if ('properties' in node) for (const key of Object.keys(node.properties as object)) keys.add(key);
    for (const inner of Object.values(node)) collect(inner);
  };
  collect(z.toJSONSchema(shape, { io: 'input', unrepresentable: 'any' }));
  return keys;
}

/** For spreading into a fault: the nearest known name, if any. */
export function near(word: string, known: Iterable<string>): { nearest?: string } {
  const nearest = nearestName(word, known);
  return nearest === undefined ? {} : { nearest };
}
