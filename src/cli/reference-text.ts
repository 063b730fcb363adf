import type { Contents, Indexed, Numbered } from '../rulebook/page/contents.ts';
import type { Entry, Link, Page } from '../rulebook/page/page.ts';

/** Pages of the rulebook as plain text on 100 columns, and as Markdown. */

const WIDTH = 100;

/** What a page is called in front of its title, and which pages stand in the same text. */
export interface Among {
  readonly number?: string | undefined;
  readonly here?: ReadonlySet<string>;
}

export function pageText(page: Page, { number }: Among = {}): string[] {
  const head = [number, page.title].filter(Boolean).join('  ');
  const right = `${page.safety ? 'SAFETY  ' : ''}${page.id}`;
  const gap = WIDTH - head.length - right.length;
  return [
    '='.repeat(WIDTH),
    ...(gap >= 2 ? [head + ' '.repeat(gap) + right] : [...folded(head, ''), right.padStart(WIDTH)]),
    [page.kind, page.system.replaceAll('-', ' ')].filter(Boolean).join('; '),
    ...(page.aka.length > 0 ? folded(page.aka.join(', '), 'also: ') : []),
    ...(page.purpose ? ['', ...folded(page.purpose, '')] : []),
    ...page.sections.flatMap(({ heading, entries }) => [
      '',
      heading.toUpperCase(),
      ...entries.flatMap((one) => entryText(one, 2)),
    ]),
    ...(page.sources.length > 0 ? ['', 'SOURCES'] : []),
    ...page.sources.flatMap((source) => {
      const title = [source.title, source.where].filter(Boolean).join(', ');
      return folded(`${title} (${source.basis})${source.note ? `: ${source.note}` : ''}`, `  ${source.number}. `);
    }),
  ];
}

function entryText(one: Entry, indent: number, mark = '- '): string[] {
  const under = one.under ?? [];
  return [
    ...folded(
      lineText(one, (link) => link.title),
      ' '.repeat(indent) + mark,
    ),
    ...under.flatMap((inner, i) => entryText(inner, indent + mark.length, one.ordered ? `${i + 1}. ` : '- ')),
  ];
}

/** "Needs: Wheel alignment. For "alignment ..." [1]" */
function lineText(
  { label, links = [], text, basis = [] }: Entry,
  linked: (link: Link) => string,
  strong = (words: string) => words,
): string {
  const names = links.map(linked).join('; ');
  const lead = label ? strong(`${label}:`) : '';
  return [lead, names && text ? `${names}.` : names, text, basis.length > 0 ? `[${basis.join('; ')}]` : '']
    .filter(Boolean)
    .join(' ');
}

/** Words broken over lines, those behind the first as far in as the words of the first. */
function folded(text: string, first: string): string[] {
  const lines: string[] = [];
  let line = first;
  for (const word of text.split(/\s+/).filter(Boolean)) {
    const begun = line.length > first.length || lines.length > 0 ? line.trim() !== '' : false;
    if (begun && line.length + 1 + word.length > WIDTH) {
      lines.push(line);
      line = ' '.repeat(first.length) + word;
    } else line += `${begun && !/\s$/.test(line) ? ' ' : ''}${word}`;
  }
  return [...lines, line.trimEnd()];
}

export function contentsText({ version, systems }: Contents): string[] {
  const count = systems.reduce((sum, { pages }) => sum + pages.length, 0);
  return [
    `The rulebook, version ${version}: ${count} follow-ups in ${systems.length} systems`,
    ...systems.flatMap(({ number, title, pages }) => [
      '',
      `${number}  ${title.toUpperCase()}`,
      ...pages.map(({ number: own, followUp }) => {
        const left = `  ${own.padEnd(6)}${followUp.title}${followUp.safety ? ', SAFETY' : ''}`;
        return left.length + followUp.id.length + 2 > WIDTH
          ? `${left}  ${followUp.id}`
          : left + followUp.id.padStart(WIDTH - left.length);
      }),
    ]),
  ];
}

export function indexText(heading: string, rows: readonly Indexed[]): string[] {
  return ['', heading.toUpperCase(), ...rows.flatMap(({ title, pages }) => folded(numbers(pages), `  ${title}  `))];
}

function numbers(pages: readonly Numbered[]): string {
  return pages.map(({ number }) => number).join(', ');
}

export function pageMarkdown(page: Page, { number, here = new Set() }: Among = {}): string[] {
  const linked = (link: Link) =>
    here.has(link.id) && link.of === 'follow-up' ? `[${plain(link.title)}](#${link.id})` : plain(link.title);
  const entries = (list: readonly Entry[]) => entriesMarkdown(list, linked, '');
  const facts = [page.kind, page.system.replaceAll('-', ' '), page.safety ? '**SAFETY**' : '', `\`${page.id}\``].filter(
    Boolean,
  );
  return [
    ...(page.of === 'follow-up' && here.size > 0 ? [`<a id="${page.id}"></a>`, ''] : []),
    `${here.size > 0 ? '##' : '#'} ${[number, plain(page.title)].filter(Boolean).join(' ')}`,
    '',
    facts.join('; '),
    ...(page.aka.length > 0 ? ['', `Also: ${plain(page.aka.join(', '))}.`] : []),
    ...(page.purpose ? ['', plain(page.purpose)] : []),
    ...page.sections.flatMap(({ heading, entries: list }) => [
      '',
      `${here.size > 0 ? '###' : '##'} ${plain(heading)}`,
      '',
      ...entries(list),
    ]),
    ...(page.sources.length > 0 ? ['', `${here.size > 0 ? '###' : '##'} Sources`, ''] : []),
    ...page.sources.map(({ number: own, title, where, basis, note }) => {
      const whole = [title, where].filter(Boolean).join(', ');
      return `${own}. ${plain(`${whole} (${basis})${note ? `: ${note}` : ''}`)}`;
    }),
  ];
}

function entriesMarkdown(
  list: readonly Entry[],
  linked: (link: Link) => string,
  indent: string,
  ordered = false,
): string[] {
  return list.flatMap((one, i) => {
    const mark = ordered ? `${i + 1}. ` : '- ';
    const safe = { ...one, text: plain(one.text), ...(one.label ? { label: plain(one.label) } : {}) };
    const line = lineText(safe, linked, (words) => `**${words}**`);
    return [
      indent + mark + line,
      ...entriesMarkdown(one.under ?? [], linked, indent + ' '.repeat(mark.length), one.ordered),
    ];
  });
}

export function contentsMarkdown({ version, systems }: Contents): string[] {
  return [
    `# The rulebook, version ${version}`,
    ...systems.flatMap(({ number, title, pages }) => [
      '',
      `${number}. ${plain(title)}`,
      '',
      ...pages.map(
        ({ number: own, followUp }) =>
          `   - ${own} [${plain(followUp.title)}](#${followUp.id})${followUp.safety ? ', **SAFETY**' : ''}`,
      ),
    ]),
  ];
}

export function indexMarkdown(heading: string, rows: readonly Indexed[]): string[] {
  const refer = (pages: readonly Numbered[]) =>
    pages.map(({ number, followUp }) => `[${number}](#${followUp.id})`).join(', ');
  return ['', `## ${heading}`, '', ...rows.map(({ title, pages }) => `- ${plain(title)}: ${refer(pages)}`)];
}

/** What Markdown would take for a sign of its own is written as itself (CommonMark 0.31, 2.4: backslash escapes). */
function plain(text: string): string {
  return text.replaceAll(/[\\`*_[\]<>#|~]/g, (sign) => `\\${sign}`);
}
