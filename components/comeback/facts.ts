import type { Back, Bears, Cause } from '../../src/job/comeback/comeback.ts';
import { daysText } from '../../src/job/comeback/timing.ts';

/** Something that is known of a car that came back, against which each cause is held. */
export type Fact = { readonly text: string } & (
  | { readonly is: 'words' | 'days' }
  | { readonly is: 'code'; readonly code: string }
);

export function factsOf({ says, codes = [], days }: Back): Fact[] {
  return [
    ...(says.trim() ? [{ is: 'words', text: 'What is said of it' } as const] : []),
    ...[...new Set(codes)].map((code) => ({ is: 'code', code, text: `Code ${code} is stored` }) as const),
    ...(days === undefined
      ? []
      : [{ is: 'days', text: `It came back ${days === 0 ? 'the same day' : `after ${daysText(days)}`}` } as const]),
  ];
}

export function bearsOn({ bears }: Pick<Cause, 'bears'>, fact: Fact): Bears {
  return fact.is === 'code' ? (bears.codes[fact.code] ?? 'nothing') : bears[fact.is];
}
