import { type CodeBook, CodesFile } from '../scan/schema.ts';
import type { RuleBundle } from './book.ts';

/** What codes mean, as it travels with the rules. Throws if it is not sound. */
export function codeBook(bundle: RuleBundle): CodeBook {
  return CodesFile.parse(JSON.parse(bundle.files['codes.json'] ?? '{}'));
}
