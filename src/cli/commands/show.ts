import type { Command } from 'commander';
import { nearestName } from '../../rulebook/fault.ts';
import { contentsOf } from '../../rulebook/page/contents.ts';
import { followUpPage } from '../../rulebook/page/follow-up.ts';
import type { Page } from '../../rulebook/page/page.ts';
import { partPage } from '../../rulebook/page/part.ts';
import { sourcePage } from '../../rulebook/page/source.ts';
import type { Rulebook } from '../../rulebook/rulebook.ts';
import { Unusable } from '../input.ts';
import { contentsMarkdown, contentsText, indexMarkdown, indexText, pageMarkdown, pageText } from '../reference-text.ts';
import { RULES, rulebookIn } from '../rules-folder.ts';

interface Options {
  readonly all?: boolean;
  readonly part: readonly string[];
  readonly source: readonly string[];
  readonly json?: boolean;
  readonly markdown?: boolean;
  readonly rules: string;
}

export function showCommand(program: Command): void {
  const also = (value: string, before: readonly string[]) => [...before, value];
  program
    .command('show')
    .summary('everything the rulebook says of a follow-up, in words')
    .description(
      'Writes what the rulebook says, from the rules as they are: when a follow-up is called for and when not, what decides, its place in the order, how it is done, figures with what they rest on, codes, cases and sources. Without a name: the contents.',
    )
    .argument('[FOLLOW-UP...]', 'ids or titles')
    .option('--part <NAME>', 'everything that work on a part calls for; may be given again', also, [])
    .option('--source <ID>', 'everything that rests on a source; may be given again', also, [])
    .option('--all', 'the whole book, with contents, and an index by part and by code')
    .option('--markdown', 'as Markdown')
    .option('--json', 'as JSON: the same pages as plain data')
    .option('--rules <DIR>', 'folder of the rulebook', RULES)
    .addHelpText('after', '\nExit code: 0 shown, 2 unusable input.')
    .action(run);
}

async function run(names: readonly string[], options: Options): Promise<void> {
  const book = await rulebookIn(options.rules);
  const pages = pagesOf(names, options, book);
  const whole = options.all === true;
  const contents = contentsOf(book);
  if (options.json) {
    const listed = contents.systems.flatMap((system) =>
      system.pages.map(({ number, followUp: { id, title } }) => ({ number, id, title, system: system.id })),
    );
    return console.log(
      JSON.stringify({ rulebook: book.version, ...(pages.length > 0 ? { pages } : { contents: listed }) }, null, 2),
    );
  }
  const numbers = new Map(
    contents.systems.flatMap((system) => system.pages.map(({ number, followUp }) => [followUp.id, number])),
  );
  const here = new Set(whole ? pages.map(({ id }) => id) : []);
  const told = pages.map((page) => {
    const among = { here, ...(page.of === 'follow-up' ? { number: numbers.get(page.id) } : {}) };
    return options.markdown ? pageMarkdown(page, among) : pageText(page, among);
  });
  const front =
    whole || pages.length === 0 ? [options.markdown ? contentsMarkdown(contents) : contentsText(contents)] : [];
  const index = options.markdown ? indexMarkdown : indexText;
  const back = whole ? [[...index('Index by part', contents.byPart), ...index('Index by code', contents.byCode)]] : [];
  const foot =
    pages.length > 0 && !whole ? [[`Rulebook ${book.version}. Outlines only; the maker's procedure rules.`]] : [];
  console.log([...front, ...told, ...back, ...foot].map((lines) => lines.join('\n')).join('\n\n'));
}

/** Every name is looked up before anything is told, so that all unknown ones are told at once. */
function pagesOf(names: readonly string[], { all, part, source }: Options, book: Rulebook): Page[] {
  const unknown: ConstructorParameters<typeof Unusable>[0][number][] = [];
  const found = <T>(
    name: string,
    rows: ReadonlyMap<string, T>,
    called: (row: T) => readonly string[],
    what: string,
  ): T[] => {
    const hit = lookUp(name, rows, called);
    if (hit) return [hit];
    const spoken = [...rows].flatMap(([id, row]) => [id, ...called(row).map(plain)]);
    const nearest = nearestName(name, rows.keys()) ?? nearestName(plain(name), spoken);
    const near = nearest ? lookUpId(nearest, rows, called) : undefined;
    unknown.push({
      file: what.toUpperCase(),
      pointer: '',
      message: `unknown ${what}`,
      value: name,
      ...(near ? { nearest: near } : {}),
    });
    return [];
  };
  const followUps = all
    ? contentsOf(book).systems.flatMap((system) => system.pages.map(({ followUp }) => followUp))
    : names.flatMap((name) =>
        found(name, book.followUps, ({ title, text }) => [title, ...(text.aka ?? [])], 'follow-up'),
      );
  const parts = part.flatMap((name) =>
    found(name, book.parts, ({ text }) => [text.title, ...(text.aka ?? [])], 'part'),
  );
  const sources = source.flatMap((name) =>
    found(name, new Map([...book.sources.keys()].map((id) => [id, id])), () => [], 'source'),
  );
  if (unknown.length > 0) throw new Unusable(unknown);
  return [
    ...followUps.map((one) => followUpPage(one, book)),
    ...parts.map((one) => partPage(one, book)),
    ...sources.map((one) => sourcePage(one, book)),
  ];
}

function lookUp<T>(name: string, rows: ReadonlyMap<string, T>, called: (row: T) => readonly string[]): T | undefined {
  const id = lookUpId(name, rows, called);
  return id === undefined ? undefined : rows.get(id);
}

/** By id, then by title, then by another name. */
function lookUpId<T>(
  name: string,
  rows: ReadonlyMap<string, T>,
  called: (row: T) => readonly string[],
): string | undefined {
  if (rows.has(name)) return name;
  const wanted = plain(name);
  const all = [...rows];
  const hit =
    all.find(([id, row]) => id === wanted || plain(called(row)[0] ?? '') === wanted) ??
    all.find(([, row]) => called(row).some((one) => plain(one) === wanted));
  return hit?.[0];
}

function plain(name: string): string {
  return name
    .trim()
    .toLowerCase()
    .replaceAll(/[^a-z0-9]+/g, '-');
}
