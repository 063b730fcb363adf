import { type Fault, pointer } from '../fault.ts';
import { near } from '../read.ts';
import { ANY_PART, reaches, type Rulebook } from '../rulebook.ts';
import type { Lint } from './lint.ts';
import { type Mention, stateMentions, stepMentions, type WorkMention, workMentions } from './mentions.ts';

/** What is named must exist; a misspelt name would silently never match. */

export const knownPart: Lint = {
  id: 'known-part',
  scope: 'names',
  says: 'every part that a rule names stands in parts.json',
  severity: 'fault',
  exceptions: [],
  *check(rulebook) {
    for (const work of workMentions(rulebook)) {
      if (rulebook.parts.has(work.part) || (work.match && work.part === ANY_PART)) continue;
      yield unknown('part', { ...work, pointer: `${work.pointer}/part`, name: work.part }, rulebook.parts.keys());
    }
  },
};

export const plainIsPlain: Lint = {
  id: 'plain-is-plain',
  scope: 'names',
  says: 'no rule is called for by work on a part that parts.json calls plain',
  severity: 'fault',
  exceptions: [],
  *check(rulebook) {
    for (const work of workMentions(rulebook)) {
      if (!work.match || !rulebook.parts.get(work.part)?.text.plain) continue;
      yield {
        file: work.file,
        pointer: `${work.pointer}/part`,
        message: 'is plain in parts.json: work on it calls for nothing of its own',
        value: work.part,
        hint: 'take "plain" off the part, or this line out of the rule',
      };
    }
  },
};

export const knownPosition: Lint = {
  id: 'known-position',
  scope: 'names',
  says: 'every position that a rule names is one that its part can have',
  severity: 'fault',
  exceptions: [],
  *check(rulebook) {
    for (const work of workMentions(rulebook)) {
      const known = rulebook.parts.get(work.part)?.text.at ?? [];
      if (!rulebook.parts.has(work.part)) continue;
      for (const [i, position] of work.at.entries()) {
        if (known.includes(position)) continue;
        const hint =
          known.length > 0
            ? `\`${work.part}\` can be at ${known.join(', ')}`
            : `there is only one \`${work.part}\`; leave "at" out`;
        yield { ...unknown('position', { ...work, pointer: `${work.pointer}/at/${i}`, name: position }, known), hint };
      }
    }
  },
};

export const sensibleDid: Lint = {
  id: 'sensible-did',
  scope: 'names',
  says: 'what a rule says was done to a part is something that can be done to it',
  severity: 'fault',
  exceptions: [],
  *check(rulebook) {
    for (const work of workMentions(rulebook)) {
      const fault = senseless(work, rulebook);
      if (fault) yield fault;
    }
    for (const part of rulebook.parts.values()) {
      for (const [i, row] of part.implies.entries()) {
        const fault = senseless(
          { file: 'parts.json', pointer: pointer(part.id, 'implies', i), part: part.id, did: row.when, match: true },
          rulebook,
          'when',
        );
        if (fault) yield fault;
      }
    }
  },
};

export const knownState: Lint = {
  id: 'known-state',
  scope: 'names',
  says: 'every state that a rule needs or upsets is left by a follow-up or stands in states.json',
  severity: 'fault',
  exceptions: [],
  *check(rulebook, files) {
    const known = new Set([
      ...rowsOf(files, 'states.json'),
      ...[...rulebook.states.values()].filter((s) => s.leavers.length > 0).map((s) => s.id),
    ]);
    for (const mention of stateMentions(rulebook)) if (!known.has(mention.name)) yield unknown('state', mention, known);
  },
};

export const knownStep: Lint = {
  id: 'known-step',
  scope: 'names',
  says: 'every follow-up that "after" or "covers" names exists, and is another one',
  severity: 'fault',
  exceptions: [],
  *check({ followUps }) {
    for (const followUp of followUps.values()) {
      for (const mention of stepMentions(followUp)) {
        if (!followUps.has(mention.name)) yield unknown('follow-up', mention, followUps.keys());
        else if (mention.name === followUp.id)
          yield { ...where(mention), message: 'names its own file', value: mention.name };
      }
    }
  },
};

/** Row ids of a table as written; none where the table is not there or broken (the loader says so). */
export function rowsOf(files: ReadonlyMap<string, string>, table: string): string[] {
  try {
    const rows: unknown = JSON.parse((files.get(table) ?? '{}').replace(/^\uFEFF/, ''));
    return typeof rows === 'object' && rows !== null ? Object.keys(rows).filter((id) => id !== '$schema') : [];
  } catch {
    return [];
  }
}

function senseless(
  work: Pick<WorkMention, 'file' | 'pointer' | 'part' | 'did' | 'match'>,
  rulebook: Rulebook,
  key = 'did',
): Fault | undefined {
  const sensible = rulebook.parts.get(work.part)?.text.did;
  // A weaker did is met by the stronger ones that make sense.
  if (!sensible || sensible.some((did) => did === work.did || (work.match && reaches(did, work.did)))) return undefined;
  return {
    file: work.file,
    pointer: `${work.pointer}/${key}`,
    message: `makes no sense for \`${work.part}\``,
    value: work.did,
    hint: `it can be ${sensible.join(', ')}`,
    ...near(work.did, sensible),
  };
}

function where({ file, pointer: at }: Pick<Mention, 'file' | 'pointer'>): { file: string; pointer: string } {
  return { file, pointer: at };
}

export function unknown(what: string, mention: Mention, known: Iterable<string>): Fault {
  return { ...where(mention), message: `unknown ${what}`, value: mention.name, ...near(mention.name, known) };
}
