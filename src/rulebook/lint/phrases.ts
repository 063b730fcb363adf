import { type Fault, pointer } from '../fault.ts';
import { near } from '../read.ts';
import { reaches, type Rulebook } from '../rulebook.ts';
import { type Did, DIDS } from '../schema.ts';
import type { Lint } from './lint.ts';

/** The words by which lines and complaints are read: what they name exists, and each says one thing. */

const WORDS = 'words.json';
const COMPLAINTS = 'complaints.json';

export const wordsKnown: Lint = {
  id: 'words-known',
  scope: 'names',
  says: 'every part, system, sign and source that words.json and complaints.json name exists, and what is said to be done to a part can be',
  severity: 'fault',
  exceptions: [],
  *check(rulebook) {
    for (const { file, at, part, did } of partsNamed(rulebook)) {
      const row = rulebook.parts.get(part);
      if (!row) yield { file, pointer: at, message: 'unknown part', value: part, ...near(part, rulebook.parts.keys()) };
      else if (did && !can(row.text.did ?? DIDS, did))
        yield {
          file,
          pointer: at,
          message: `\`${did}\` makes no sense for \`${part}\``,
          value: did,
          hint: `it can be ${row.text.did?.join(', ')}`,
        };
    }
    const systems = new Set([...rulebook.parts.values()].map(({ text }) => text.system));
    for (const [i, { 'by-system': bySystem }] of (rulebook.words?.follows ?? []).entries())
      for (const system of Object.keys(bySystem))
        if (!systems.has(system))
          yield {
            file: WORDS,
            pointer: pointer('follows', i, 'by-system', system),
            message: 'no part is of this system',
            value: system,
            ...near(system, systems),
          };
    yield* ofComplaints(rulebook);
  },
};

function* ofComplaints({ complaints, sources }: Rulebook): Iterable<Fault> {
  const signs = Object.keys(complaints?.signs ?? {});
  for (const [i, sign] of (complaints?.deniable ?? []).entries())
    if (!signs.includes(sign))
      yield {
        file: COMPLAINTS,
        pointer: pointer('deniable', i),
        message: 'unknown sign',
        value: sign,
        ...near(sign, signs),
      };
  for (const [id, row] of Object.entries(complaints?.elsewhere ?? {}))
    for (const [i, source] of row.sources.entries())
      if (!sources.has(source))
        yield {
          file: COMPLAINTS,
          pointer: pointer('elsewhere', id, 'sources', i),
          message: 'unknown source',
          value: source,
          ...near(source, sources.keys()),
        };
}

function* partsNamed({ words, complaints }: Rulebook): Iterable<{ file: string; at: string; part: string; did?: Did }> {
  for (const [i, { gives }] of (words?.works ?? []).entries())
    for (const [j, { part, did }] of gives.entries())
      yield { file: WORDS, at: pointer('works', i, 'gives', j), part, did };
  for (const [i, row] of (words?.follows ?? []).entries()) {
    for (const [before, part] of Object.entries(row['by-part'])) {
      const at = pointer('follows', i, 'by-part', before);
      yield { file: WORDS, at, part: before };
      yield { file: WORDS, at, part, did: row.did };
    }
    for (const [system, part] of Object.entries(row['by-system']))
      yield { file: WORDS, at: pointer('follows', i, 'by-system', system), part, did: row.did };
  }
  for (const [id, { parts = [] }] of Object.entries(complaints?.elsewhere ?? {}))
    for (const [i, part] of parts.entries()) yield { file: COMPLAINTS, at: pointer('elsewhere', id, 'parts', i), part };
}

/** A weaker deed is met by a stronger one that makes sense. */
function can(able: readonly Did[], did: Did): boolean {
  return able.some((one) => one === did || reaches(one, did));
}

export const oneMeaning: Lint = {
  id: 'one-meaning',
  scope: 'names',
  says: 'no word or phrase of words.json stands for two things, and no fault of complaints.json has the name of a follow-up',
  severity: 'fault',
  exceptions: [],
  *check({ words, complaints, followUps }) {
    if (words) {
      yield* twice(
        Object.entries(words.did).flatMap(([did, verbs]) =>
          (verbs ?? []).map((text, i) => ({ text: text.split('|')[0] ?? '', says: did, at: pointer('did', did, i) })),
        ),
      );
      yield* twice(
        Object.entries(words.passes).flatMap(([kind, texts]) =>
          (texts ?? []).map((text, i) => ({ text, says: kind, at: pointer('passes', kind, i) })),
        ),
      );
      yield* twice(
        words.works.flatMap(({ words: texts, gives }, n) =>
          texts.map((text, i) => ({ text, says: works(gives), at: pointer('works', n, 'words', i) })),
        ),
      );
      yield* twice(
        Object.entries(words.means).map(([key, text]) => ({
          text: key.replaceAll('+', '&'),
          says: text,
          at: pointer('means', key),
        })),
      );
    }
    for (const id of Object.keys(complaints?.elsewhere ?? {}))
      if (followUps.has(id))
        yield {
          file: COMPLAINTS,
          pointer: pointer('elsewhere', id),
          message: 'has the name of a follow-up',
          value: id,
          hint: 'give the fault a name of its own',
        };
  },
};

function works(gives: readonly { readonly part: string; readonly did: Did }[]): string {
  return gives.map(({ part, did }) => `${part} ${did}`).join(', ') || 'a follow-up';
}

function* twice(
  rows: readonly { readonly text: string; readonly says: string; readonly at: string }[],
): Iterable<Fault> {
  const first = new Map<string, { says: string; at: string }>();
  for (const { text, says, at } of rows) {
    const had = first.get(text.toLowerCase());
    if (!had) first.set(text.toLowerCase(), { says, at });
    else if (had.says !== says)
      yield {
        file: WORDS,
        pointer: at,
        message: `stands for \`${says}\` here and for \`${had.says}\` at ${had.at}`,
        value: text,
        hint: 'only one of them is ever read: take one out',
      };
  }
}
