import { type Fault, pointer } from '../rulebook/fault.ts';
import type { Lint } from '../rulebook/lint/lint.ts';
import type { Rulebook } from '../rulebook/rulebook.ts';
import { readClauses } from './clauses.ts';
import { type Lexicon, lexiconOf, namesOf } from './lexicon.ts';
import { findMentions, type Mention } from './mentions.ts';
import { openLine } from './split.ts';
import { readWords } from './words.ts';

/** Words that stand in the table but that no line, as lines are taken apart, can ever be read by. */

const FILE = 'words.json';

export const shorthandIsRead: Lint = {
  id: 'shorthand-is-read',
  scope: 'tables',
  says: 'every abbreviation and every word for a place is found when it stands in a line',
  severity: 'remark',
  exceptions: [],
  *check(rulebook) {
    const lexicon = lexiconOf(rulebook);
    if (!lexicon) return;
    const { means, places } = lexicon.words;
    for (const table of [means, places])
      for (const key of Object.keys(table)) {
        // Behind a word and before one, as it stands on a sheet.
        const whole = openLine(`xx ${key} xx`, lexicon.shorthand);
        const found = whole.some(({ from, to }) => from === 3 && to === 3 + key.length);
        if (found && (table === places || !alone(key, lexicon))) continue;
        yield {
          file: FILE,
          pointer: pointer(table === means ? 'means' : 'places', key),
          message: 'is never found in a line',
          value: key,
          hint: 'lines are taken apart at blanks and at marks, five pieces at most: write it as it comes out, in small letters',
        };
      }
  },
};

/** It comes out as it went in, though it stands for something else. */
function alone(key: string, { shorthand, words }: Lexicon): boolean {
  const out = openLine(key, shorthand)
    .map(({ text }) => text)
    .join(' ');
  return out === key.toLowerCase() && words.means[key] !== key && !Object.hasOwn(words.places, key);
}

export const phraseIsRead: Lint = {
  id: 'phrase-is-read',
  scope: 'tables',
  says: 'every set phrase, every part that is not here and every phrase by which a piece is no work is understood where it stands by itself',
  severity: 'remark',
  exceptions: [],
  *check(rulebook) {
    const lexicon = lexiconOf(rulebook);
    if (!lexicon) return;
    const { works, passes, 'not-here': notHere } = lexicon.words;
    for (const [n, { words, gives }] of works.entries())
      for (const [i, text] of words.entries()) {
        const wanted = gives.map(({ part, did }) => `${part} ${did}`).join();
        const isIt = (one: Mention) =>
          gives.length === 0
            ? one.passes === 'follow-up'
            : one.works.map(({ part, did }) => `${part} ${did}`).join() === wanted;
        yield* unread(text, pointer('works', n, 'words', i), mentionsIn(text, lexicon), isIt);
      }
    for (const [i, text] of notHere.entries())
      yield* unread(text, pointer('not-here', i), mentionsIn(text, lexicon), (one) => one.passes === 'unknown-part');
    for (const [kind, texts] of Object.entries(passes))
      for (const [i, text] of (texts ?? []).entries()) {
        const read = readWords(text, lexicon, new Map());
        const marks = readClauses(read, [], lexicon).flatMap(({ pieces }) => pieces.flatMap((piece) => piece.marks));
        if (!marks.some((mark) => mark.kind === kind) && /[\p{L}\p{N}]/u.test(text))
          yield never(text, pointer('passes', kind, i), 'words');
      }
  },
};

function mentionsIn(text: string, lexicon: Lexicon): Mention[] {
  return findMentions(readWords(text, lexicon, new Map()), lexicon);
}

function* unread(
  text: string,
  at: string,
  mentions: readonly Mention[],
  isIt: (one: Mention) => boolean,
): Iterable<Fault> {
  if (mentions.some(isIt)) return;
  const [other] = mentions;
  const instead = other ? (other.parts[0] ?? other.works[0]?.part ?? other.passes ?? '') : '';
  yield never(text, at, instead ? `read as \`${instead}\`` : 'nothing is read');
}

function never(text: string, at: string, instead: string): Fault {
  return {
    file: FILE,
    pointer: at,
    message: 'is never understood',
    value: text,
    hint: `${instead}: another phrase or an abbreviation takes its words; write it as it comes out, or take it out`,
  };
}

export const nameIsRead: Lint = {
  id: 'name-is-read',
  scope: 'tables',
  says: 'every name of a part is read as that part, or as one of those that share the name',
  severity: 'remark',
  exceptions: [],
  *check(rulebook) {
    const lexicon = lexiconOf(rulebook);
    if (!lexicon) return;
    for (const [part, { text }] of rulebook.parts)
      for (const name of namesOf(text.title, text.aka)) {
        // "seal, front" stands for its words in any order; a comma in a line would part them.
        const read = mentionsIn(name.replaceAll(',', ' '), lexicon);
        if (read.some((one) => one.parts.includes(part) || one.works.some((work) => work.part === part))) continue;
        yield {
          file: 'parts.json',
          pointer: `${pointer(part)}${place(rulebook, part, name)}`,
          message: 'is a name by which the part is never found in a line',
          value: name,
        };
      }
  },
};

function place({ parts }: Rulebook, part: string, name: string): string {
  const at = (parts.get(part)?.text.aka ?? []).indexOf(name);
  return at < 0 ? '/title' : pointer('aka', at);
}

export const WORD_LINTS: readonly Lint[] = [shorthandIsRead, phraseIsRead, nameIsRead];
