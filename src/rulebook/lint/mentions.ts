import { pointer } from '../fault.ts';
import type { FollowUp, Rulebook } from '../rulebook.ts';
import type { Did, WorkMatch } from '../schema.ts';

/** Every place where a file mentions something by name, with its file and pointer. */

export interface WorkMention {
  readonly file: string;
  readonly pointer: string;
  readonly part: string;
  readonly did: Did;
  readonly at: readonly string[];
  /** True where "any" may stand for whatever part was worked on. */
  readonly match: boolean;
}

export interface Mention {
  readonly file: string;
  readonly pointer: string;
  readonly name: string;
}

export interface SetupMention {
  readonly file: string;
  readonly pointer: string;
  readonly dimension: string;
  readonly value: string;
}

export function* workMentions(rulebook: Rulebook): Iterable<WorkMention> {
  for (const { file, text } of rulebook.followUps.values()) {
    for (const [i, trigger] of (text.triggers ?? []).entries())
      yield* works(file, pointer('triggers', i, 'work'), trigger.work, true);
    yield* works(file, pointer('done-by'), text['done-by'], true);
    yield* works(file, pointer('does'), text.does, false);
    for (const [i, way] of text.ways.entries()) yield* works(file, pointer('ways', i, 'does'), way.does, false);
  }
  for (const part of rulebook.parts.values()) {
    for (const [i, row] of part.implies.entries()) {
      const at = row.at === 'same' ? [] : (row.at ?? []);
      yield {
        file: 'parts.json',
        pointer: pointer(part.id, 'implies', i),
        part: row.part,
        did: row.did,
        at,
        match: false,
      };
    }
  }
}

function* works(
  file: string,
  at: string,
  list: readonly (Pick<WorkMatch, 'part' | 'did'> & { at?: string[] | undefined })[] | undefined,
  match: boolean,
): Iterable<WorkMention> {
  for (const [i, work] of (list ?? []).entries()) {
    yield { file, pointer: at + pointer(i), part: work.part, did: work.did, at: work.at ?? [], match };
  }
}

export function* stateMentions(rulebook: Rulebook): Iterable<Mention> {
  for (const { file, text } of rulebook.followUps.values()) {
    yield* stateList(file, '', 'needs', text.needs);
    yield* stateList(file, '', 'upsets', text.upsets);
    for (const [i, way] of text.ways.entries()) {
      yield* stateList(file, pointer('ways', i), 'needs', way.needs);
      yield* stateList(file, pointer('ways', i), 'upsets', way.upsets);
    }
  }
}

function* stateList(
  file: string,
  at: string,
  key: string,
  list: readonly { state: string }[] | undefined,
): Iterable<Mention> {
  for (const [i, { state }] of (list ?? []).entries())
    yield { file, pointer: at + pointer(key, i, 'state'), name: state };
}

export function* stepMentions({ file, text }: FollowUp): Iterable<Mention> {
  for (const [i, { step }] of (text.after ?? []).entries())
    yield { file, pointer: pointer('after', i, 'step'), name: step };
  for (const [i, cover] of (text.covers ?? []).entries()) {
    if (typeof cover === 'string') yield { file, pointer: pointer('covers', i), name: cover };
    else yield { file, pointer: pointer('covers', i, 'step'), name: cover.step };
  }
}

export function* toolMentions({ file, text }: FollowUp): Iterable<Mention> {
  for (const [i, { tool }] of text.ways.entries())
    if (tool !== undefined) yield { file, pointer: pointer('ways', i, 'tool'), name: tool };
}

export function* setupMentions(rulebook: Rulebook): Iterable<SetupMention> {
  for (const { file, text } of rulebook.followUps.values()) {
    for (const [i, way] of text.ways.entries()) {
      for (const key of ['setup', 'hold', 'becomes'] as const) yield* setup(file, pointer('ways', i, key), way[key]);
      const { wait: _wait, text: _text, sources: _sources, ...closing } = way.closing ?? {};
      yield* setup(file, pointer('ways', i, 'closing'), closing);
    }
  }
  for (const state of rulebook.states.values()) {
    for (const [i, guard] of state.guards.entries()) yield* setup('states.json', pointer(state.id, 'guards', i), guard);
  }
  for (const [i, pair] of rulebook.setups.forbidden.entries())
    yield* setup('setups.json', pointer('forbidden', i), pair);
  for (const key of ['setup', 'becomes'] as const)
    yield* setup('setups.json', pointer('drive', key), rulebook.setups.drive[key]);
  yield* changes(rulebook);
}

function* setup(
  file: string,
  at: string,
  values: Readonly<Record<string, unknown>> | undefined,
): Iterable<SetupMention> {
  for (const [dimension, value] of Object.entries(values ?? {})) {
    if (typeof value === 'string') yield { file, pointer: at + pointer(dimension), dimension, value };
  }
}

/** The values that the table of change-over minutes names. */
function* changes(rulebook: Rulebook): Iterable<SetupMention> {
  for (const [dimension, row] of Object.entries(rulebook.setups.dimensions)) {
    const at = pointer('dimensions', dimension);
    yield { file: 'setups.json', pointer: `${at}/start`, dimension, value: row.start };
    for (const [from, targets] of Object.entries(row.minutes)) {
      yield { file: 'setups.json', pointer: at + pointer('minutes', from), dimension, value: from };
      for (const to of Object.keys(targets))
        yield { file: 'setups.json', pointer: at + pointer('minutes', from, to), dimension, value: to };
    }
  }
}
