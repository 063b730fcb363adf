import type { Value } from '../rulebook/domain.ts';
import type { Rulebook, Trigger } from '../rulebook/rulebook.ts';
import type { Duration, Scope } from '../rulebook/schema.ts';
import type { Line } from './result.ts';

/** Names of the rulebook as trade words. */

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
