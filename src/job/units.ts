import Qty from 'js-quantities';

/**
 * Units as rules write them, as people type them, and their counterpart in a US shop. What is counted (codes, keys) or
 * is a share (%) has a name only and is never converted. The arithmetic is js-quantities'.
 */
interface Unit {
  /** As rules and screens write it. */
  readonly name: string;
  /** As js-quantities writes it. */
  readonly is: string;
  readonly typed: readonly string[];
  /** What a US shop reads instead. */
  readonly us?: string;
}

const UNITS: readonly Unit[] = [
  { name: '°C', is: 'tempC', typed: ['c', 'degc', 'celsius'], us: '°F' },
  { name: '°F', is: 'tempF', typed: ['f', 'degf', 'fahrenheit'] },
  // A difference of temperatures has no zero point to shift.
  { name: '°C apart', is: 'degC', typed: ['k'], us: '°F apart' },
  { name: '°F apart', is: 'degF', typed: [] },
  { name: 'bar', is: 'bar', typed: [], us: 'psi' },
  { name: 'kPa', is: 'kPa', typed: [], us: 'psi' },
  { name: 'mbar', is: 'mbar', typed: ['hpa'], us: 'psi' },
  { name: 'MPa', is: 'MPa', typed: [], us: 'psi' },
  { name: 'psi', is: 'psi', typed: ['lbf/in2', 'lb/in2'] },
  { name: 'inHg', is: 'inHg', typed: ['"hg'] },
  { name: 'mm', is: 'mm', typed: [], us: 'in' },
  { name: 'cm', is: 'cm', typed: [], us: 'in' },
  { name: 'm', is: 'm', typed: [], us: 'ft' },
  { name: 'km', is: 'km', typed: [], us: 'mi' },
  { name: 'in', is: 'in', typed: ['"', 'inch', 'inches'] },
  { name: 'ft', is: 'ft', typed: ["'", 'feet', 'foot'] },
  { name: 'mi', is: 'mi', typed: ['mile', 'miles'] },
  { name: 'km/h', is: 'km/h', typed: ['kph', 'kmh'], us: 'mph' },
  { name: 'mph', is: 'mph', typed: [] },
  { name: 'l', is: 'l', typed: ['litre', 'litres', 'liter', 'liters'], us: 'qt' },
  { name: 'ml', is: 'ml', typed: ['cc', 'cm3'], us: 'fl oz' },
  { name: 'qt', is: 'qt', typed: ['quart', 'quarts'] },
  { name: 'gal', is: 'gal', typed: ['gallon', 'gallons'] },
  { name: 'fl oz', is: 'floz', typed: ['floz'] },
  { name: 'kg', is: 'kg', typed: [], us: 'lb' },
  { name: 'g', is: 'g', typed: [], us: 'oz' },
  { name: 'lb', is: 'lb', typed: ['lbs', 'pound', 'pounds'] },
  { name: 'oz', is: 'oz', typed: [] },
  { name: 'N·m', is: 'N*m', typed: ['nm', 'n*m', 'n.m'], us: 'lb·ft' },
  { name: 'lb·ft', is: 'lbf*ft', typed: ['lbft', 'lb-ft', 'ft-lb', 'ftlb', 'ft·lb', 'lbf·ft'] },
  { name: 'V', is: 'V', typed: ['volt', 'volts'] },
  { name: 'mV', is: 'mV', typed: [] },
  { name: 'A', is: 'A', typed: ['amp', 'amps'] },
  { name: 'mA', is: 'mA', typed: [] },
  { name: 'Ω', is: 'ohm', typed: ['ohm', 'ohms'] },
  { name: 'kΩ', is: 'kohm', typed: ['kohm'] },
  { name: 'MΩ', is: 'Mohm', typed: ['mohm', 'megohm'] },
  { name: 'deg', is: 'deg', typed: ['°', 'degree', 'degrees'] },
  { name: '° before TDC', is: 'deg', typed: ['btdc'] },
  { name: 'deg/s', is: 'deg/s', typed: ['°/s'] },
  { name: 'rpm', is: 'rpm', typed: ['1/min', 'r/min'] },
  { name: 's', is: 's', typed: ['sec', 'seconds'] },
  { name: 'min', is: 'min', typed: ['minutes'] },
  { name: 'h', is: 'h', typed: ['hour', 'hours'] },
];

const byName = new Map(UNITS.map((unit) => [unit.name, unit]));
// Capitals tell mV from MV and mΩ from MΩ, so a name is looked up as it stands before it is made small.
const bySmall = new Map(
  [...UNITS].reverse().flatMap((unit) => [unit.name.toLowerCase(), ...unit.typed].map((word) => [word, unit] as const)),
);

/** The unit as rules write it; undefined for one not known. */
export function unitNamed(word: string): string | undefined {
  const plain = word.trim().replaceAll('º', '°').replaceAll('⋅', '·');
  const apart = plain.replaceAll(' ', '');
  return (
    byName.get(plain) ??
    byName.get(apart) ??
    bySmall.get(plain.toLowerCase()) ??
    bySmall.get(apart.toLowerCase())
  )?.name;
}

/** A figure in another unit; undefined where the two measure different things. A unit not known is only ever itself. */
export function converted(value: number, from: string, to: string): number | undefined {
  if (from === to) return value;
  const [a, b] = [byName.get(from), byName.get(to)];
  if (!a || !b) return undefined;
  if (a.is === b.is) return value;
  const quantity = Qty(value, a.is);
  // Temperatures and their differences count as one kind there; 8 °C apart is not 8 °C.
  if (!quantity.isCompatible(b.is) || a.is.startsWith('temp') !== b.is.startsWith('temp')) return undefined;
  return tidy(quantity.to(b.is).scalar);
}

/** All units that measure the same. */
export function likeUnits(unit: string): string[] {
  return UNITS.map((u) => u.name).filter((name) => name !== unit && converted(1, name, unit) !== undefined);
}

/** The unit in which this job shows a figure of that unit. */
export function unitShown(unit: string, units: 'metric' | 'us'): string {
  return (units === 'us' ? byName.get(unit)?.us : undefined) ?? unit;
}

/** A figure and its unit as this job shows them. */
export function shown(value: number, unit: string | undefined, units: 'metric' | 'us'): string {
  const us = units === 'us' && unit !== undefined ? byName.get(unit)?.us : undefined;
  const figure = us === undefined || unit === undefined ? value : (converted(value, unit, us) ?? value);
  return withUnit(us === undefined ? figure : rounded(figure), us ?? unit);
}

/** What is counted, when there is one of it. */
const ONE_OF: Readonly<Record<string, string>> = { codes: 'code', keys: 'key', tests: 'test' };

export function withUnit(figure: number, unit: string | undefined): string {
  const text = String(tidy(figure)).replace('-', '−');
  if (unit === undefined) return text;
  if (unit === 'deg') return `${text}°`;
  return `${text} ${figure === 1 ? (ONE_OF[unit] ?? unit) : unit}`;
}

/** Without the last bits that conversion leaves: 211.99999999999994 is 212. */
function tidy(value: number): number {
  return Number(value.toPrecision(10));
}

/** Three figures are what a gauge shows. */
function rounded(value: number): number {
  return Number(value.toPrecision(Math.abs(value) >= 1000 ? 4 : 3));
}
