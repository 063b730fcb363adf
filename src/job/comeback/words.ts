import type { ComplaintsFile } from '../../rulebook/tables.ts';

/** A word of a complaint, cut to its stem. */
export interface Said {
  readonly stem: string;
  /** 1; less where it tells what was done rather than what is wrong. */
  readonly weight: number;
}

type Table = Pick<ComplaintsFile, 'signs' | 'written-as' | 'passed-over' | 'sets-aside' | 'set-ahead' | 'work-words'>;

/** How far what was done reaches behind "since", and how near to a word such as "replaced" it stands. */
const REACH = { ahead: 6, beside: 3 };
const ASIDE = 0.3;
const JOINTS = /\b(but|however|although|though|while|whereas|then)\b/g;
const CLAUSES = new RegExp(`[.,;:!?()"\\n–—]+|\\s-\\s|${JOINTS.source.replace('(', '(?:')}`);

/**
 * Reads what somebody said, clause by clause: spelling and abbreviations made one, words that say nothing left out, and
 * clauses that say what is in order. Deterministic.
 */
export class Words {
  private readonly over: ReadonlySet<string>;
  private readonly fine: ReadonlySet<string>;
  private readonly ahead: ReadonlySet<string>;
  private readonly work: ReadonlySet<string>;
  private readonly written: ReadonlyMap<string, readonly string[]>;
  /** Signs that reach over a joint: "starts then dies". */
  private readonly whole: RegExp | undefined;

  constructor(table: Table) {
    this.over = new Set(table['passed-over']);
    this.fine = new Set(table['sets-aside']);
    this.ahead = new Set(table['set-ahead']);
    this.work = new Set(table['work-words']);
    const jointed = Object.values(table.signs)
      .flat()
      .map(plain)
      .filter((phrase) => phrase.match(JOINTS) && /^[a-z ]+$/.test(phrase));
    this.whole = jointed.length > 0 ? new RegExp(`\\b(?:${jointed.join('|')})\\b`, 'g') : undefined;
    this.written = new Map(Object.entries(table['written-as']).map(([word, as]) => [word, as.split(' ')]));
  }

  clauses(text: string): Said[][] {
    const said = plain(text);
    return (this.whole ? said.replace(this.whole, kept) : said)
      .split(CLAUSES)
      .map((clause) => this.clause(clause))
      .filter((clause) => clause.length > 0);
  }

  /** Words of a phrase of the rulebook: nothing in it is set aside. */
  phrase(text: string): string[] {
    return this.wordsOf(kept(plain(text)))
      .filter((word) => !this.over.has(word) && !this.ahead.has(word))
      .map(stem);
  }

  private wordsOf(text: string): string[] {
    return text
      .split(/[^a-z0-9]+/)
      .filter(Boolean)
      .flatMap((word) => this.written.get(word) ?? [word]);
  }

  private clause(text: string): Said[] {
    const words = this.wordsOf(text);
    if (words.some((word, i) => this.fine.has(word) && words[i - 1] !== 'not')) return [];
    const aside = this.asideOf(words);
    return words.flatMap((word, i) =>
      this.over.has(word) || this.ahead.has(word) ? [] : [{ stem: stem(word), weight: aside.has(i) ? ASIDE : 1 }],
    );
  }

  /** Places of the words that tell of the work: behind "since", or beside "replaced". */
  private asideOf(words: readonly string[]): Set<number> {
    const aside = new Set<number>();
    const opened = words.findIndex((word) => this.ahead.has(word));
    const done = words.findIndex((word, i) => i > opened && this.work.has(word));
    if (opened >= 0) {
      const told = done >= 0 && done - opened <= REACH.ahead;
      // "since you changed the battery": what was done stands behind the verb.
      const near = told ? (done - opened <= 2 ? done + REACH.beside : done) : opened + REACH.ahead - 2;
      for (let i = opened; i <= near; i++) aside.add(i);
    } else if (done >= 0) {
      for (let i = done - REACH.beside; i <= done + REACH.beside; i++) aside.add(i);
    }
    return aside;
  }
}

/** A joint that belongs to a sign is a word of it, under a spelling that nobody types. */
function kept(text: string): string {
  return text.replace(JOINTS, 'j$1');
}

/** Small letters without accents; "won't" and "does not" alike. */
function plain(text: string): string {
  return text
    .normalize('NFKD')
    .replace(/[\u0300-\u036f]/g, '')
    .toLowerCase()
    .replace(/[\u2018\u2019\u02bc`]/g, "'")
    .replace(/\bwon't\b/g, 'will not')
    .replace(/\bcan't\b/g, 'can not')
    .replace(/n't\b/g, ' not')
    .replace(/'/g, '')
    .replace(/@/g, ' at ')
    .replace(/\ba\s?\/\s?c\b/g, 'air conditioning');
}

const DOUBLED = /([bdfgmnprt])\1$/;

/** Cuts English endings, roughly: what matters is that two forms of one word end alike. */
export function stem(word: string): string {
  if (word.length <= 3 || /\d/.test(word)) return word;
  let cut = word;
  if (cut.endsWith('ies')) cut = `${cut.slice(0, -3)}y`;
  else if (/(ss|x|ch|sh)es$/.test(cut)) cut = cut.slice(0, -2);
  else if (cut.endsWith('s') && !/(ss|us|is)$/.test(cut)) cut = cut.slice(0, -1);
  if (cut.length > 5 && cut.endsWith('ing')) cut = undouble(cut.slice(0, -3));
  else if (cut.length > 4 && cut.endsWith('ed')) cut = undouble(cut.slice(0, -2));
  else if (cut.length > 5 && cut.endsWith('ly')) cut = cut.slice(0, -2);
  return cut.length > 3 && cut.endsWith('e') ? cut.slice(0, -1) : cut;
}

function undouble(cut: string): string {
  return DOUBLED.test(cut) && cut.length > 3 ? cut.slice(0, -1) : cut;
}
