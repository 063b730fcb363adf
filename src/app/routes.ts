/** Where in the app one is; lives behind the # so that any server can serve the page. */
export type Place =
  | { readonly at: 'bay'; readonly stand?: string; readonly tools?: readonly string[] }
  | { readonly at: 'new' }
  | { readonly at: 'parts' }
  | { readonly at: 'went' }
  | { readonly at: 'people' }
  | { readonly at: 'shop' }
  | { readonly at: 'learning' }
  | RulesPlace
  | { readonly at: 'comeback'; readonly ro: string }
  | { readonly at: 'drive'; readonly ro: string; readonly drive: number }
  | { readonly at: Leaf; readonly ro: string; readonly step?: string };

/** The rulebook: in force, or that of a job. */
export interface RulesPlace {
  readonly at: 'rules';
  readonly of: (typeof RULES_OF)[number];
  /** What the page is of; empty of the contents and of the whole book. */
  readonly id: string;
  /** Number of the repair order that is pinned to it. */
  readonly job?: string;
}

/** The contents of the rulebook in force. */
export const RULES = '#/rules';
const RULES_OF = ['contents', 'whole', 'follow-up', 'part', 'source'] as const;

export const LEAVES = ['write-up', 'car', 'before', 'route', 'codes', 'check', 'hand-over'] as const;
export type Leaf = (typeof LEAVES)[number];

export const LEAF_NAMES: Readonly<Record<Leaf, string>> = {
  'write-up': 'Write-up',
  car: 'What has this car?',
  before: 'Before you start',
  route: 'Route',
  codes: 'Codes',
  check: 'Final check',
  'hand-over': 'Hand-over',
};

/** Anything that is no place is the bay sheet. */
export function readPlace(hash: string): Place {
  const [first, ro, leaf, step, last] = hash
    .replace(/^#?\/?/, '')
    .split('/')
    .map(decode);
  if (first === 'new' || first === 'parts' || first === 'went') return { at: first };
  if (first === 'people' || first === 'shop' || first === 'learning') return { at: first };
  if (first === 'here')
    return { at: 'bay', ...(ro ? { stand: ro } : {}), tools: (leaf ?? '').split(',').filter(Boolean) };
  if (first === 'rules') return rulesPlace(ro, leaf);
  if (first === 'job' && ro && leaf === 'rules') return { ...rulesPlace(step, last), job: ro };
  if (first === 'job' && ro && leaf === 'comeback') return { at: 'comeback', ro };
  if (first === 'job' && ro && leaf === 'drive') return { at: 'drive', ro, drive: Number(step) || 1 };
  const at = LEAVES.find((known) => known === leaf);
  if (first !== 'job' || !ro || !at) return { at: 'bay' };
  return { at, ro, ...(step ? { step } : {}) };
}

function rulesPlace(kind: string | undefined, id = ''): RulesPlace {
  return { at: 'rules', of: RULES_OF.find((one) => one === kind) ?? 'contents', id };
}

/** A page of the rulebook; with a job, of the one that it is pinned to. */
export function linkToRules(job?: string, of?: RulesPlace['of'], id?: string): string {
  const from = job === undefined ? [RULES] : ['#/job', encodeURIComponent(job), 'rules'];
  return [...from, ...(of && of !== 'contents' ? [of] : []), ...(id ? [encodeURIComponent(id)] : [])].join('/');
}

export function linkTo(ro: string, leaf: Leaf, step?: string): string {
  return ['#/job', encodeURIComponent(ro), leaf, ...(step ? [encodeURIComponent(step)] : [])].join('/');
}

/** The card of one drive of a job, counted from 1. */
export function linkToDrive(ro: string, drive: number): string {
  return `#/job/${encodeURIComponent(ro)}/drive/${drive}`;
}

/** What brought the car back. */
export function linkToComeback(ro: string): string {
  return `#/job/${encodeURIComponent(ro)}/comeback`;
}

/** The bay sheet with where one stands and what one has at hand; '' = anywhere. */
export function linkHere(stand: string, tools: readonly string[]): string {
  if (!stand && tools.length === 0) return '#/';
  return [
    '#/here',
    encodeURIComponent(stand),
    ...(tools.length > 0 ? [tools.map(encodeURIComponent).join(',')] : []),
  ].join('/');
}

export function leafNumber(leaf: Leaf): string {
  return `leaf ${LEAVES.indexOf(leaf) + 1} of ${LEAVES.length}`;
}

/** The leaves before and behind, for the keys that turn. */
export function turns(ro: string, leaf: Leaf): { back?: Turn; on?: Turn } {
  const index = LEAVES.indexOf(leaf);
  const [before, behind] = [LEAVES[index - 1], LEAVES[index + 1]];
  return { ...(before ? { back: turn(ro, before) } : {}), ...(behind ? { on: turn(ro, behind) } : {}) };
}

interface Turn {
  readonly text: string;
  readonly href: string;
}

function turn(ro: string, leaf: Leaf): Turn {
  return { text: LEAF_NAMES[leaf], href: linkTo(ro, leaf) };
}

function decode(part: string): string {
  try {
    return decodeURIComponent(part);
  } catch {
    return part;
  }
}
