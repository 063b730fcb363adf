import { readdirSync, readFileSync } from 'node:fs';
import { join, relative, sep } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { schemas } from '../src/cli/commands/schema.ts';
import { FollowUpFile } from '../src/rulebook/schema.ts';

const rules = fileURLToPath(new URL('../rules/', import.meta.url));

describe('the JSON Schemas for editors', () => {
  const made = schemas();

  test('are one for each kind of file that people write', () => {
    expect([...made.keys()].sort()).toEqual(
      [
        'codes',
        'complaints',
        'config',
        'follow-up',
        'job',
        'parts',
        'setups',
        'sources',
        'states',
        'traits',
        'words',
      ].map((name) => `${name}.json`),
    );
  });

  test('lie beside the rules and nothing else does', () => {
    expect(readdirSync(`${rules}schema`).sort()).toEqual([...made.keys()].sort());
  });

  test.each([...made])('%s is up to date (npm run schema)', (name, text) => {
    expect(readFileSync(`${rules}schema/${name}`, 'utf8')).toBe(text);
  });

  test.each([...made])('%s is of draft 2020-12, describes an object and says what it is', (_, text) => {
    const schema = JSON.parse(text);
    expect(schema.$schema).toBe('https://json-schema.org/draft/2020-12/schema');
    expect(schema.type).toBe('object');
    expect(schema.title).toMatch(/^[A-Z]/);
    expect(Object.keys(schema.properties)).toContain('$schema');
  });

  test('of a follow-up wants what the loader wants, refuses what it refuses, and offers the allowed words', () => {
    const schema = JSON.parse(made.get('follow-up.json') as string);
    const empty = FollowUpFile.safeParse({});
    const missing = empty.success ? [] : empty.error.issues.map((issue) => issue.path[0]);
    expect(new Set(schema.required)).toEqual(new Set(missing));
    expect(schema.additionalProperties).toBe(false);
    expect(schema.properties.phase.enum).toEqual(['before', 'apart', 'after']);
  });
});

describe('every rule file', () => {
  const files = readdirSync(rules, { recursive: true, withFileTypes: true }).filter((entry) => entry.isFile());
  const paths = files.map((entry) => relative(rules, join(entry.parentPath, entry.name)).split(sep));
  const followUps = paths.filter((path) => path.length > 1 && path[0] !== 'schema').map((path) => path.join('/'));

  test('was seen at all', () => {
    expect(followUps.length).toBeGreaterThan(14);
  });

  test('names the schema that lies there', () => {
    const other = followUps.filter(
      (path) => JSON.parse(readFileSync(rules + path, 'utf8')).$schema !== '../schema/follow-up.json',
    );
    expect(other).toEqual([]);
  });
});
