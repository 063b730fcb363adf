import { mkdir, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { Command } from 'commander';
import { JobFile } from '../../resolve/facts.ts';
import { jsonSchemas } from '../../rulebook/json-schema.ts';
import { CodesFile } from '../../rulebook/code-book.ts';
import { Config } from '../../server/config.ts';
import { recordSchema } from '../../store/log/record-file.ts';
import { RULES } from '../rules-folder.ts';

export function schemaCommand(program: Command): void {
  program
    .command('schema')
    .summary('write the JSON Schemas that editors use')
    .description('Writes the JSON Schemas of rule files, tables and job files into schema/ of the rulebook.')
    .option('--check', 'write nothing; tell which are out of date')
    .option('--record', 'print that of an exported job, and write nothing')
    .option('--rules <DIR>', 'folder of the rulebook', RULES)
    .addHelpText('after', '\nExit code: 0 written or up to date, 1 out of date, 2 the folder can not be used.')
    .action(run);
}

/** All schemas, by file name. */
export function schemas(): Map<string, string> {
  return jsonSchemas({
    job: { shape: JobFile, title: 'A job: one repair order, as written up' },
    config: { shape: Config, title: 'How a server is set up' },
    codes: { shape: CodesFile, title: 'Trouble codes, failure types and self-tests, with their sources' },
  });
}

async function run({ check, record, rules }: { check?: boolean; record?: boolean; rules: string }): Promise<void> {
  if (record) return void process.stdout.write(recordSchema());
  const folder = join(rules, 'schema');
  if (!check) await mkdir(folder, { recursive: true });
  for (const [name, text] of schemas()) {
    const path = join(folder, name);
    const had = await readFile(path, 'utf8').catch(() => undefined);
    if (had === text) continue;
    if (!check) {
      await writeFile(path, text);
      console.log(`wrote ${path}`);
      continue;
    }
    console.error(`${path}: ${had === undefined ? 'is missing' : 'is out of date'}; write it with \`lastbolt schema\``);
    process.exitCode = 1;
  }
}
