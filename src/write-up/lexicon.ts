import type { Part, Rulebook } from '../rulebook/rulebook.ts';
import type { Did } from '../rulebook/schema.ts';
import type { PASSES, WordsFile } from '../rulebook/tables.ts';
import { singular, SMALL, verbForms } from './forms.ts';
import { openLine, type Opened, type Shorthand } from './split.ts';
import { Spelling } from './spelling.ts';

/** What a verb says was done; "fitted" = replaced, unless it was taken off in the same breath. */
export interface Verb {
  readonly did: Did | 'fitted';
  readonly base: string;
  /** It tells of what was done: "replaced", not "replace". */
  readonly past: boolean;
}

/** Words of the catalogue or of a set phrase; a word that begins with "=" is a verb in any form. */
export interface Phrase {
  readonly words: readonly string[];
  /** Words that must stand in the plural. */
  readonly plural: ReadonlySet<string>;
  readonly gives: readonly { readonly part: string; readonly did?: Did }[];
  /** Gives nothing: a part that the rulebook has not, or a follow-up. */
  readonly passes?: 'unknown-part' | 'follow-up';
}

export interface PassPhrase {
  readonly kind: (typeof PASSES)[number];
  readonly words: readonly string[];
}

/** Everything that lines are read by, made once of a rulebook. */
export interface Lexicon {
  readonly parts: ReadonlyMap<string, Part>;
  readonly words: WordsFile;
  readonly shorthand: Shorthand;
  readonly verbs: ReadonlyMap<string, Verb>;
  /** By their words, in any order. */
  readonly phrases: ReadonlyMap<string, readonly Phrase[]>;
  /** Phrases whose part hangs on what was named before, by their words in order. */
  readonly follows: ReadonlyMap<string, WordsFile['follows'][number]>;
  /** Of every phrase every choice of its words: what is not in here leads to none. */
  readonly towards: ReadonlySet<string>;
  /** Words that a phrase may hold. */
  readonly ofPhrases: ReadonlySet<string>;
  /** By their first word, longest first. */
  readonly passes: ReadonlyMap<string, readonly PassPhrase[]>;
  readonly soft: ReadonlySet<string>;
  readonly filler: ReadonlySet<string>;
  readonly heads: ReadonlySet<string>;
  readonly begins: ReadonlySet<string>;
  /** Nouns that the names of many parts end with. */
  readonly shared: ReadonlySet<string>;
  readonly spelling: Spelling;
}

const made = new WeakMap<Rulebook, Lexicon>();

/** The lexicon of a rulebook; undefined: it has no words to read by. */
export function lexiconOf(rulebook: Rulebook): Lexicon | undefined {
  if (!rulebook.words) return undefined;
  const known = made.get(rulebook) ?? makeLexicon(rulebook.parts, rulebook.words);
  made.set(rulebook, known);
  return known;
}

function makeLexicon(parts: ReadonlyMap<string, Part>, words: WordsFile): Lexicon {
  const shorthand = shorthandOf(words);
  const verbs = verbsOf(words);
  const whole = (text: string) => openLine(text.replaceAll(/\([^)]*\)/g, ' '), shorthand).filter(isWord);
  const rough = (text: string) => whole(text).filter((word) => !SMALL.has(word.text));
  const raw = [
    ...[...parts].flatMap(([part, { text }]) =>
      namesOf(text.title, text.aka).map((name) => ({ name, gives: [{ part }] })),
    ),
    ...words['not-here'].map((name) => ({ name, gives: [] })),
    ...words.works.flatMap(({ words: names, gives }) => names.map((name) => ({ name, gives, work: true }))),
  ].map(({ name, ...rest }) => ({ ...rest, words: rough(name) }));
  const listed = new Set(raw.flatMap(({ words: own }) => own.flatMap(({ text }) => [text, singular(text)])));
  const phrases = new Map<string, Phrase[]>();
  for (const { words: own, gives, ...work } of raw) {
    const passes =
      gives.length > 0 ? {} : { passes: 'work' in work ? ('follow-up' as const) : ('unknown-part' as const) };
    const phrase = { ...phraseOf(merged(own, listed), gives, 'work' in work ? verbs : new Map()), ...passes };
    if (phrase.words.length > 0) put(phrases, bagKey(phrase.words), phrase);
  }
  dropPlaced(phrases);
  const follows = new Map(
    words.follows.flatMap((row) =>
      row.words.map((text) => [phraseOf(rough(text), [], verbs).words.join(' '), row] as const),
    ),
  );
  const passes = passesOf(words, (text) => whole(text).map((word) => singular(word.text)));
  const ofPhrases = new Set([...phrases.values()].flat().flatMap((phrase) => phrase.words));
  const sets = { soft: new Set(words.soft), filler: new Set(words.filler), heads: new Set(words.heads) };
  const begins = new Set(words.begins);
  const shared = sharedNouns([...phrases.values()].flat());
  const kept = [...words.plain, ...[...passes.values()].flat().flatMap((pass) => pass.words)];
  const spelling = new Spelling({
    listed,
    ofPhrases,
    forms: verbs.keys(),
    kept: [...kept, ...sets.soft, ...sets.filler, ...sets.heads, ...begins, ...shorthand.places.keys()],
  });
  const towards = new Set([...phrases.values()].flat().flatMap((phrase) => choicesOf(phrase.words)));
  return {
    parts,
    words,
    shorthand,
    verbs,
    phrases,
    follows,
    towards,
    ofPhrases,
    passes,
    ...sets,
    begins,
    shared,
    spelling,
  };
}

const MANY = 6;

function sharedNouns(phrases: readonly Phrase[]): Set<string> {
  const parts = new Map<string, Set<string>>();
  for (const { words, gives } of phrases) {
    const noun = words.at(-1) as string;
    const named = parts.get(noun) ?? new Set();
    parts.set(noun, new Set([...named, ...gives.filter(({ did }) => !did).map(({ part }) => part)]));
  }
  return new Set([...parts].flatMap(([noun, named]) => (named.size >= MANY ? [noun] : [])));
}

/** A title that names two things or more is no name; a name with a bracket, "hood (UK)", is not one everywhere. */
export function namesOf(title: string, aka: readonly string[] = []): string[] {
  return [...(/,| or /.test(title) ? [] : [title]), ...aka.filter((name) => !name.includes('('))];
}

function shorthandOf({ means, places, passes }: WordsFile): Shorthand {
  const glued = Object.values(passes)
    .flat()
    .filter((text) => /^\S*[&/.'-]\S*$/.test(text) && text.length > 1);
  const own = Object.entries(means).map(([key, text]) => [key.replaceAll('+', '&'), text.split(' ')] as const);
  return {
    means: new Map<string, readonly string[]>([...glued.map((text) => [text, [text]] as const), ...own]),
    places: new Map(Object.entries(places).map(([key, place]) => [key.replaceAll('+', '&'), place])),
  };
}

function verbsOf({ did }: WordsFile): Map<string, Verb> {
  const verbs = new Map<string, Verb>();
  for (const [name, bases] of Object.entries(did))
    for (const text of bases ?? []) {
      const [base = '', ...irregular] = text.split('|');
      for (const form of [...verbForms(base), ...irregular])
        verbs.set(form, { did: name as Verb['did'], base, past: !/^(.+ing|.+s)$/.test(form) && form !== base });
    }
  return verbs;
}

function phraseOf(own: readonly Opened[], gives: Phrase['gives'], verbs: ReadonlyMap<string, Verb>): Phrase {
  const words = own.flatMap(({ text, place }): readonly string[] => {
    const verb = verbs.get(text);
    return place ?? (verb ? [`=${verb.base}`] : [singular(text)]);
  });
  const alone = verbs.size > 0 || words.length === 1;
  const plural = own
    .filter(({ text }) => alone && singular(text) !== text && !verbs.has(text))
    .map(({ text }) => singular(text));
  return { words, plural: new Set(plural), gives };
}

/** Neighbours that the catalogue also writes as one word become one: "clock spring" -> "clockspring". */
export function merged<T extends Opened>(words: readonly T[], listed: ReadonlySet<string>): T[] {
  const result: T[] = [];
  for (let at = 0; at < words.length; at++) {
    const [word, next] = [words[at] as T, words[at + 1]];
    const joined = next && isWord(word) && isWord(next) ? word.text + next.text : undefined;
    if (next && joined && (listed.has(joined) || listed.has(singular(joined)))) {
      const { place: _, ...rest } = word;
      result.push({ ...(rest as T), text: joined, to: next.to });
      at++;
    } else result.push(word);
  }
  return result;
}

export function isWord({ text }: Opened): boolean {
  return /[\p{L}\p{N}]/u.test(text);
}

function passesOf({ passes }: WordsFile, words: (text: string) => string[]): Map<string, PassPhrase[]> {
  const byFirst = new Map<string, PassPhrase[]>();
  for (const [kind, texts] of Object.entries(passes))
    for (const text of texts ?? []) {
      const own = /[\p{L}\p{N}]/u.test(text) ? words(text) : [text];
      if (own[0] !== undefined) put(byFirst, own[0], { kind: kind as PassPhrase['kind'], words: own });
    }
  for (const list of byFirst.values()) list.sort((a, b) => b.words.length - a.words.length);
  return byFirst;
}

/** A name that only adds an axle to another name of its part ("front spring") would take the place from the line. */
function dropPlaced(phrases: Map<string, Phrase[]>): void {
  for (const [key, list] of phrases) {
    const rest = list[0]?.words.filter((word) => word !== 'front' && word !== 'rear') ?? [];
    if (rest.length === 0 || rest.length === list[0]?.words.length) continue;
    const parts = (some: readonly Phrase[] = []) =>
      [...new Set(some.flatMap(({ gives }) => gives.map(({ part }) => part)))].join();
    if (parts(phrases.get(bagKey(rest))) === parts(list)) phrases.delete(key);
  }
}

/** The same for the same words in any order. */
export function bagKey(words: readonly string[]): string {
  return [...words].sort().join(' ');
}

function choicesOf(words: readonly string[]): string[] {
  const choices = words.reduce<string[][]>((all, word) => [...all, ...all.map((some) => [...some, word])], [[]]);
  return choices.map(bagKey);
}

function put<T>(map: Map<string, T[]>, key: string, value: T): void {
  const list = map.get(key);
  if (list) list.push(value);
  else map.set(key, [value]);
}
