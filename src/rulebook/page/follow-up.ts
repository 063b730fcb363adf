import type { FollowUp, Rulebook } from '../rulebook.ts';
import type { Example } from '../schema.ts';
import { carsText, makerName, modelName } from './cars.ts';
import { citedIn, type Cited } from './cited.ts';
import { proofOf, waysOf } from './how.ts';
import { neighboursIn, type Neighbours } from './neighbours.ts';
import { placeInOrder } from './order.ts';
import { type Entry, type Page, sections } from './page.ts';
import { codesOf, whatDecides, whenCalled, whenNot } from './when.ts';
import { doneWord, entry, list, lower, partTitle, spaced } from './words.ts';
import type { Did } from '../schema.ts';

const PHASE_WORDS = { before: 'before work starts', apart: 'while parts are off', after: 'after assembly' } as const;

/**
 * Everything the rulebook says of a follow-up, its own file and what others say of it, from nothing but the rules.
 */
export function followUpPage(followUp: FollowUp, book: Rulebook): Page {
  const { id, title, text, phase, safety, system } = followUp;
  const cited = citedIn(followUp, book);
  const near: Neighbours = neighboursIn(book).get(id) ?? { doers: [], done: [], followers: [], coverers: [] };
  return {
    of: 'follow-up',
    id,
    title,
    aka: text.aka ?? [],
    kind: `${text.kind}, ${PHASE_WORDS[phase]}`,
    system,
    safety,
    purpose: text.purpose,
    sections: sections(
      ['cautions', 'Cautions', (text.cautions ?? []).map((caution) => entry(caution, { label: 'Caution' }))],
      ['when', 'When it is called for', whenCalled(followUp, book, cited, near)],
      ['not', 'When it is not', whenNot(followUp, book, cited)],
      ['decides', 'What decides', whatDecides(followUp, book)],
      ['skipped', 'If it is skipped', skippedEntries(followUp, book, cited)],
      ['order', 'Its place in the order', placeInOrder(followUp, book, cited, near)],
      [
        'how',
        followUp.ways.length > 1 ? 'How: the first way that fits, and whose tool is there' : 'How',
        waysOf(followUp, book, cited),
      ],
      ['proof', 'It took, if', proofOf(followUp, book, cited)],
      ['codes', 'Codes', codesOf(followUp, book, cited)],
      ['cases', 'Cases that hold', text.examples.map((example) => caseEntry(example, book))],
    ),
    sources: cited.sources,
  };
}

const SETS_IN = {
  'at-once': 'at once',
  'same-day': 'the same day',
  days: 'within days',
  weeks: 'within weeks',
  months: 'within months',
} as const;

function skippedEntries({ text }: FollowUp, book: Rulebook, cited: Cited): Entry[] {
  return text.skipped.map((row) => {
    const cars = carsText(book, row);
    return entry(`${row.notice}${cars ? `; on cars ${cars}` : ''}`, {
      label: `Shows ${SETS_IN[row['sets-in']]}${row.silent ? ', and nothing lights up' : ''}`,
      basis: cited.basis(row.sources),
      under: row.said?.length
        ? [entry(row.said.map((said) => `\u201c${said}\u201d`).join(', '), { label: 'Customers say' })]
        : [],
    });
  });
}

const VERDICT = { needed: 'Needed', excluded: 'Not called for', undecided: 'Open' } as const;

function caseEntry(example: Example, book: Rulebook): Entry {
  const { maker, model, 'model-year': year } = example;
  const car = [maker ? makerName(book, maker) : '', model ? modelName(model) : '', year ?? '']
    .filter(Boolean)
    .join(' ');
  const traits = Object.entries(example.traits ?? {}).map(([trait, value]) => {
    const row = book.traits.get(trait);
    const words = (one: unknown) => row?.values?.[String(one)] ?? String(one);
    const told = value === null ? 'looked, cannot tell' : [value].flat().map(words).join(' or ');
    return `${lower(row?.title ?? spaced(trait))}: ${told}`;
  });
  const answers = Object.entries(example.answers ?? {}).map(
    ([question, answer]) => `${answerTo(question, book)}: ${spaced(String(answer))}`,
  );
  const parts = [
    ...(example.work ?? []).map((line) => lineText(line, book)),
    ...(example.codes?.length ? [`code ${list(example.codes, 'and')}`] : []),
    car || 'maker not told',
    ...traits,
    ...answers,
    ...(example['work-done'] ? ['the work is done'] : []),
  ];
  return entry(parts.join('; '), { label: `${VERDICT[example.verdict]}${example.level ? `, ${example.level}` : ''}` });
}

/** "part did position" */
function lineText(line: string, book: Rulebook): string {
  const [part = '', did = '', ...at] = line.trim().split(/\s+/);
  const done = doneWord(did as Did);
  return `${partTitle(book, part)} ${done}${at.length > 0 ? `, ${list(at.map(spaced), 'and')}` : ''}`;
}

/** Answers are filed as "kind:id": of a state, of a follow-up, or "did:part/did" of work that may go with other work. */
function answerTo(question: string, book: Rulebook): string {
  const [kind = '', id = ''] = question.split(':');
  const [part = '', did] = id.split('/');
  if (did) return lineText(`${part} ${did}`, book);
  const title = book.states.get(id)?.title ?? book.followUps.get(id)?.title ?? spaced(id || kind);
  return kind === 'done' ? `was "${title}" done` : `"${title}"`;
}
