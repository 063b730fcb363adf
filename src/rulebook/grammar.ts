import { type Domain, outside, type Value } from './domain.ts';
import { type Fault, nearestName, pointer } from './fault.ts';

/** Operators of JSON Logic (jsonlogic.com) that a condition may use, and how large it may grow. */
const MOST_DEPTH = 24;
const MOST_NODES = 400;
const COMPARISONS = ['==', '!=', '<', '<=', '>', '>='];
const OPERATORS = ['var', '==', '!=', '!', 'and', 'or', 'in', '<', '<=', '>', '>='];
const FORBIDDEN = ['__proto__', 'constructor', 'prototype'];

/** Walks a condition as written against the grammar; collects literals per variable and every fault, not only the first. */
export class GrammarCheck {
  readonly constants = new Map<string, Set<Value>>();
  found = false;
  private nodes = 0;

  constructor(
    private readonly domains: ReadonlyMap<string, Domain>,
    private readonly file: string,
    private readonly faults: Fault[],
  ) {}

  node(text: unknown, at: string, depth: number): void {
    if (typeof text === 'boolean') return;
    if (depth > MOST_DEPTH) return this.fault(at, `nested deeper than ${MOST_DEPTH} levels`);
    if (++this.nodes > MOST_NODES)
      return this.nodes === MOST_NODES + 1
        ? this.fault(at, `more than ${MOST_NODES} nodes in one condition`)
        : undefined;
    if (typeof text !== 'object' || text === null || Array.isArray(text)) {
      return this.fault(
        at,
        'is not a condition',
        text,
        'write an operator such as {"==": [{"var": "a-trait"}, "a-value"]}',
      );
    }
    const keys = Object.keys(text);
    const [operator] = keys;
    if (keys.length !== 1 || operator === undefined) {
      return this.fault(
        at,
        `has ${keys.length} operators in one node`,
        keys,
        'one operator a node; join them with "and"',
      );
    }
    if (FORBIDDEN.includes(operator)) return this.fault(at, 'forbidden key', operator);
    const argument = (text as Record<string, unknown>)[operator];
    const inside = at + pointer(operator);
    if (operator === 'and' || operator === 'or') return this.list(argument, inside, depth);
    if (operator === '!') return this.negation(argument, inside, depth);
    if (operator === 'in') return this.membership(argument, inside);
    if (COMPARISONS.includes(operator)) return this.comparison(operator, argument, inside);
    if (operator === 'var')
      return this.fault(at, 'a trait alone is no condition', text, 'compare it with one of its values');
    this.fault(at, 'unknown operator', operator, `allowed: ${OPERATORS.join(' ')}`, nearestName(operator, OPERATORS));
  }

  private list(argument: unknown, at: string, depth: number): void {
    if (!Array.isArray(argument) || argument.length === 0)
      return this.fault(at, 'wants a list of at least one condition', argument);
    argument.forEach((part, i) => this.node(part, at + pointer(i), depth + 1));
  }

  private negation(argument: unknown, at: string, depth: number): void {
    if (!Array.isArray(argument)) return this.node(argument, at, depth + 1);
    if (argument.length !== 1) return this.fault(at, 'wants one condition', argument);
    this.node(argument[0], `${at}/0`, depth + 1);
  }

  private membership(argument: unknown, at: string): void {
    if (!Array.isArray(argument) || argument.length !== 2 || !Array.isArray(argument[1]) || argument[1].length === 0) {
      return this.fault(at, 'wants [{"var": trait}, [values]]', argument);
    }
    const trait = this.trait(argument[0], `${at}/0`);
    if (trait) argument[1].forEach((value, i) => this.literal(trait, value, `${at}/1/${i}`));
  }

  private comparison(operator: string, argument: unknown, at: string): void {
    if (!Array.isArray(argument) || argument.length !== 2)
      return this.fault(at, 'wants [{"var": trait}, value]', argument);
    const swapped = !isVar(argument[0]) && isVar(argument[1]);
    const [left, right] = swapped ? [1, 0] : [0, 1];
    const trait = this.trait(argument[left], `${at}/${left}`);
    if (!trait) return;
    if (operator !== '==' && operator !== '!=' && this.domains.get(trait)?.kind !== 'number') {
      return this.fault(at, `\`${operator}\` compares numbers, and \`${trait}\` is not a number`);
    }
    this.literal(trait, argument[right], `${at}/${right}`);
  }

  private trait(text: unknown, at: string): string | undefined {
    if (!isVar(text)) {
      this.fault(at, 'wants {"var": trait}', text);
      return undefined;
    }
    const name = text.var;
    if (typeof name !== 'string' || FORBIDDEN.includes(name)) {
      this.fault(`${at}/var`, typeof name === 'string' ? 'forbidden path' : 'a trait is named by a word', name);
      return undefined;
    }
    if (!this.domains.has(name)) {
      this.fault(`${at}/var`, 'unknown trait', name, undefined, nearestName(name, this.domains.keys()));
      return undefined;
    }
    if (!this.constants.has(name)) this.constants.set(name, new Set());
    return name;
  }

  private literal(trait: string, value: unknown, at: string): void {
    const domain = this.domains.get(trait) as Domain;
    const problem = outside(domain, value);
    if (problem)
      return this.fault(
        at,
        `${problem} for trait \`${trait}\``,
        value,
        undefined,
        typeof value === 'string' && domain.kind === 'values' ? nearestName(value, domain.values) : undefined,
      );
    this.constants.get(trait)?.add(value as Value);
  }

  private fault(at: string, message: string, value?: unknown, hint?: string, nearest?: string): void {
    this.found = true;
    this.faults.push({
      file: this.file,
      pointer: at,
      message,
      ...(value === undefined ? {} : { value }),
      ...(hint === undefined ? {} : { hint }),
      ...(nearest === undefined ? {} : { nearest }),
    });
  }
}

function isVar(text: unknown): text is { var: unknown } {
  return (
    typeof text === 'object' &&
    text !== null &&
    !Array.isArray(text) &&
    Object.keys(text).length === 1 &&
    Object.hasOwn(text, 'var')
  );
}
