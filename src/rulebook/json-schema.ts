import { z } from 'zod';
import { FollowUpFile } from './schema.ts';
import { ComplaintsFile, PartsFile, SetupsFile, SourcesFile, StatesFile, TraitsFile, WordsFile } from './tables.ts';

/** JSON Schemas (draft 2020-12) of what authors write, so that any editor completes and marks; text ends with a line feed. */
export function jsonSchemas(
  more: Readonly<Record<string, { readonly shape: z.ZodType; readonly title: string }>> = {},
): Map<string, string> {
  const shapes = { ...RULE_SHAPES, ...more };
  return new Map(Object.entries(shapes).map(([name, { shape, title }]) => [`${name}.json`, schemaText(shape, title)]));
}

const RULE_SHAPES = {
  'follow-up': { shape: FollowUpFile, title: 'A follow-up of the rulebook' },
  traits: { shape: TraitsFile, title: 'Traits: facts about a vehicle that rules ask for' },
  parts: { shape: PartsFile, title: 'Parts that work is done on, and the work that follows from it' },
  states: { shape: StatesFile, title: 'States of the vehicle that are not plain' },
  setups: { shape: SetupsFile, title: 'Set-ups, change-over minutes and tools' },
  complaints: { shape: ComplaintsFile, title: 'How complaints are read, and what else they can be' },
  sources: { shape: SourcesFile, title: 'Sources that rules cite' },
  words: { shape: WordsFile, title: 'Words that lines of a repair order are read by' },
};

function schemaText(shape: z.ZodType, title: string): string {
  const schema = z.toJSONSchema(shape, { io: 'input', target: 'draft-2020-12' }) as Record<string, unknown>;
  const { $schema, ...rest } = schema;
  return `${JSON.stringify({ $schema, title, ...allowSchemaLine(rest) }, null, 2)}\n`;
}

/** A table's rows are any key but the line that names its schema. */
function allowSchemaLine(schema: Record<string, unknown>): Record<string, unknown> {
  if (schema.additionalProperties === false || schema.additionalProperties === undefined) return schema;
  return { ...schema, properties: { $schema: { type: 'string' } } };
}
