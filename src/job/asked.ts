import { NEVER, SURELY } from '../rulebook/condition.ts';
import type { FollowUp, Way } from '../rulebook/rulebook.ts';
import type { Reading } from '../rulebook/schema.ts';
import type { Resolution } from '../resolve/resolve.ts';
import { limitsFor, speaks } from './speaks.ts';

/** A reading that a step asks for on this car. */
export interface Asked {
  readonly key: string;
  readonly when: 'entry' | 'proof';
  readonly label: string;
  readonly answer: Reading['answer'];
  readonly unit?: string;
  /** The first one passes. */
  readonly choices: readonly string[];
  readonly limits: readonly Range[];
  /** In words where no figure can be judged: "the maker's figure". */
  readonly limitText: readonly string[];
  /** The step cannot be settled as "took" without it. */
  readonly must: boolean;
}

interface Range {
  readonly min?: number;
  readonly max?: number;
}

interface Item {
  readonly followUp: FollowUp;
  readonly way: Way | undefined;
  readonly safety: boolean;
  readonly required: boolean;
  readonly boxes: readonly string[];
  /** Done within it; their own proof is asked here. */
  readonly covers: readonly { readonly followUp: FollowUp; readonly way: Way | undefined }[];
}

/** What a step asks before it starts, and what shows that it took, its own and that of what it covers. */
export function askedOf(item: Item, resolution: Resolution): Asked[] {
  const entry = (item.way?.text.entry ?? []).map((reading) => asked(reading, 'entry', item, resolution));
  const own = proofOf(item.followUp, item.way, item, resolution);
  const boxed = item.boxes.length === 0 ? own : item.boxes.flatMap((box) => own.map((reading) => inBox(reading, box)));
  const within = item.covers.flatMap(({ followUp, way }) =>
    proofOf(followUp, way, { ...item, safety: followUp.safety }, resolution),
  );
  const all = [...entry.flat(), ...boxed, ...within];
  return item.safety && !all.some((reading) => reading.must && reading.when === 'proof')
    ? [...all, bare(item.followUp)]
    : all;
}

function proofOf(followUp: FollowUp, way: Way | undefined, item: Item, resolution: Resolution): Asked[] {
  return [...(followUp.text.proof ?? []), ...(way?.text.proof ?? [])].flatMap((reading) =>
    asked(reading, `proof/${followUp.id}`, item, resolution),
  );
}

function asked(reading: Reading, under: string, item: Item, resolution: Resolution): Asked[] {
  const applies = speaks(reading, resolution);
  if (applies === NEVER) return [];
  const { label, answer, unit, choices } = reading;
  const limits = limitsFor(reading, resolution);
  const ranges = limits.filter(({ min, max }) => min !== undefined || max !== undefined);
  const when = under === 'entry' ? 'entry' : 'proof';
  const limited = ranges.length > 0;
  return [
    {
      key: `${under}/${label}`,
      when,
      label,
      answer,
      ...(unit ? { unit } : {}),
      choices: choices ?? [],
      limits: ranges.map(({ min, max }) => ({
        ...(min === undefined ? {} : { min }),
        ...(max === undefined ? {} : { max }),
      })),
      limitText: limits.flatMap((limit) => limit.text ?? []),
      must: applies === SURELY && mustHave(when, answer, limited, item),
    },
  ];
}

/**
 * A safety item is settled by values, never by a bare OK. On any other step one tap is enough, but for a figure that has
 * a limit and, where it is required, for the choice that says that it took.
 */
function mustHave(
  when: Asked['when'],
  answer: Reading['answer'],
  limited: boolean,
  { safety, required }: Item,
): boolean {
  if (safety) return when === 'proof' || answer === 'choice' || (answer === 'number' && limited);
  if (!required || when === 'entry') return false;
  return answer === 'choice' || (answer === 'number' && limited);
}

function inBox(reading: Asked, box: string): Asked {
  return { ...reading, key: `${reading.key}@${box}`, label: `${reading.label}, ${box.replaceAll('-', ' ')}` };
}

/** A safety item whose rule asks for nothing still wants something to show. */
function bare(followUp: FollowUp): Asked {
  return {
    key: `proof/${followUp.id}/shown`,
    when: 'proof',
    label: 'What shows that it took',
    answer: 'text',
    choices: [],
    limits: [],
    limitText: [],
    must: true,
  };
}
