/** The forms of words: plurals of nouns, and every form of a regular verb. English only. */

/** Words that a name may have or leave out: "pump in the tank" is a tank pump. */
export const SMALL: ReadonlySet<string> = new Set(['the', 'a', 'an', 'of', 'on', 'in', 'to', 'its']);

/** "bearings" -> "bearing"; a word that only ends like a plural stays. */
export function singular(word: string): string {
  if (word.length < 4 || !word.endsWith('s') || /(ss|us|is)$/.test(word)) return word;
  if (word.endsWith('ies') && word.length > 4) return `${word.slice(0, -3)}y`;
  if (/(ch|sh|x|ss)es$/.test(word)) return word.slice(0, -2);
  return word.slice(0, -1);
}

/** All forms of a verb; one that is a form already ("hung", "supplied") stands for itself. */
export function verbForms(base: string): string[] {
  if (/(ed|ing)$/.test(base) && base.length > 4) return [base, `${base}s`];
  if (base.endsWith('e')) return [base, `${base}s`, `${base}d`, `${base.slice(0, -1)}ing`];
  if (/[^aeiou]y$/.test(base)) return [base, `${base.slice(0, -1)}ies`, `${base.slice(0, -1)}ied`, `${base}ing`];
  const forms = [base, `${base}s`, `${base}es`, `${base}ed`, `${base}ing`];
  // One vowel before one consonant: "fit", "fitted". After a longer word both spellings are met: "programed".
  if (!/[^aeiou][aeiou][^aeiouwxy]$/.test(base)) return forms;
  const twice = base + base.at(-1);
  return [...forms, `${twice}ed`, `${twice}ing`];
}

/** Whether two words are one slip apart: a letter too many, too few, another, or two swapped. */
export function oneSlip(a: string, b: string): boolean {
  if (Math.abs(a.length - b.length) > 1) return false;
  let at = 0;
  while (at < a.length && a[at] === b[at]) at++;
  const [restA, restB] = [a.slice(at), b.slice(at)];
  if (a.length > b.length) return restA.slice(1) === restB;
  if (a.length < b.length) return restA === restB.slice(1);
  if (restA.slice(1) === restB.slice(1)) return true;
  return restA[0] === restB[1] && restA[1] === restB[0] && restA.slice(2) === restB.slice(2);
}
