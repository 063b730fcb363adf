import type { FollowUp, Rulebook } from '../rulebook/rulebook.ts';
import type { Edge, Reason } from './edges.ts';
import type { Resolution } from './resolve.ts';
import type { Cause, Line, TraitUse } from './result.ts';
import { lineText, scopeText, traitTitle, valueText } from './words.ts';

/** Puts trees of causes and orders into sentences. Nothing here decides anything. */

/** A cause with the causes behind it; shared ones are told once and then only named. */
export interface CauseNode {
  readonly text: string;
  /** Only on some of the cars that this one can still be. */
  readonly perhaps?: true;
  readonly sources: readonly string[];
  readonly causes: readonly CauseNode[];
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
  year: 'no car of its model year has it',
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

/**
 * The why lines of a step: one sentence a cause, its chain in brackets; beside a sure cause the perhapses are left to
 * the tree. A needed step without a sure one is needed whichever of them holds.
 */
export function causeSentences(all: readonly CauseNode[], needed = false): string[] {
  const sure = all.filter((node) => !node.perhaps);
  if (sure.length === 0 && needed) {
    return all.map((node, i) => sentence(node).replace('perhaps: ', i === 0 ? 'one of these holds: ' : 'or: '));
  }
  return (sure.length > 0 ? sure : all).map(sentence);
}

function sentence(node: CauseNode): string {
  const chainTexts: string[] = [];
  for (let inner = node.causes[0]; inner && /^(it |part of )/.test(inner.text); inner = inner.causes[0])
    chainTexts.push(inner.text);
  return chainTexts.length > 0 ? `${node.text} (${chainTexts.join('; ')})` : node.text;
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

/** A ring of steps told from one to the next: "A waits for B (why), B waits for A (why)". */
export function ringText(ring: readonly Edge[], rulebook: Rulebook): string {
  const title = (node: string) => rulebook.followUps.get(node.split('#')[0] as string)?.title ?? node;
  const links = ring.map((edge) => `${title(edge.after)} waits for ${title(edge.before)} (${reasonText(edge.reason)})`);
  return `${links.join('; ')}. The maker's order decides`;
}
