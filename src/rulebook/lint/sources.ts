import { type Fault, pointer } from '../fault.ts';
import { near } from '../read.ts';
import type { FollowUp } from '../rulebook.ts';
import type { Reading, Way } from '../schema.ts';
import type { Lint } from './lint.ts';

/** Where each claim and each figure comes from. */

export const sourcedTriggers: Lint = {
  id: 'sourced-trigger',
  scope: 'sources',
  says: 'every trigger names its sources',
  severity: 'fault',
  exceptions: [],
  *check({ followUps }) {
    for (const { file, text } of followUps.values()) {
      for (const [i, trigger] of (text.triggers ?? []).entries()) {
        if (trigger.sources?.length) continue;
        yield {
          file,
          pointer: pointer('triggers', i),
          message: 'trigger without sources',
          hint: '"common-practice" is an answer where nothing was read',
        };
      }
    }
  },
};

export const sourcedFigures: Lint = {
  id: 'sourced-figure',
  scope: 'sources',
  says: 'every limit, drive figure, number of tries, wait and lag names its sources, or its way or file leaves no doubt',
  severity: 'fault',
  exceptions: [],
  *check({ followUps }) {
    for (const { file, text } of followUps.values()) {
      // One source for the whole file leaves no doubt whose figure it is.
      if (text.sources.length === 1) continue;
      for (const figure of figures(text)) {
        if (figure.sources?.length) continue;
        yield {
          file,
          pointer: figure.at,
          message: `${figure.what} without sources`,
          hint: 'name them there or on its way',
        };
      }
    }
  },
};

export const listedSources: Lint = {
  id: 'listed-source',
  scope: 'sources',
  says: "every source named inside a file stands in the file's own list, once",
  severity: 'fault',
  exceptions: [],
  *check({ followUps }) {
    for (const { file, text } of followUps.values()) {
      const listed = text.sources.map((s) => s.id);
      for (const { at, id } of references(text)) {
        if (!listed.includes(id))
          yield { file, pointer: at, message: "source is not in the file's list", value: id, ...near(id, listed) };
      }
      for (const [i, id] of listed.entries()) {
        if (listed.indexOf(id) < i)
          yield { file, pointer: pointer('sources', i), message: 'source is listed twice', value: id };
      }
    }
  },
};

export const knownSources: Lint = {
  id: 'known-source',
  scope: 'sources',
  says: 'every source stands in sources.json',
  severity: 'fault',
  exceptions: [],
  *check({ followUps, parts, traits, sources }) {
    const unknown = (file: string, at: string, id: string): Fault[] =>
      sources.has(id) ? [] : [{ file, pointer: at, message: 'unknown source', value: id, ...near(id, sources.keys()) }];
    for (const { file, text } of followUps.values()) {
      for (const [i, use] of text.sources.entries()) yield* unknown(file, pointer('sources', i, 'id'), use.id);
    }
    for (const part of parts.values()) {
      for (const [i, row] of part.implies.entries()) {
        for (const [j, id] of row.sources.entries())
          yield* unknown('parts.json', pointer(part.id, 'implies', i, 'sources', j), id);
      }
    }
    for (const [trait, row] of traits) {
      for (const [i, id] of (row.sources ?? []).entries())
        yield* unknown('traits.json', pointer(trait, 'sources', i), id);
      for (const [i, id] of (row.since?.sources ?? []).entries())
        yield* unknown('traits.json', pointer(trait, 'since', 'sources', i), id);
      for (const [i, likely] of (row.likely ?? []).entries()) {
        for (const [j, id] of likely.sources.entries())
          yield* unknown('traits.json', pointer(trait, 'likely', i, 'sources', j), id);
      }
    }
  },
};

export const usedSources: Lint = {
  id: 'used-source',
  scope: 'sources',
  says: 'every source in the list of a file is named inside it, unless it is the only one',
  severity: 'fault',
  exceptions: [],
  *check({ followUps }) {
    for (const { file, text } of followUps.values()) {
      if (text.sources.length === 1) continue;
      const used = new Set([...references(text)].map((r) => r.id));
      for (const [i, { id }] of text.sources.entries()) {
        if (!used.has(id))
          yield { file, pointer: pointer('sources', i), message: 'source is named nowhere in this file', value: id };
      }
    }
  },
};

export const statedBasis: Lint = {
  id: 'stated-basis',
  scope: 'sources',
  says: 'a file has sources; one that was read says when, and what nobody published was not read',
  severity: 'fault',
  exceptions: [],
  *check({ followUps, sources }) {
    for (const { file, text } of followUps.values()) {
      if (text.sources.length === 0)
        yield {
          file,
          pointer: '/sources',
          message: 'file has no sources',
          hint: '"common-practice" is an answer where nothing was read',
        };
      for (const [i, use] of text.sources.entries()) {
        const at = { file, pointer: pointer('sources', i) };
        const kind = sources.get(use.id)?.kind;
        if (use.basis === 'read' && use['read-on'] === undefined)
          yield { ...at, message: 'basis `read` wants "read-on"', value: use.id };
        if (use.basis === 'read' && (kind === 'memory' || kind === 'common-practice')) {
          yield {
            ...at,
            pointer: `${at.pointer}/basis`,
            message: `\`${use.id}\` is nothing that can be read`,
            value: use.basis,
            hint: `write ${kind}`,
          };
        }
      }
    }
  },
};

interface Figure {
  readonly at: string;
  readonly what: string;
  readonly sources: readonly string[] | undefined;
}

function* figures(text: FollowUp['text']): Iterable<Figure> {
  yield* readings(text.proof, pointer('proof'), undefined);
  yield* lags(text.needs, '', undefined);
  for (const [i, way] of text.ways.entries()) yield* figuresOfWay(way, pointer('ways', i));
}

function* figuresOfWay(way: Way, at: string): Iterable<Figure> {
  const { drive, tries, closing, minutes, sources } = way;
  yield* readings(way.entry, `${at}/entry`, sources);
  yield* readings(way.proof, `${at}/proof`, sources);
  yield* lags(way.needs, at, sources);
  if (drive && Object.values(drive).some((v) => typeof v === 'number'))
    yield { at: `${at}/drive`, what: 'drive figures', sources: drive.sources ?? sources };
  if (tries) yield { at: `${at}/tries`, what: 'number of tries', sources: tries.sources ?? sources };
  if (closing?.wait) yield { at: `${at}/closing/wait`, what: 'wait', sources: closing.sources ?? sources };
  if (minutes?.wait !== undefined) yield { at: `${at}/minutes/wait`, what: 'wait', sources };
}

function* readings(
  list: readonly Reading[] | undefined,
  at: string,
  fallback: readonly string[] | undefined,
): Iterable<Figure> {
  for (const [i, reading] of (list ?? []).entries()) {
    for (const [j, limit] of (reading.limits ?? []).entries()) {
      if (isFigure(limit))
        yield { at: at + pointer(i, 'limits', j), what: 'limit', sources: limit.sources ?? fallback };
    }
  }
}

function* lags(
  needs: FollowUp['text']['needs'],
  at: string,
  fallback: readonly string[] | undefined,
): Iterable<Figure> {
  for (const [i, need] of (needs ?? []).entries()) {
    if (need.within) yield { at: at + pointer('needs', i, 'within'), what: 'lag', sources: need.sources ?? fallback };
  }
}

function isFigure(limit: NonNullable<Reading['limits']>[number]): boolean {
  return limit.min !== undefined || limit.max !== undefined;
}

/** Every inner "sources" list of a file; the outermost one is the list they refer to. */
function* references(text: FollowUp['text']): Iterable<{ at: string; id: string }> {
  const { sources: _list, examples: _examples, ...rest } = text;
  const open: { value: unknown; at: string }[] = [{ value: rest, at: '' }];
  for (let next = open.pop(); next; next = open.pop()) {
    if (typeof next.value !== 'object' || next.value === null) continue;
    for (const [key, inner] of Object.entries(next.value)) {
      const at = next.at + pointer(key);
      if (key !== 'sources') open.push({ value: inner, at });
      else for (const [i, id] of (inner as string[]).entries()) yield { at: at + pointer(i), id };
    }
  }
}
