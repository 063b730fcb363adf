import { pointer } from '../../rulebook/fault.ts';
import type { Lint } from '../../rulebook/lint/lint.ts';
import { signsOf } from './signs.ts';

/** Words for complaints by which none can ever be understood. */

export const signIsRead: Lint = {
  id: 'sign-is-read',
  scope: 'tables',
  says: 'every phrase for a sign gives that sign when a customer says it, and every word as written is one word',
  severity: 'remark',
  exceptions: [],
  *check(rulebook) {
    const { complaints } = rulebook;
    if (!complaints) return;
    const file = 'complaints.json';
    for (const word of Object.keys(complaints['written-as']))
      if (!/^[a-z0-9]+$/.test(word))
        yield {
          file,
          pointer: pointer('written-as', word),
          message: 'is never met',
          value: word,
          hint: 'a complaint is taken apart at everything but small letters and figures: write one such word',
        };
    const signs = signsOf(rulebook);
    for (const [sign, phrases] of Object.entries(complaints.signs))
      for (const [i, phrase] of phrases.entries()) {
        const { terms } = signs.complaint(phrase);
        if (terms.has(`#${sign}`)) continue;
        const instead = [...terms.keys()].join(', ');
        yield {
          file,
          pointer: pointer('signs', sign, i),
          message: 'never gives its sign',
          value: phrase,
          hint: instead
            ? `it is read as ${instead}`
            : 'nothing is left of it: its words are passed over, or set the clause aside',
        };
      }
  },
};

export const sayingTells: Lint = {
  id: 'saying-tells',
  scope: 'telling',
  says: 'everything that customers are quoted with tells something: a sign, or a word that is not passed over',
  severity: 'fault',
  exceptions: [],
  *check(rulebook) {
    const { complaints, followUps } = rulebook;
    if (!complaints) return;
    const signs = signsOf(rulebook);
    const silent = (text: string) => signs.complaint(text).terms.size === 0;
    const says = {
      message: 'is quoted, but tells nothing when it is read',
      hint: 'all its words are passed over, or say that something is in order',
    };
    for (const { file, text } of followUps.values())
      for (const [n, row] of text.skipped.entries())
        for (const [i, said] of (row.said ?? []).entries())
          if (silent(said)) yield { file, pointer: pointer('skipped', n, 'said', i), value: said, ...says };
    for (const [id, row] of Object.entries(complaints.elsewhere))
      for (const [i, said] of row.said.entries())
        if (silent(said))
          yield { file: 'complaints.json', pointer: pointer('elsewhere', id, 'said', i), value: said, ...says };
  },
};

export const COMPLAINT_LINTS: readonly Lint[] = [signIsRead, sayingTells];
