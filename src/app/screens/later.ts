/** What few need at once is fetched when it is first opened; without a signal it comes from the shelf. */
export const LATER = {
  'write-up': () => import('./write-up.ts'),
  went: () => import('./went-list.ts'),
  car: () => import('./car-leaf.ts'),
  check: () => import('../../../components/check/final-check.ts'),
  'hand-over': () => import('./hand-over-leaf.ts'),
  codes: () => import('../../../components/codes/codes.ts'),
  paper: () => import('../../../components/papers/paper-head.ts'),
  printed: () => import('../printed.ts'),
  comeback: () => import('./comeback-leaf.ts'),
  rules: () => import('./reference-leaf.ts'),
  'rules-changed': () => import('./changed-rules.ts'),
  people: () => import('./people-leaf.ts'),
  learning: () => import('./learning-leaf.ts'),
} as const;
