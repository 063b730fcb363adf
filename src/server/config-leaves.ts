import { z } from 'zod';
import { Config } from './config.ts';

/** A field that holds a value of its own. */
export interface Leaf {
  readonly path: readonly string[];
  readonly variable: string;
  readonly shape: z.ZodType;
  readonly secret: boolean;
  readonly isPath: boolean;
  /** Of JSON Schema. */
  readonly type: unknown;
}

/** Every field that holds a value of its own. */
export const LEAVES: readonly Leaf[] = leavesOf(Config, []);

function leavesOf(shape: z.ZodObject, above: readonly string[]): Leaf[] {
  return Object.entries(shape.shape as Record<string, z.ZodType>).flatMap(([name, field]) => {
    const inner = field instanceof z.ZodOptional ? (field.unwrap() as z.ZodType) : field;
    const path = [...above, name];
    if (name === '$schema') return [];
    if (inner instanceof z.ZodObject) return leavesOf(inner, path);
    const { type, format, writeOnly } = { ...z.toJSONSchema(inner, { io: 'input' }), ...inner.meta(), ...field.meta() };
    const variable =
      path.join() === 'database' ? 'DATABASE_URL' : `LASTBOLT_${path.join('_').replaceAll('-', '_').toUpperCase()}`;
    const leaf: Leaf = { path, variable, shape: inner, secret: writeOnly === true, isPath: format === 'path', type };
    return [leaf];
  });
}

export function valueAt(value: unknown, path: readonly string[]): unknown {
  return path.reduce<unknown>(
    (inner, key) => (typeof inner === 'object' && inner !== null ? (inner as Record<string, unknown>)[key] : undefined),
    value,
  );
}
