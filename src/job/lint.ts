import { ALL_LINTS } from '../resolve/lint.ts';
import type { Lint } from '../rulebook/lint/lint.ts';
import { WORD_LINTS } from '../write-up/lint.ts';
import { COMPLAINT_LINTS } from './comeback/lint.ts';

/** All lints there are: those of rules and examples, and those that read lines and complaints by the rulebook's words. */
export const EVERY_LINT: readonly Lint[] = [...ALL_LINTS, ...WORD_LINTS, ...COMPLAINT_LINTS];
