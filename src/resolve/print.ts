import type { Value } from '../rulebook/domain.ts';
import type { FollowUp, Rulebook, Trigger } from '../rulebook/rulebook.ts';
import type { Duration, Scope } from '../rulebook/schema.ts';
import type { Edge, Reason } from './precedence.ts';
import type { Resolution } from './resolve.ts';
import type { Cause, Line, TraitUse } from './result.ts';

/** Puts trees of causes, orders and conditions into words. Nothing here decides anything. */

/** A cause with the causes behind it; shared ones are told once and then only named. */
export interface CauseNode {
  readonly text: string;
  /** Only on some of the cars that this one can still be. */
  readonly perhaps?: true;
  readonly sources: readonly string[];
  readonly causes: readonly CauseNode[];
}

/** "Tie-rod end replaced, front left, by another shop" */
export function lineText(rulebook: Rulebook, line: Pick<Line, 'part' | 'did' | 'at' | 'by'>): string {
  const title = rulebook.parts.get(line.part)?.text.title ?? words(line.part);
  const at = line.at ? `, ${line.at.map(words).join(' and ')}` : '';
  const by = line.by && line.by !== 'us' ? `, by ${words(line.by)}` : '';
  return `${title} ${DID_WORDS[line.did] ?? words(line.did)}${at}${by}`;
}

const DID_WORDS: Partial<Record<string, string>> = { 'power-lost': 'lost its power', drained: 'opened or drained' };

export function words(id: string): string {
  return id.replaceAll('-', ' ');
}

export function valueText(rulebook: Rulebook, trait: string, value: Value): string {
  return rulebook.traits.get(trait)?.values?.[String(value)] ?? String(value).trim();
}

export function traitTitle(rulebook: Rulebook, trait: string): string {
  return rulebook.traits.get(trait)?.title ?? words(trait);
}

/** The tree of why a follow-up is on the list. */
export function causeTree(resolution: Resolution, followUp: FollowUp, told: Set<string> = new Set()): CauseNode[] {
  const verdict = resolution.verdicts.get(followUp.id);
  if (!verdict) return [];
  told.add(followUp.id);
  return together(verdict.causes).map((causes) => causeNode(resolution, causes, told));
}

/** Calls by one trigger are told as one: "A; B: because". */
function together(causes: readonly Cause[]): Cause[][] {
  const groups = new Map<unknown, Cause[]>();
  for (const cause of causes) {
    const key = cause.kind === 'call' ? `${cause.trigger.index}/${cause.sure}` : cause;
    groups.set(key, [...(groups.get(key) ?? []), cause]);
  }
  return [...groups.values()];
}

function causeNode(resolution: Resolution, causes: readonly Cause[], told: Set<string>): CauseNode {
  const { rulebook } = resolution;
  const cause = causes[0] as Cause;
  const perhaps = cause.sure ? '' : 'perhaps: ';
  if (cause.kind === 'pull') {
    const again = told.has(cause.by.id);
    return {
      text: perhaps + pullText(cause),
      ...unsure(cause),
      sources: [],
      causes: again ? [] : causeTree(resolution, cause.by, told),
    };
  }
  const calls = causes as (Cause & { kind: 'call' })[];
  const what = calls
    .filter((call) => !saidByOrder(call, calls))
    .map((call) => (call.line ? lineText(rulebook, call.line) : `code ${call.code}`));
  const text = `${perhaps}${[...new Set(what)].join('; ')}: ${cause.trigger.because}${scopeText(cause.trigger.scope)}`;
  const chains = calls
    .filter((call) => !saidByOrder(call, calls))
    .flatMap((call) => chain(resolution, call.line, told));
  return {
    text,
    ...unsure(cause),
    sources: cause.trigger.sources,
    causes: [...unique(chains), ...cause.traits.map((use) => traitNode(rulebook, use))],
  };
}

/** The order's own line speaks for the same work where the step that it is does it once more. */
function saidByOrder(call: Cause & { kind: 'call' }, calls: readonly (Cause & { kind: 'call' })[]): boolean {
  if (call.line?.origin.kind !== 'step') return false;
  return calls.some(
    ({ line }) => line?.origin.kind === 'order' && line.part === call.line?.part && line.did === call.line.did,
  );
}

function unsure(cause: Cause): { perhaps?: true } {
  return cause.sure ? {} : { perhaps: true };
}

function unique(nodes: readonly CauseNode[]): CauseNode[] {
  return [...new Map(nodes.map((node) => [node.text, node])).values()];
}

function chain(resolution: Resolution, line: Line | undefined, told: Set<string>): CauseNode[] {
  if (!line || line.origin.kind === 'order') return [];
  if (line.origin.kind === 'step') {
    const { step } = line.origin;
    const causes = told.has(step.id) ? [] : causeTree(resolution, step, told);
    return [{ text: `part of ${step.title}`, sources: [], causes }];
  }
  const { parent, because, maybe, sources } = line.origin;
  const text = `${maybe ? 'it may follow' : 'it follows'} from ${lineText(resolution.rulebook, parent)}: ${because}`;
  return [{ text, sources, causes: chain(resolution, parent, told) }];
}

function traitNode(rulebook: Rulebook, use: TraitUse): CauseNode {
  const by = use.by === undefined ? '' : `, ${BY_WORDS[use.by] ?? use.by}`;
  const values = use.values?.map((v) => valueText(rulebook, use.trait, v)).join(' or ');
  const text =
    values === undefined
      ? `${traitTitle(rulebook, use.trait)}: not known${use.by ? ' (looked, can not tell)' : ''}`
      : `${traitTitle(rulebook, use.trait)}: ${values}${by}`;
  return { text, sources: [], causes: [] };
}

const BY_WORDS: Record<string, string> = {
  law: 'by law',
  vin: 'from the VIN',
  looked: 'seen on the car',
  told: 'as told',
  scan: 'read from the car',
};

function pullText(cause: Cause & { kind: 'pull' }): string {
  const by = cause.by.title;
  const state = `"${cause.state.title}"`;
  const because = cause.because ? ` (${cause.because})` : '';
  const texts: Record<typeof cause.how, string> = {
    upset: `${by} upsets ${state}${because}`,
    undo: `${by} leaves ${state}, and the car must not go like that${because}`,
    absent: `${by} needs ${state}${because}`,
    'answered-no': `${by} needs ${state}, and it was not found so${because}`,
    missed: `${by} needs ${state}, and the step for it was missed before the work${because}`,
  };
  return texts[cause.how];
}

/** The why line of a step: one sentence a cause, its chain in brackets; beside a sure cause the perhapses are left to the tree. */
export function causeSentences(all: readonly CauseNode[]): string[] {
  const sure = all.filter((node) => !node.perhaps);
  return (sure.length > 0 ? sure : all).map((node) => {
    const chainTexts: string[] = [];
    for (let inner = node.causes[0]; inner && /^(it |part of )/.test(inner.text); inner = inner.causes[0])
      chainTexts.push(inner.text);
    return chainTexts.length > 0 ? `${node.text} (${chainTexts.join('; ')})` : node.text;
  });
}

export function scopeText(scope: Scope | undefined): string {
  if (!scope) return '';
  const makers = scope.makers?.map(maker).join(', ');
  const models = scope.models?.map(words).join(', ');
  const years = scope.years
    ? scope.years[0] === scope.years[1]
      ? `${scope.years[0]}`
      : `${scope.years[0]} to ${scope.years[1]}`
    : undefined;
  return ` [${[makers, models, years].filter(Boolean).join(', ')}]`;
}

export function maker(id: string): string {
  return id.length <= 3 ? id.toUpperCase() : id.replace(/(^|-)[a-z]/g, (c) => c.toUpperCase().replace('-', ' '));
}

export function reasonText(reason: Reason): string {
  switch (reason.kind) {
    case 'needs':
      return reason.guard
        ? `"${reason.state.title}" must hold for this set-up`
        : `it needs "${reason.state.title}"${reason.because ? `: ${reason.because}` : ''}`;
    case 'upsets':
      return `${reason.upsetter.title} upsets "${reason.state.title}"${reason.because ? `: ${reason.because}` : ''}`;
    case 'keeps':
      return `${reason.upsetter.title} ends "${reason.state.title}"`;
    case 'after':
      return (
        reason.because +
        (reason.through.length > 0 ? ` (by way of ${reason.through.map((f) => f.title).join(', ')})` : '')
      );
    case 'stands':
      return `${reason.step.title} stands ${reason.step.stands}`;
  }
}

export function durationText(duration: Duration): string {
  const parts = [
    duration.hours && `${duration.hours} h`,
    duration.minutes && `${duration.minutes} min`,
    duration.seconds && `${duration.seconds} s`,
  ];
  return parts.filter(Boolean).join(' ') || '0 min';
}

/** JSON Logic in words: "Forward camera is not not fitted" would be poor, so "none" reads as has / has not. */
export function conditionText(rulebook: Rulebook, text: unknown): string {
  if (typeof text === 'boolean' || text === undefined) return text === false ? 'never' : 'always';
  const [operator, argument] = Object.entries(text as Record<string, unknown>)[0] as [string, unknown];
  const list = argument as unknown[];
  if (operator === 'and' || operator === 'or')
    return list.map((part) => conditionText(rulebook, part)).join(operator === 'and' ? ' and ' : ' or ');
  if (operator === '!') return `not (${conditionText(rulebook, Array.isArray(argument) ? argument[0] : argument)})`;
  return comparisonText(rulebook, operator, list);
}

/** The first few of a long list, and how many more. */
export function some(texts: readonly string[], most = 4): string {
  return texts.length <= most
    ? texts.join(' or ')
    : `${texts.slice(0, most - 1).join(', ')} or one of ${texts.length - most + 1} more`;
}

function comparisonText(rulebook: Rulebook, operator: string, [left, right]: unknown[]): string {
  const isVar = (side: unknown): side is { var: string } => typeof side === 'object' && side !== null && 'var' in side;
  const swapped = !isVar(left) && isVar(right);
  const trait = ((swapped ? right : left) as { var: string }).var;
  const value = swapped ? left : right;
  const title = traitTitle(rulebook, trait);
  const word = (v: unknown) => (trait === 'maker' ? maker(String(v)) : valueText(rulebook, trait, v as Value));
  if (operator === 'in') return `${title} is ${some((value as unknown[]).map(word))}`;
  if (value === 'none')
    return operator === '!=' ? `the car has ${title.toLowerCase()}` : `the car has no ${title.toLowerCase()}`;
  if (operator === '==') return `${title} is ${word(value)}`;
  if (operator === '!=') return `${title} is not ${word(value)}`;
  const turned: Record<string, string> = { '<': '>', '>': '<', '<=': '>=', '>=': '<=' };
  return `${title} ${ORDER_WORDS[swapped ? (turned[operator] as string) : operator]} ${word(value)}`;
}

const ORDER_WORDS: Record<string, string> = {
  '<': 'is under',
  '<=': 'is at most',
  '>': 'is over',
  '>=': 'is at least',
};

/** What a trigger is set off by, for "called for by". */
export function triggerText(rulebook: Rulebook, trigger: Trigger): string {
  return triggerTexts(rulebook, trigger).join(', ') + scopeText(trigger.scope);
}

export function triggerTexts(rulebook: Rulebook, trigger: Trigger): string[] {
  const works = trigger.work.map((w) =>
    w.part === 'any'
      ? 'any work line'
      : lineText(rulebook, { part: w.part, did: w.did, by: 'us', ...(w.at ? { at: w.at } : {}) }),
  );
  return [...works, ...trigger.codes.map((c) => `code ${c}`)];
}

/** A ring of steps told from one to the next: "A waits for B (why), B waits for A (why)". */
export function ringText(ring: readonly Edge[], rulebook: Rulebook): string {
  const title = (node: string) => rulebook.followUps.get(node.split('#')[0] as string)?.title ?? node;
  const links = ring.map((edge) => `${title(edge.after)} waits for ${title(edge.before)} (${reasonText(edge.reason)})`);
  return `${links.join('; ')}. The maker's order decides`;
}
