import jsonLogic, { type RulesLogic } from 'json-logic-js';
import { type Job, possible, VALUES } from './resolve.jobs.ts';
import type { Book, Json } from './resolve.rulebooks.ts';

/**
 * What the work and the codes say of one follow-up, by trying every car and every answer: slow, and written from the
 * rules' wording alone. It shares nothing with the code that it judges but json-logic-js.
 */
export interface Opinion {
  readonly kind: 'needed' | 'excluded' | 'undecided';
  /** The strongest that some completion gives. */
  readonly level: 'required' | 'recommended';
}

type Completion = Record<string, string | number>;
interface Line {
  readonly part: string;
  readonly did: string;
  readonly at?: readonly string[];
  /** Where a position has to be asked: the name of the question. */
  readonly where?: string;
  readonly parent?: Line;
  readonly path: string;
  readonly maybe: readonly string[];
  readonly when: readonly Json[];
}

const WEAKER: Record<string, readonly string[]> = {
  replaced: ['replaced', 'refitted', 'unplugged'],
  refitted: ['refitted', 'unplugged'],
};
const isAtLeast = (did: string, asked: string) => (WEAKER[did] ?? [did]).includes(asked);
const list = (value: unknown): Json[] => (value as Json[] | undefined) ?? [];

/** undefined where there are over `most` completions. */
export function bruteForce(book: Book, id: string, job: Job, most = 4096): Opinion | undefined {
  const rule = book.rules[id] as Json;
  const lines = withoutDoubles(closure(book, job));
  const choices = choicesFor(book, rule, lines, job);
  const size = choices.reduce((product, [, values]) => product * values.length, 1);
  if (size > most) return undefined;
  let [least, strongest] = [2, 0];
  for (let row = 0; row < size; row++) {
    const said = says(rule, lines, job, completion(row, choices));
    least = Math.min(least, said);
    strongest = Math.max(strongest, said);
  }
  return {
    kind: least > 0 ? 'needed' : strongest > 0 ? 'undecided' : 'excluded',
    level: strongest === 2 ? 'required' : 'recommended',
  };
}

function completion(row: number, choices: readonly (readonly [string, readonly (string | number)[]])[]): Completion {
  let rest = row;
  return Object.fromEntries(
    choices.map(([name, values]) => {
      const value = values[rest % values.length] as string | number;
      rest = Math.floor(rest / values.length);
      return [name, value];
    }),
  );
}

/** Every line that is there on some car. */
function closure(book: Book, job: Job): Line[] {
  const grow = (line: Line): Line[] => [line, ...implied(book, job, line).flatMap(grow)];
  return job.work.flatMap((work, index) => {
    const at = typeof work.at === 'string' ? [work.at] : (work.at as string[] | undefined);
    const where = !at && positions(book, work.part as string).length > 0 ? `at:${index}` : undefined;
    return grow({
      part: work.part as string,
      did: work.did as string,
      ...(at ? { at } : {}),
      ...(where ? { where } : {}),
      path: String(index),
      maybe: [],
      when: [],
    });
  });
}

function implied(book: Book, job: Job, parent: Line): Line[] {
  return list(book.parts[parent.part]?.implies).flatMap((row, i) => {
    const [part, did] = [row.part as string, row.did as string];
    for (let line: Line | undefined = parent; line; line = line.parent)
      if (line.part === part && line.did === did) return [];
    if (!isAtLeast(parent.did, row.when as string)) return [];
    const question = `did:${part}/${did}`;
    const answer = row.maybe ? job.answers[question] : 'yes';
    if (answer === 'no') return [];
    const same = row.at === 'same';
    const at = same ? parent.at : (row.at as string[] | undefined);
    const path = `${parent.path}>${part}/${did}/${i}`;
    const where = at
      ? undefined
      : same && parent.where
        ? parent.where
        : positions(book, part).length > 0
          ? `at:${path}`
          : undefined;
    return [
      {
        part,
        did,
        ...(at ? { at } : {}),
        ...(where ? { where } : {}),
        parent,
        path,
        maybe: answer === 'yes' ? parent.maybe : [...parent.maybe, question],
        when: [...parent.when, row],
      },
    ];
  });
}

const positions = (book: Book, part: string): readonly string[] => (book.parts[part]?.at as string[] | undefined) ?? [];

/** A line that only may follow, and that the order has in its own right, is the order's; so is all that follows from it. */
function withoutDoubles(lines: readonly Line[]): Line[] {
  const own = lines.filter((line) => !line.parent);
  const stated = (line: Line): boolean =>
    line.maybe.length > 0 &&
    (own.some(
      (o) =>
        o.part === line.part &&
        isAtLeast(o.did, line.did) &&
        (!o.at || ((line.at ?? []).every((p) => o.at?.includes(p)) && line.at !== undefined)),
    ) ||
      (line.parent !== undefined && stated(line.parent)));
  return lines.filter((line) => !stated(line));
}

function choicesFor(
  book: Book,
  rule: Json,
  lines: readonly Line[],
  job: Job,
): [string, readonly (string | number)[]][] {
  const conditional = [
    rule.fits,
    ...list(rule.triggers).flatMap((t) => [t.if, t.scope]),
    ...lines.flatMap((l) => l.when.flatMap((row) => [row.if, row.scope])),
  ];
  const text = JSON.stringify(conditional);
  const named = Object.keys(VALUES).filter(
    (name) =>
      text.includes(`"var":"${name}"`) ||
      text.includes({ maker: '"makers"', model: '"models"', 'model-year': '"years"' }[name] ?? 'never'),
  );
  const places = new Map(lines.filter((l) => l.where).map((l) => [l.where as string, ownerOf(l)]));
  return [
    ...named.map((name): [string, readonly (string | number)[]] => [
      name,
      possible(job, name) ?? (VALUES[name] as readonly (string | number)[]),
    ]),
    ...[...new Set(lines.flatMap((l) => l.maybe))].map((name): [string, readonly string[]] => [name, ['yes', 'no']]),
    ...[...places].map(([name, line]): [string, readonly string[]] => [name, positions(book, line.part)]),
  ];
}

/** A line at the same place as its parent asks for the parent's place. */
function ownerOf(line: Line): Line {
  return line.parent && line.parent.where === line.where ? ownerOf(line.parent) : line;
}

const [NOTHING, RECOMMENDED, REQUIRED] = [0, 1, 2];
const WEIGHT: Record<string, number> = { 'not-needed': NOTHING, recommended: RECOMMENDED, required: REQUIRED };

function says(rule: Json, lines: readonly Line[], job: Job, car: Completion): number {
  if (rule.fits !== undefined && !jsonLogic.apply(rule.fits as RulesLogic, car)) return NOTHING;
  const there = lines.filter(
    (line) => line.maybe.every((m) => car[m] === 'yes') && line.when.every((row) => applies(row, car)),
  );
  const spoken = there
    .filter((line) => !silenced(line, rule, car))
    .map((line) => (voice(line, rule, car) ?? { level: NOTHING }).level);
  const codes = job.codes.map(
    (code) =>
      loudest(
        list(rule.triggers)
          .filter((t) => (t.codes as string[] | undefined)?.includes(code) && applies(t, car))
          .map(ranked),
      )?.level ?? NOTHING,
  );
  return Math.max(NOTHING, ...spoken, ...codes);
}

interface Voice {
  readonly rank: number;
  readonly level: number;
}

/** The highest rank speaks; at one rank the stronger level. */
function loudest(voices: readonly Voice[]): Voice | undefined {
  return [...voices].sort((a, b) => b.rank - a.rank || b.level - a.level)[0];
}

function ranked(trigger: Json): Voice {
  const { makers, models, years } = (trigger.scope ?? {}) as { makers?: unknown; models?: unknown; years?: unknown };
  const rank = models && years ? 4 : models ? 3 : makers && years ? 2 : makers ? 1 : 0;
  return { rank, level: WEIGHT[trigger.level as string] as number };
}

function voice(line: Line, rule: Json, car: Completion): Voice | undefined {
  const called = list(rule.triggers).filter(
    (t) => list(t.work).some((match) => meets(line, match, car)) && applies(t, car),
  );
  const isStep = !line.parent && list(rule['done-by']).some((match) => meets(line, match, car));
  return loudest([...called.map(ranked), ...(isStep ? [{ rank: Infinity, level: REQUIRED }] : [])]);
}

/** A not-needed silences what its line implies, unless that speaks at a higher or equal rank. */
function silenced(line: Line, rule: Json, car: Completion): boolean {
  const own = voice(line, rule, car);
  for (let above = line.parent; above; above = above.parent) {
    const other = voice(above, rule, car);
    if (own && other && other.level === NOTHING && other.rank > own.rank) return true;
  }
  return false;
}

function meets(line: Line, match: Json, car: Completion): boolean {
  if (match.part === 'any')
    return !line.parent && (match.did === 'inspected' || isAtLeast(line.did, match.did as string));
  if (match.part !== line.part) return false;
  if (match.exactly ? line.did !== match.did : !isAtLeast(line.did, match.did as string)) return false;
  const at = line.at ?? (line.where ? [car[line.where] as string] : undefined);
  return match.at === undefined || at === undefined || at.some((position) => (match.at as string[]).includes(position));
}

/** `if` and `scope` of anything that may carry them. */
export function applies(row: Json, car: Completion): boolean {
  const { makers, models, years } = (row.scope ?? {}) as {
    makers?: string[];
    models?: string[];
    years?: [number, number];
  };
  if (makers && !makers.includes(String(car.maker))) return false;
  if (models && !models.includes(String(car.model))) return false;
  if (years && !((car['model-year'] as number) >= years[0] && (car['model-year'] as number) <= years[1])) return false;
  return row.if === undefined || Boolean(jsonLogic.apply(row.if as RulesLogic, car));
}
