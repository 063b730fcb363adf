import { readFileSync } from 'node:fs';
import { makersFile, mandatesFile } from '../src/vehicle/schema.ts';

function rules(name: string): unknown {
  return JSON.parse(readFileSync(new URL(`../rules/${name}`, import.meta.url), 'utf8'));
}

export const makers = makersFile.parse(rules('makers.json'));
export const mandates = mandatesFile.parse(rules('mandates.json'));
