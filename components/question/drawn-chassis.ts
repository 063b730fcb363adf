import { svg } from 'lit';
import { arrow, type Drawing, tool, word } from './ink.ts';

/** Body, chassis and driver assistance. */
export const CHASSIS: Readonly<Record<string, Drawing>> = {
  'front-radar': {
    words: 'Nose of a car: a smooth emblem in the grille, and a plain square low in the bumper',
    lines: svg`<path d="M14 40c20-22 152-22 172 0l6 74H8zM40 40h120v34H40z" /><circle cx="100" cy="56" r="15" stroke-width="5" /><path d="M78 88h44v18H78z" stroke-width="5" />${arrow(126, 97, 90)}${arrow(120, 48, 60)}`,
  },
  'head-up-display': {
    words: 'Dash seen by the driver: a slot in its top, and above it a speed that floats in the windscreen',
    lines: svg`<path d="M8 124V92c20-16 164-16 184 0v32zM40 72L62 8M186 60l-14-52" /><path d="M70 84h62l10 14H58z" stroke-width="5" /><path d="M66 20h66v32H66z" stroke-dasharray="6 5" stroke-width="3" /><path d="M76 80l-6-26M126 80l6-26" stroke-dasharray="4 5" />${word(99, 42, '50')}${arrow(146, 88, 80)}`,
  },
  'rain-sensor': {
    words: 'Windscreen from outside: a round pad without a lens at the mirror foot, raindrops beside it',
    lines: svg`<path d="M8 10h184l-22 112M8 10l22 112M78 10l6 28h32l6-28" /><circle cx="100" cy="66" r="18" stroke-width="5" /><circle cx="100" cy="66" r="8" /><path d="M52 46l-4 10M62 80l-4 10M42 100l-4 10M150 98l-4 10" stroke-width="4" />${arrow(120, 66, 90)}`,
  },
  'surround-view': {
    words: 'Car from above with a small lens in the nose, under both mirrors and at the tail',
    lines: svg`<path d="M20 66c0-26 16-34 40-34h84c24 0 36 10 36 34s-12 34-36 34H60c-24 0-40-8-40-34z" stroke-width="3" /><path d="M68 40v52M140 40v52M78 32l-6-12h14l6 12M78 100l-6 12h14l6-12" /><circle cx="14" cy="66" r="7" stroke-width="5" /><circle cx="186" cy="66" r="7" stroke-width="5" /><circle cx="80" cy="12" r="6" stroke-width="5" /><circle cx="80" cy="120" r="6" stroke-width="5" />`,
  },
  'power-sliding-door': {
    words: 'Side of a van with a sliding door on its rail, and a button with the same picture',
    lines: svg`<path d="M8 104V34c0-8 6-14 14-14h120c20 0 34 30 46 44v40z" stroke-width="3" /><circle cx="44" cy="106" r="14" /><circle cx="152" cy="106" r="14" /><path d="M64 32h54v62H64zM10 62h54" stroke-width="5" />${arrow(24, 48, 90)}<path d="M40 48h16" stroke-width="5" />`,
  },
  'power-tailgate': {
    words: 'Car from the side with its tailgate up; a button with an arrow on the edge of the gate',
    lines: svg`<path d="M8 108V76l42-10 30-34h62l8 76zM142 32l46-18" stroke-width="3" /><circle cx="46" cy="110" r="13" /><circle cx="126" cy="110" r="13" /><path d="M160 44h30v26h-30z" stroke-width="4" /><path d="M175 64V50M169 56l6-6 6 6" stroke-width="3" /><path d="M188 14v14" stroke-width="5" />`,
  },
  'air-suspension': {
    words:
      'Left: rubber bellows between arm and body with an air line. Right: a coil spring. Below: a switch with a car that goes up and down',
    lines: svg`<path d="M120 8v70" stroke-dasharray="3 6" /><path d="M24 12h60M24 76h60" stroke-width="4" /><path d="M32 12c-12 8-12 18 0 22-12 6-12 16 0 20-12 6-12 16 0 22M76 12c12 8 12 18 0 22 12 6 12 16 0 20 12 6 12 16 0 22" stroke-width="4" /><path d="M54 12c0-8 10-8 30-8h20" stroke-width="3" /><path d="M140 12h48M140 76h48" stroke-width="4" /><path d="M148 14l32 10-32 10 32 10-32 10 32 10-32 10" stroke-width="3" /><path d="M40 94h120v30H40z" stroke-width="4" /><path d="M66 114v-6l8-8h24l8 8v6zM76 116v0M98 116v0" /><path d="M130 120v-18M124 108l6-6 6 6M146 100v18M140 112l6 6 6-6" stroke-width="3" />`,
  },
  'rear-toe': {
    words: 'Under the rear: an arm with an eccentric bolt and its marks; below it a plain beam axle',
    lines: svg`<path d="M16 26h120v14H16z" /><circle cx="152" cy="33" r="20" stroke-width="4" /><circle cx="146" cy="33" r="7" stroke-width="5" /><path d="M152 6v7M172 20l5-4M178 34h8M152 53v7" />${word(64, 62, 'can be set')}<path d="M20 78h14v36H20zM166 78h14v36h-14z" stroke-width="4" /><path d="M34 90h132v12H34z" />${word(100, 124, 'beam: fixed')}`,
  },
  'rear-steering': {
    words: 'Rear axle from above: a motor in its middle, with a track rod to each wheel; the wheels stand turned',
    lines: svg`<path d="M50 30l-26 8 14 62 26-8zM150 30l26 8-14 62-26-8z" stroke-width="3" /><path d="M52 58h96" stroke-width="4" /><path d="M56 84h26M118 84h26" stroke-width="5" /><path d="M82 72h36v26H82z" stroke-width="5" />${word(100, 122, 'motor')}${arrow(100, 70, 0)}`,
  },
  'variable-steering': {
    words: 'Steering column from the side with two motors on it; one has a flat spiral cable',
    lines: svg`<circle cx="30" cy="34" r="24" stroke-width="4" /><path d="M44 46L176 112" stroke-width="6" /><circle cx="88" cy="50" r="18" stroke-width="5" /><path d="M88 50m-9 0a9 9 0 1 1 9 9a13 13 0 0 1-13-13" stroke-width="2.5" /><circle cx="136" cy="112" r="15" stroke-width="3" />${word(126, 34, 'ratio')}${word(172, 92, 'help')}`,
  },
  'steer-by-wire': {
    words: 'Steering wheel and rack with only a wire between them; two motors on the rack',
    lines: svg`<circle cx="100" cy="28" r="22" stroke-width="4" /><path d="M100 50v10" stroke-width="5" /><path d="M100 62c-14 6 14 10 0 16s14 8 0 14" stroke-dasharray="4 4" /><path d="M16 104h168" stroke-width="6" /><path d="M46 88h26v30H46zM128 88h26v30h-26z" stroke-width="5" />${word(100, 126, 'wire only')}`,
  },
  'yaw-zero-stored-in': {
    words: 'A scan tool, brake controller open, with yaw zero in its list of functions',
    lines: tool('yaw zero'),
  },
  'steering-zero-method': {
    words: 'A steering wheel straight ahead, and a scan tool that offers angle zero',
    lines: svg`<circle cx="46" cy="66" r="38" stroke-width="4" /><circle cx="46" cy="66" r="10" /><path d="M8 66h28M56 66h28M46 76v28M46 16v12" stroke-width="3" /><path d="M104 24h86v84h-86z" stroke-width="3" /><path d="M112 34h50M112 82h60" /><path d="M110 46h74v24h-74z" stroke-width="4" />${word(147, 63, 'zero')}`,
  },
};
