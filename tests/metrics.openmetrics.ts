/**
 * Reads OpenMetrics 1.0 text as its ABNF and its rules have it (openmetrics.io, "OpenMetrics 1.0.0", sections ABNF,
 * Metric types, Suffixes): names, escapes and numbers; one block a family with TYPE before its samples; suffixes that go
 * with the type; histograms that rise to +Inf and its count; one end. Throws what is wrong and in which line.
 */
export interface Family {
  readonly name: string;
  type: string;
  readonly samples: Sample[];
}

export interface Sample {
  readonly name: string;
  readonly labels: Readonly<Record<string, string>>;
  readonly value: number;
}

const NAME = '[a-zA-Z_:][a-zA-Z0-9_:]*';
const LABEL = '[a-zA-Z_][a-zA-Z0-9_]*="(?:[^\\\\"\\n]|\\\\["\\\\n])*"';
/** A text in ABNF matches in any case (RFC 5234, section 2.3). */
const NUMBER = '[+-]?(?:[Ii][Nn][Ff]|[Nn][Aa][Nn]|[0-9]+(?:\\.[0-9]*)?(?:[eE][+-]?[0-9]+)?|\\.[0-9]+)';
const META = new RegExp(`^# (TYPE|HELP|UNIT) (${NAME}) (.*)$`);
const SAMPLE = new RegExp(`^(${NAME})(?:\\{((?:${LABEL})(?:,${LABEL})*)?\\})? (${NUMBER})(?: ${NUMBER})?$`);
const TYPES = ['counter', 'gauge', 'histogram', 'gaugehistogram', 'stateset', 'info', 'summary', 'unknown'];
const SUFFIXES: Record<string, readonly string[]> = {
  counter: ['_total', '_created'],
  gauge: [''],
  histogram: ['_bucket', '_count', '_sum', '_created'],
  summary: ['', '_count', '_sum', '_created'],
};

export function readOpenMetrics(text: string): Map<string, Family> {
  const lines = text.split('\n');
  if (lines.at(-1) !== '' || lines.at(-2) !== '# EOF') throw new Error('it does not end with # EOF and a line feed');
  const families = new Map<string, Family>();
  let now: Family | undefined;
  for (const [i, line] of lines.slice(0, -2).entries()) {
    const wrong = (what: string) => new Error(`line ${i + 1}: ${what}: ${line}`);
    const meta = META.exec(line);
    if (meta) {
      const [, kind, name = '', rest = ''] = meta;
      if (now?.name !== name) {
        if (families.has(name)) throw wrong('a family stands in two places');
        now = { name, type: 'unknown', samples: [] };
        families.set(name, now);
      }
      if (now.samples.length > 0) throw wrong('it stands behind the samples');
      if (kind === 'TYPE' && !TYPES.includes(rest)) throw wrong('there is no such type');
      if (kind === 'TYPE') now.type = rest;
      if (kind === 'HELP' && /\\[^"\\n]/.test(rest)) throw wrong('a bad escape');
      continue;
    }
    const sample = SAMPLE.exec(line);
    if (!sample) throw wrong('it is no sample');
    const [, name = '', labels = '', value = ''] = sample;
    if (!now || !SUFFIXES[now.type]?.some((suffix) => name === `${now?.name}${suffix}`))
      throw wrong(`it does not belong to the ${now?.type} ${now?.name}`);
    const read: Sample = { name, labels: labelsIn(labels), value: Number(value.replace('Inf', 'Infinity')) };
    if (now.samples.some((other) => keyOf(other) === keyOf(read))) throw wrong('it is there twice');
    now.samples.push(read);
  }
  for (const family of families.values()) mustHold(family);
  return families;
}

function labelsIn(text: string): Record<string, string> {
  const unescaped = (value: string) => value.replaceAll(/\\./g, ([, one]) => (one === 'n' ? '\n' : (one as string)));
  return Object.fromEntries(
    [...text.matchAll(/([a-zA-Z0-9_]+)="((?:[^\\"]|\\.)*)"/g)].map(([, name, value]) => [name, unescaped(value ?? '')]),
  );
}

function keyOf({ name, labels }: Sample): string {
  return JSON.stringify([name, Object.entries(labels).sort(([a], [b]) => (a < b ? -1 : 1))]);
}

function mustHold({ name, type, samples }: Family): void {
  if (type === 'counter' && samples.some(({ value }) => value < 0)) throw new Error(`${name}: a counter below nought`);
  if (type !== 'histogram') return;
  const buckets = samples.filter((sample) => sample.name === `${name}_bucket`);
  const others = ({ labels }: Sample) => JSON.stringify(Object.entries(labels).filter(([label]) => label !== 'le'));
  for (const group of new Set(buckets.map(others))) {
    const own = buckets.filter((one) => others(one) === group);
    const bounds = own.map(({ labels }) => Number((labels['le'] ?? '').replace('Inf', 'Infinity')));
    const rises = (of: readonly number[]) => of.every((value, i) => i === 0 || value >= (of[i - 1] as number));
    const count = samples.find((one) => one.name === `${name}_count` && others(one) === group)?.value;
    if (bounds.at(-1) !== Infinity) throw new Error(`${name}: its last bucket is not +Inf`);
    if (!rises(bounds) || !rises(own.map(({ value }) => value))) throw new Error(`${name}: its buckets do not rise`);
    if (own.at(-1)?.value !== count) throw new Error(`${name}: its count is not that of all buckets`);
  }
}
