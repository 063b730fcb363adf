import type { Checklist } from '../src/checklist.ts';
import { PHASES } from '../src/rulebook/schema.ts';

/**
 * Orders that a source states, each with it: wherever both are steps of one job, the first stands before the second.
 * `makers` where the source speaks of these only and others may differ.
 */
export interface Stated {
  readonly chain: readonly string[];
  readonly source: string;
  readonly makers?: readonly string[];
}
export const STATED: readonly Stated[] = [
  { chain: ['before-scan', 'after-scan'], source: 'GM and Honda position statements, reported in trade press' },
  { chain: ['engine-module-save', 'engine-module-programming'], source: 'Nissan Maxima (A35) service manual, EC-17' },
  {
    chain: ['engine-module-programming', 'injector-code-entry'],
    source: 'Toyota repair manual, initialisation and registration',
  },
  {
    chain: ['injector-codes-read', 'injector-code-entry'],
    source: 'GM service manual, injector flow rate programming, doc 139339',
  },
  {
    chain: ['injector-codes-read-off', 'injector-code-entry'],
    source: 'GM service manual, injector flow rate programming, doc 139339',
  },
  {
    chain: ['injector-code-entry', 'pilot-quantity-learn'],
    source: 'Toyota; Mitsubishi 4D56 required service operation',
  },
  {
    chain: ['transmission-code-read', 'transmission-values-reset'],
    source: 'Toyota repair manual, automatic transaxle precaution',
  },
  {
    chain: ['transmission-values-reset', 'transmission-learning-drive'],
    source: 'Toyota, compensation code reset, memory reset, learning road test',
  },
  {
    chain: ['oil-life-noted', 'engine-module-programming', 'oil-life-restored'],
    source: 'GM Saturn VUE 2005, doc 135280',
  },
  {
    chain: ['keys-collected', 'key-registration'],
    source: 'Nissan Versa immobiliser section; Toyota C-HR key registration',
  },
  { chain: ['settings-noted', 'supply-off-wait'], source: 'Toyota battery procedures' },
  {
    chain: ['key-registration', 'vin-registration', 'accelerator-pedal-zero'],
    source: 'Nissan Altima 2007-12, additional service when replacing control unit',
    makers: ['nissan', 'infiniti'],
  },
  {
    chain: ['accelerator-pedal-zero', 'throttle-closed-learn', 'idle-air-learn'],
    source: 'Nissan Sentra 2004; Maxima EC-17',
  },
  { chain: ['idle-air-learn', 'idle-recheck'], source: 'Nissan Maxima EC-17, steps 11 to 15' },
  {
    chain: [
      'engine-module-programming',
      'oxygen-sensor-heater-learn',
      'throttle-closed-learn',
      'crank-variation-learn',
    ],
    source: 'GM Pontiac G8 2008 and 2009, doc 148765',
    makers: ['pontiac'],
  },
  { chain: ['engine-module-programming', 'crank-variation-learn'], source: 'GM Pontiac G8 2008, doc 148765' },
  { chain: ['clear-codes', 'crank-variation-learn'], source: 'GM LeSabre 1999 doc 25656; Canyon 2009 doc 146674' },
  { chain: ['hv-shut-off', 'hv-zero-proof', 'hv-plug-in'], source: 'Toyota, service plug removal' },
  {
    chain: ['ride-height-calibration', 'wheel-alignment'],
    source: 'Tesla S/X air suspension text; Lexus LS 600hL 2008',
  },
  {
    chain: ['tyre-pressure-set', 'wheel-alignment'],
    source: 'Tesla Model S/X ride-height text: pressures checked first',
  },
  { chain: ['wheel-alignment', 'steering-angle-zero'], source: 'Nissan Sentra B17; Toyota Avalon 2009' },
  { chain: ['yaw-zero', 'steering-angle-zero'], source: 'Lexus LS 460 2007, C1290' },
  { chain: ['wheel-alignment', 'front-radar-aim'], source: 'Audi A8 2011, A3 2017' },
  { chain: ['night-vision-aim', 'front-radar-aim'], source: 'Audi A8 2011', makers: ['audi'] },
  { chain: ['yaw-zero', 'awd-yaw-zero'], source: 'Acura RL 2009' },
  { chain: ['brake-bleed', 'brake-hydraulic-unit-bleed'], source: 'Toyota bleeding page' },
  { chain: ['forward-camera-coding', 'forward-camera-aim'], source: 'Toyota Prius 2023; Hyundai Elantra' },
  { chain: ['ride-height-calibration', 'surround-view-calibration'], source: 'VW Touareg 19.8.1' },
  {
    chain: ['glass-adhesive-wait', 'forward-camera-aim'],
    source: 'Mazda CX-30, aiming on the road after the adhesive is ready to drive',
    makers: ['mazda'],
  },
  {
    chain: ['parking-brake-open-for-pads', 'parking-brake-close-and-learn'],
    source: 'training article on electric parking brakes',
  },
  { chain: ['supply-off-wait', 'first-start-pause'], source: 'Toyota battery procedures' },
  {
    chain: ['brake-hydraulic-unit-bleed', 'brake-valve-initialise'],
    source: 'Toyota Prius, brake actuator: bled, then calibrated',
  },
  {
    chain: ['brake-controller-coding', 'brake-valve-initialise'],
    source: 'Toyota Prius, brake actuator: security key',
  },
  { chain: ['wheel-alignment', 'rear-steering-zero'], source: 'Lexus, dynamic rear steering' },
  {
    chain: ['module-configuration', 'steer-by-wire-learn'],
    source: 'Infiniti Q60 2017, direct adaptive steering',
    makers: ['infiniti'],
  },
  { chain: ['supply-off-wait', 'hv-shut-off'], source: 'Nissan Leaf 2017, precaution for removing 12V battery' },
];

export function pairs() {
  return STATED.flatMap(({ chain, source, makers }) =>
    chain.slice(1).map((then, i) => ({ first: chain[i] as string, then, source, makers })),
  );
}

/** Pairs in the wrong order; where the first is repeated, its first instance counts. Steps of one block are the maker's to order. */
export function broken(list: Pick<Checklist, 'steps'>, maker: string | undefined, met?: Set<string>): string[] {
  const rank = (id: string) => {
    const at = list.steps.findIndex((s) => s.id === id);
    return at < 0
      ? undefined
      : {
          at,
          phase: PHASES.indexOf((list.steps[at] as { phase: (typeof PHASES)[number] }).phase),
          block: list.steps[at]?.block,
        };
  };
  return pairs().flatMap(({ first, then, source, makers }) => {
    const [a, b] = [rank(first), rank(then)];
    if (!a || !b || (makers && !makers.includes(String(maker))) || (a.block !== undefined && a.block === b.block))
      return [];
    met?.add(`${first} > ${then}`);
    return a.at < b.at ? [] : [`${first} must stand before ${then} (${source})`];
  });
}
