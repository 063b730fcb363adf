/** What was looked at, and what is to be done about it. */
export interface Finding {
  /** What it is about, a word or two. */
  readonly about: string;
  /** Where there are several sites. */
  readonly site?: string;
  readonly is: 'fine' | 'doubtful' | 'wrong';
  readonly says: string;
  /** Whoever runs it, in one sentence; nothing where it is fine. */
  readonly do?: string;
}

export const fine = (about: string, says: string): Finding => ({ about, is: 'fine', says });

export const doubtful = (about: string, says: string, todo: string): Finding => ({
  about,
  is: 'doubtful',
  says,
  do: todo,
});

export const wrong = (about: string, says: string, todo: string): Finding => ({ about, is: 'wrong', says, do: todo });

const GRAVITY = ['fine', 'doubtful', 'wrong'] as const;

/** 0 all is fine, 1 something is doubtful, 2 something is wrong. */
export function worst(findings: readonly Finding[]): number {
  return Math.max(0, ...findings.map((finding) => GRAVITY.indexOf(finding.is)));
}
