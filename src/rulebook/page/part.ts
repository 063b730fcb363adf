import { type Call, type Implied, type Part, reaches, type Rulebook } from '../rulebook.ts';
import { type Did, DIDS } from '../schema.ts';
import { carsText } from './cars.ts';
import { citing, type Citing } from './cited.ts';
import { type Entry, type Link, type Page, sections } from './page.ts';
import { capital, didText, doneWord, entry, linksTo, list, partTitle, spaced, theyDo } from './words.ts';

const LEVEL = { required: 'Required', recommended: 'Recommended', 'not-needed': 'Not needed' } as const;
const RANK = Object.keys(LEVEL);

/** Everything that work on a part calls for: by itself, and by the work that goes with it. */
export function partPage(part: Part, book: Rulebook): Page {
  const { id, text } = part;
  const cited = citing(book);
  const at = text.at?.length ? `, at ${list(text.at.map(spaced))}` : '';
  const able = list((text.did ?? DIDS).map(doneWord));
  return {
    of: 'part',
    id,
    title: text.title,
    aka: text.aka ?? [],
    kind: `part${at}`,
    system: text.system,
    safety: false,
    purpose: text.plain ? 'Work on it calls for nothing of its own.' : `It can be ${able}.`,
    sections: sections(
      ['calls', 'What work on it calls for', calledFor(id, book, cited)],
      ['through', 'What comes with the work', through(part, book, cited)],
      ['from', 'What takes it along', from(part, book, cited)],
    ),
    sources: cited.sources,
  };
}

/** Each follow-up once, with every trigger that the work may hit. */
function calledFor(part: string, book: Rulebook, cited: Citing): Entry[] {
  const calls = (book.callsByPart.get(part) ?? []).toSorted(
    (a, b) => RANK.indexOf(a.trigger.level) - RANK.indexOf(b.trigger.level),
  );
  return [...new Set(calls.map(({ followUp }) => followUp))].map((followUp) => {
    const own = calls.filter((call) => call.followUp === followUp);
    return entry('', { links: linksTo([followUp]), under: own.map((call) => callEntry(call, book, cited)) });
  });
}

function callEntry({ followUp, trigger, match }: Call, book: Rulebook, cited: Citing): Entry {
  const at = match?.at ? ` (${list(match.at.map(spaced))})` : '';
  const cars = carsText(book, followUp.text.triggers?.[trigger.index] ?? {});
  const did = match ? didText(book, match) : '';
  return entry(`${did}${at}${cars ? `; on cars ${cars}` : ''}. ${capital(trigger.because)}`, {
    label: trigger.index < 0 ? 'Is this step itself' : LEVEL[trigger.level],
    basis: cited.of(followUp, trigger.sources),
  });
}

/** Work that goes with it, to the end of each chain, and what that calls for. */
function through(part: Part, book: Rulebook, cited: Citing): Entry[] {
  const open: { implied: Implied; of: string }[] = part.implies.map((implied) => ({ implied, of: part.id }));
  const seen = new Set<string>();
  const found: Entry[] = [];
  for (const { implied, of } of open) {
    const key = `${implied.part} ${implied.did} ${implied.because}`;
    if (seen.has(key)) continue;
    seen.add(key);
    found.push(impliedEntry(part, implied, of, book, cited));
    const next = book.parts.get(implied.part)?.implies ?? [];
    open.push(
      ...next.filter(({ when }) => reaches(implied.did, when)).map((row) => ({ implied: row, of: implied.part })),
    );
  }
  return found;
}

function impliedEntry(part: Part, implied: Implied, of: string, book: Rulebook, cited: Citing): Entry {
  const row = book.parts
    .get(of)
    ?.text.implies?.find((one) => one.part === implied.part && one.because === implied.because);
  const cars = carsText(book, row ?? {});
  const when =
    of === part.id
      ? didText(book, { part: of, did: implied.when })
      : `${partTitle(book, of)} ${doneWord(implied.when)}`;
  const called = callsOf(implied.part, implied.did, book);
  const what = `${partTitle(book, implied.part)} ${doneWord(implied.did)}`;
  return entry(
    `${when}: ${what}${implied.maybe ? ', which is asked' : ''}${cars ? `; on cars ${cars}` : ''}. ${capital(implied.because)}`,
    {
      label: implied.maybe ? 'May take with it' : 'Takes with it',
      links: [
        { of: 'part', id: implied.part, title: book.parts.get(implied.part)?.text.title ?? spaced(implied.part) },
      ],
      basis: cited.of(undefined, implied.sources),
      under: called.length > 0 ? [entry('', { label: 'Which calls for', links: called })] : [],
    },
  );
}

function callsOf(part: string, did: Did, book: Rulebook): Link[] {
  const calls = book.callsByPart.get(part) ?? [];
  const hit = calls.filter(
    ({ match, trigger }) => trigger.level !== 'not-needed' && match && reaches(did, match.did, match.exactly),
  );
  return linksTo(hit.map(({ followUp }) => followUp));
}

function from(part: Part, book: Rulebook, cited: Citing): Entry[] {
  return [...book.parts.values()].flatMap((other) =>
    other.implies
      .filter((implied) => implied.part === part.id)
      .map((implied) => {
        const links: Link[] = [{ of: 'part', id: other.id, title: other.text.title }];
        const row = other.text.implies?.find((one) => one.part === implied.part && one.because === implied.because);
        const cars = carsText(book, row ?? {});
        const when = didText(book, { part: other.id, did: implied.when });
        const does = theyDo(links, implied.maybe ? 'may take' : 'takes', `this with it as ${doneWord(implied.did)}`);
        return entry(`${when}: ${does}${cars ? `; on cars ${cars}` : ''}. ${capital(implied.because)}`, {
          label: 'Work on',
          links,
          basis: cited.of(undefined, implied.sources),
        });
      }),
  );
}
