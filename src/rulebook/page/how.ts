import type { FollowUp, Rulebook, Way } from '../rulebook.ts';
import type { Drive, Reading } from '../schema.ts';
import { carsText } from './cars.ts';
import type { Cited } from './cited.ts';
import { doesEntries, needEntry, upsetEntry, wayTitle } from './order.ts';
import type { Entry } from './page.ts';
import { durationText, entry, list, minutesText, rangeText, sentence, setupText } from './words.ts';

/** How it is done: each way with what it asks, its figures and what tells that it took. */

export function waysOf(followUp: FollowUp, book: Rulebook, cited: Cited): Entry[] {
  return followUp.ways.map((way) => wayEntry(followUp, way, book, cited));
}

function wayEntry(followUp: FollowUp, way: Way, book: Rulebook, cited: Cited): Entry {
  const { text } = way;
  const cars = carsText(book, text);
  const tool = book.setups.tools[way.tool];
  return entry([cars ? `on cars ${cars}` : 'on any car that it fits', `with ${tool?.title ?? way.tool}`].join('; '), {
    label: followUp.ways.length > 1 || text.title ? wayTitle(way) : 'The one way',
    basis: text.sources?.length ? cited.basis(text.sources) : [],
    under: [
      ...setupEntries(way, book),
      ...timeEntries(way, book, cited),
      ...way.needs
        .filter((need) => !need.guard)
        .map((need, i) => needEntry(followUp, need, text.needs?.[i] ?? {}, book, cited, text.sources)),
      ...readings('Before it starts', text.entry, book, cited, text.sources),
      ...(text.outline?.length
        ? [entry('', { label: 'Outline', ordered: true, under: text.outline.map((line) => entry(line)) })]
        : []),
      ...driveEntries(text.drive, cited, text.sources),
      ...closingEntries(way, book, cited),
      ...readings('It took, if', text.proof, book, cited, text.sources),
      ...(text.tries
        ? [
            entry(`at most ${text.tries.most}; then ${text.tries.then}`, {
              label: 'Tries',
              basis: cited.basis(text.tries.sources, text.sources),
            }),
          ]
        : []),
      ...(text.cautions ?? []).map((caution) => entry(caution, { label: 'Caution' })),
      ...(text.upsets ?? []).map((upset) => upsetEntry(followUp, upset, book, cited)),
      ...doesEntries(text.does ?? [], book),
      ...ownerEntries(text),
    ],
  });
}

/** Proof and end that all ways share. */
export function proofOf(followUp: FollowUp, book: Rulebook, cited: Cited): Entry[] {
  const { text, positions } = followUp;
  const boxes =
    positions.length > 0
      ? [
          entry(
            `once for each: ${list(
              positions.map((one) => one.replaceAll('-', ' ')),
              'and',
            )}`,
            { label: 'Signed for' },
          ),
        ]
      : [];
  return [...readings('', text.proof, book, cited), ...boxes, ...ownerEntries(text)];
}

function ownerEntries({ finish, 'owner-told': told }: Pick<FollowUp['text'], 'finish' | 'owner-told'>): Entry[] {
  return [
    ...(finish === 'owner' ? [entry('with the owner, on the road or overnight', { label: 'Ends' })] : []),
    ...(told ? [entry(told, { label: 'The owner is told' })] : []),
  ];
}

function setupEntries({ text }: Way, book: Rulebook): Entry[] {
  const rows = [
    ['Car', text.setup],
    ['Kept so throughout', text.hold],
    ['Left', text.becomes],
  ] as const;
  return rows.flatMap(([label, setup]) =>
    setup && Object.keys(setup).length > 0 ? [entry(setupText(book, setup), { label })] : [],
  );
}

function timeEntries({ text }: Way, book: Rulebook, cited: Cited): Entry[] {
  const { hands, wait } = text.minutes ?? {};
  const waits =
    typeof wait === 'number'
      ? `waiting ${minutesText(wait)}`
      : wait
        ? `waiting as long as this says: ${wait.ask}; usually ${minutesText(wait.usual[0])} to ${minutesText(wait.usual[1])}, counted from ${wait['counts-from'] === 'work-done' ? 'the end of the work' : 'the step'}`
        : '';
  return [
    ...(hands ? [entry(`about ${minutesText(hands)} with hands (an estimate for planning)`, { label: 'Time' })] : []),
    ...(waits ? [entry(waits, { label: 'Wait', basis: cited.basis(undefined, text.sources) })] : []),
  ];
}

function readings(
  label: string,
  all: readonly Reading[] | undefined,
  book: Rulebook,
  cited: Cited,
  fallback?: readonly string[],
): Entry[] {
  return (all ?? []).map((reading) => {
    const cars = carsText(book, reading);
    const [pass, ...others] = reading.choices ?? [];
    const passes = pass === undefined ? '' : `: ${pass} (not: ${list(others)})`;
    const kind =
      reading.answer === 'photo'
        ? ' (photo)'
        : reading.answer === 'number' && reading.unit && !reading.limits
          ? ` (${reading.unit === 'deg' ? '°' : reading.unit})`
          : '';
    return entry(`${reading.label}${kind}${passes}${cars ? `; on cars ${cars}` : ''}`, {
      label,
      under: (reading.limits ?? []).map((limit) => {
        const figure = limit.min !== undefined || limit.max !== undefined;
        const whose = carsText(book, limit);
        const text = [figure ? rangeText(limit, reading.unit) : '', limit.text ?? ''].filter(Boolean).join(', ');
        return entry(`${text}${whose ? `; on cars ${whose}` : ''}`, {
          label: 'Limit',
          basis: figure || limit.sources ? cited.basis(limit.sources, fallback) : [],
        });
      }),
    });
  });
}

function driveEntries(drive: Drive | undefined, cited: Cited, fallback: readonly string[] | undefined): Entry[] {
  if (!drive) return [];
  const { 'from-km/h': from, 'to-km/h': to } = drive;
  const speed =
    from === undefined
      ? to === undefined
        ? ''
        : `up to ${to} km/h`
      : to === undefined
        ? `${from} km/h or more`
        : `${from} to ${to} km/h`;
  const length = [
    drive.km === undefined ? '' : `${drive.km} km`,
    durationText({ minutes: drive.minutes, seconds: drive.seconds }),
  ].filter((one) => one && one !== '0 min');
  const asks = [
    speed,
    ...length,
    drive.straight ? 'straight' : '',
    drive.steady ? 'at constant speed' : '',
    drive['lane-markings'] ? 'with lane markings' : '',
    drive.daylight ? 'in daylight' : '',
    drive.stops ? count(drive.stops, 'full stop') : '',
    drive['coast-downs'] ? count(drive['coast-downs'], 'coast-down') : '',
    drive['full-lock'] ? 'full lock to both sides' : '',
  ].filter(Boolean);
  const planned = asks.join(', ');
  const text = drive.text && planned ? `${sentence(drive.text)} Planned as ${planned}` : (drive.text ?? planned);
  return [entry(text || 'as the maker gives it', { label: 'Drive', basis: cited.basis(drive.sources, fallback) })];
}

function count(n: number, word: string): string {
  return `${n} ${word}${n === 1 ? '' : 's'}`;
}

function closingEntries({ text }: Way, book: Rulebook, cited: Cited): Entry[] {
  if (!text.closing) return [];
  const { wait, text: says, sources, ...setup } = text.closing;
  const left = Object.fromEntries(
    Object.entries(setup).flatMap(([dimension, value]) => (typeof value === 'string' ? [[dimension, value]] : [])),
  );
  const parts = [
    says ?? '',
    Object.keys(left).length > 0 ? setupText(book, left) : '',
    wait ? `for ${durationText(wait)}` : '',
  ].filter(Boolean);
  return [
    entry(parts.join('; '), { label: 'At the end', basis: wait || sources ? cited.basis(sources, text.sources) : [] }),
  ];
}
