import type { PlaceWord } from '../rulebook/tables.ts';

/** Where words say that a part is, as far as they do. */
export interface Where {
  /** Positions; empty where nobody said, or it is not sure. */
  readonly at: readonly string[];
  /** Positions that it may be: to be asked. Empty: nothing to ask. */
  readonly choices: readonly string[];
  /** It hangs on the side that the driver sits on, which the market does not tell. */
  readonly driver: boolean;
}

type Side = 'left' | 'right';
type Group = Partial<Record<'axle' | 'side' | 'stream' | 'many', PlaceWord>>;

const AXIS: Readonly<Record<PlaceWord, keyof Group>> = {
  front: 'axle',
  rear: 'axle',
  left: 'side',
  right: 'side',
  nearside: 'side',
  offside: 'side',
  driver: 'side',
  passenger: 'side',
  upstream: 'stream',
  downstream: 'stream',
  both: 'many',
  all: 'many',
};

/**
 * Finds the positions among a part's own.
 * @param said what each word says, in order
 * @param plural it stands in the plural: "front struts" are both
 * @param sits the side the driver sits on; undefined: not known
 */
export function findPlaces(
  said: readonly (readonly PlaceWord[])[],
  positions: readonly string[],
  plural: boolean,
  sits: Side | undefined,
): Where {
  if (positions.length === 0) return { at: [], choices: [], driver: false };
  const found = groups(said).map((group) => matchGroup(group, positions, plural, sits));
  const open = found.find(({ choices }) => choices.length > 0);
  if (open) return open;
  const at = [...new Set(found.flatMap((where) => where.at))];
  return at.length > 0 ? { at, choices: [], driver: false } : { at: [], choices: positions, driver: false };
}

/** Whether a part of these positions can stand where the words say. */
export function mayStand(
  said: readonly (readonly PlaceWord[])[],
  positions: readonly string[],
  sits: Side | undefined,
): boolean {
  return groups(said).every((group) =>
    positions.some((position) => agrees(position, group, sidesOf(group.side, sits), sits)),
  );
}

/** "LF & RR" is two groups, "left front" is one; what only one of them says holds for all: "L & R front". */
function groups(said: readonly (readonly PlaceWord[])[]): Group[] {
  const list: Group[] = [];
  for (const words of said) {
    const next: Group = Object.fromEntries(words.map((word) => [AXIS[word], word]));
    const last = list.at(-1);
    if (last && !Object.keys(next).some((axis) => axis in last)) list[list.length - 1] = { ...last, ...next };
    else list.push(next);
  }
  for (const axis of ['axle', 'side', 'many'] as const) {
    const told = new Set(list.flatMap((group) => group[axis] ?? []));
    const [only] = told;
    if (told.size !== 1 || only === undefined) continue;
    for (const group of list) group[axis] ??= only;
  }
  return list;
}

function matchGroup(group: Group, positions: readonly string[], plural: boolean, sits: Side | undefined): Where {
  const sides = sidesOf(group.side, sits);
  const fits = positions.filter((position) => agrees(position, group, sides, sits));
  const sure = (at: readonly string[]): Where => ({ at, choices: [], driver: false });
  const exact = fits.filter((position) => tells(position) === wanted(group));
  if (group.many === 'all') return sure(group.axle ? broad(fits, group) : every(positions));
  if (fits.length === 0) return { at: [], choices: [], driver: false };
  const spread =
    group.many === 'both' &&
    !group.axle &&
    fits.some((one) => one.startsWith('front-')) &&
    fits.some((one) => one.startsWith('rear-'));
  if (spread) return { at: [], choices: fits, driver: false };
  if (group.many === 'both' || (plural && !group.side && !group.stream)) return sure(broad(fits, group));
  if (exact.length === 1) return sure(exact);
  const narrow = fits.filter((position) => tells(position) === Math.max(...fits.map(tells)));
  const best = wanted(group) >= 2 ? narrow : fits;
  if (best.length === 1) return sure(best);
  return { at: [], choices: best, driver: sides.length > 1 };
}

/** How much a position, or a group, says: 1 axle or side alone, 2 both. */
function tells(position: string): number {
  return position.split('-').length;
}

function wanted({ axle, side, stream }: Group): number {
  return [axle, side, stream].filter(Boolean).length;
}

/** All there are: by axle where the part has axles, else each corner or side. */
function every(positions: readonly string[]): string[] {
  const whole = positions.filter((position) => position === 'front' || position === 'rear');
  return whole.length > 0 && positions.some((one) => tells(one) > 1) ? whole : [...positions];
}

/** Both of an axle: the axle itself where the part has it, else each that fits. */
function broad(fits: readonly string[], { axle }: Group): string[] {
  if (axle && fits.includes(axle)) return [axle];
  const whole = fits.filter((position) => position === 'front' || position === 'rear');
  if (axle || whole.length === 0) return [...fits];
  // Both cables of a handbrake are the left and the right one, though it has a front one too.
  const sides = fits.filter((position) => position === 'left' || position === 'right');
  return whole.length === 1 && sides.length === 2 ? sides : whole;
}

/** The sides that a word may mean; empty: none said. */
function sidesOf(side: PlaceWord | undefined, sits: Side | undefined): Side[] {
  if (side === undefined) return [];
  if (side === 'left' || side === 'right') return [side];
  if (sits === undefined) return ['left', 'right'];
  const drivers = side === 'driver' || side === 'offside';
  return [drivers === (sits === 'left') ? 'left' : 'right'];
}

/** A position that says nothing of what the group says does not fit it. */
function agrees(position: string, group: Group, sides: readonly Side[], sits: Side | undefined): boolean {
  const own = position.split('-');
  if (own.includes('upstream') || own.includes('downstream'))
    return group.stream !== undefined && own.includes(group.stream);
  const seat = own[0] === 'driver' || own[0] === 'passenger' ? own[0] : undefined;
  const axle = seat ? 'front' : own.find((word) => word === 'front' || word === 'rear');
  if (group.axle && axle && group.axle !== axle) return false;
  const side = own.find((word): word is Side => word === 'left' || word === 'right');
  const agreed = seat
    ? seatAgrees(seat, group, sides, sits)
    : side && sides.length > 0
      ? sides.includes(side)
      : undefined;
  if (agreed === false) return false;
  return agreed === true || Boolean(group.axle && axle) || Boolean(group.many && !group.axle && !group.side);
}

function seatAgrees(
  seat: string,
  { side }: Group,
  sides: readonly Side[],
  sits: Side | undefined,
): boolean | undefined {
  if (side === undefined) return undefined;
  if (side === 'driver' || side === 'passenger') return side === seat;
  if (side === 'offside' || side === 'nearside') return (side === 'offside') === (seat === 'driver');
  return sits === undefined ? true : sides.includes(sits) === (seat === 'driver');
}
