import { svg } from 'lit';
import { arrow, type Drawing, tool, word } from './ink.ts';

/** Engine, fuel, transmission and electrics. */
export const ENGINE: Readonly<Record<string, Drawing>> = {
  engine: {
    words: 'Left: a fuel flap with its label. Right: the glow plug lamp of a diesel, a coil of wire',
    lines: svg`<path d="M100 8v116" stroke-dasharray="3 6" /><circle cx="48" cy="66" r="38" /><circle cx="48" cy="66" r="15" stroke-width="5" />${word(48, 20, 'label')}<path d="M114 66h14c-2-16 14-16 12 0 2-16 14-16 12 0 2-16 14-16 12 0h18" stroke-width="5" />${word(150, 100, 'diesel')}`,
  },
  obd2: {
    words: 'Sixteen-pin socket under the dash, wider at the top than at the bottom',
    lines: svg`<path d="M10 18c60-10 120-10 180 0M34 44h132l-12 58H46z" stroke-width="4" /><path d="M50 54h100l-7 38H57z" /><path d="M62 64h76M64 82h72" stroke-width="7" stroke-linecap="butt" stroke-dasharray="5 5" />${word(100, 124, '16 pins')}`,
  },
  'stop-start': {
    words: 'A switch with an A inside an arrow that turns back on itself',
    lines: svg`<path d="M50 14h100v104H50z" stroke-width="4" /><path d="M122 44a34 34 0 1 0 10 22" stroke-width="5" /><path d="M122 26v20h-20" stroke-width="5" /><path d="M87 82l13-34 13 34M92 70h16" stroke-width="5" />`,
  },
  'idle-learn': {
    words: 'A scan tool with idle learn in its list of functions',
    lines: tool('idle learn'),
  },
  'crank-table': {
    words: 'A scan tool with crank learn in its list of functions',
    lines: tool('crank learn'),
  },
  'injector-codes': {
    words: 'An injector; on its head a printed code and a small square matrix',
    lines: svg`<path d="M60 12h40v34h14v22H96v26h-8l-4 26h-8l-4-26h-8V68H46V46h14z" stroke-width="3" /><path d="M114 22h70v52h-70z" /><path d="M100 30l14-2" /><path d="M122 32h22v22h-22z" stroke-width="4" /><path d="M127 37h4v4h-4zM135 45h4v4h-4zM135 37h4M127 47v2" stroke-width="3" /><path d="M152 34h24M152 44h18M152 54h24M122 64h50" />`,
  },
  'pilot-learn': {
    words: 'A scan tool, diesel engine module open, with a small quantity learn in its list of functions',
    lines: tool('quantity'),
  },
  'transmission-code': {
    words: 'Gearbox case with a label: a long code and a square matrix',
    lines: svg`<path d="M14 112V60l26-30h90l34 22h22v44h-22l-20 16z" stroke-width="3" /><path d="M54 50h74v44H54z" stroke-width="4" /><path d="M62 58h22v22H62zM68 64h4v4h-4zM74 72h4v4h-4z" /><path d="M92 62h28M92 72h20M62 88h58" />${arrow(140, 58, 70)}`,
  },
  transmission: {
    words: 'Left: three pedals and a lever with numbered gears. Right: two pedals and a selector marked P R N D',
    lines: svg`<path d="M100 8v116" stroke-dasharray="3 6" /><path d="M14 92h16v26H14zM40 92h16v26H40zM68 84h14v34H68z" stroke-width="4" /><path d="M26 64V24M48 64V24M70 64V24M26 44h44" stroke-width="4" />${word(26, 18, '1')}${word(48, 18, '3')}<path d="M120 92h36v26h-36zM170 84h14v34h-14z" stroke-width="4" />${word(150, 24, 'P R')}${word(150, 46, 'N D')}<path d="M126 54h48" stroke-width="5" />`,
  },
  'clutch-pedal-sensor': {
    words: 'Clutch pedal seen from the side; at its pivot a plug with three wires',
    lines: svg`<circle cx="70" cy="28" r="12" stroke-width="4" /><path d="M66 40L42 104M30 100l26 10" stroke-width="6" /><path d="M86 18h34v22H86z" stroke-width="5" /><path d="M120 22c20 0 24 8 64 4M120 29c20 0 26 10 64 8M120 36c20 0 28 14 64 12" />${word(152, 74, '3 wires')}${arrow(102, 46, 180)}`,
  },
  immobiliser: {
    words: 'Three keys: a metal key with a black pellet in the blade, a key with a plastic head, a start button',
    lines: svg`<circle cx="26" cy="30" r="15" stroke-width="3" /><path d="M41 25h52v10H41z" /><path d="M58 25h16v10H58z" fill="currentColor" />${word(134, 36, 'pellet')}<path d="M12 62h30v28H12z" stroke-width="5" /><path d="M42 72h50v8H42z" />${word(134, 82, 'chip')}<circle cx="28" cy="114" r="14" stroke-width="4" /><path d="M28 104v10" stroke-width="4" />${word(120, 120, 'start button')}`,
  },
  'oil-life-monitor': {
    words: 'Dash display: an oil can and a figure in percent',
    lines: svg`<path d="M20 20h160v92H20z" stroke-width="3" /><path d="M36 68h14l8-10h28l22-12 4 6-22 32H50V74z" stroke-width="4" /><path d="M112 52c4 8 6 12 0 14-6-2-4-6 0-14z" fill="currentColor" />${word(148, 72, '45 %')}${word(100, 104, 'oil life')}`,
  },
  'particulate-filter': {
    words: 'Exhaust with a thick can; two thin pipes lead from before and behind it to a sensor',
    lines: svg`<path d="M6 92h40M154 92h40M6 108h40M154 108h40M46 78h108v44H46z" stroke-width="3" /><path d="M62 78l-8 44M78 78l-8 44" /><path d="M38 92V34h50M162 92V34h-50" stroke-width="4" /><path d="M86 20h28v28H86z" stroke-width="5" />${arrow(100, 16, 40)}`,
  },
  'secure-gateway': {
    words: 'A scan tool that asks for a sign-in before it may clear codes',
    lines: tool('sign in'),
  },
  'climate-flaps': {
    words: 'Left: a heater knob that pulls a cable. Right: a flap with a small motor and a plug',
    lines: svg`<path d="M100 8v116" stroke-dasharray="3 6" /><circle cx="44" cy="46" r="26" stroke-width="4" /><path d="M44 46V26" stroke-width="5" /><path d="M70 46c16 0 14 40-4 46H20" stroke-width="4" />${word(46, 122, 'cable')}<path d="M112 40l44 34" stroke-width="6" /><path d="M150 66h34v28h-34z" stroke-width="5" /><path d="M167 94v12h18" />${word(150, 124, 'motor')}`,
  },
  telematics: {
    words: 'Roof console with a button marked SOS under a flap',
    lines: svg`<path d="M20 26h160l-18 84H38z" stroke-width="3" /><path d="M70 44h60v36H70z" stroke-width="5" />${word(100, 68, 'SOS')}<circle cx="54" cy="94" r="6" /><circle cx="146" cy="94" r="6" />${arrow(140, 60, 80)}`,
  },
  'flex-fuel': {
    words: 'Filler flap open: a ring round the cap, and E85 inside the flap',
    lines: svg`<path d="M14 18h112v96H14z" stroke-width="3" /><circle cx="70" cy="66" r="34" stroke-width="8" /><circle cx="70" cy="66" r="20" /><path d="M56 66h28" stroke-width="5" /><path d="M126 24l54-10v108l-54-14" stroke-width="3" />${word(154, 72, 'E85')}${arrow(70, 30, 0)}`,
  },
  'audio-lock': {
    words: 'Radio that asks for a code of four figures; beside it the code card',
    lines: svg`<path d="M12 18h176v58H12z" stroke-width="3" /><circle cx="36" cy="47" r="14" /><circle cx="164" cy="47" r="14" /><path d="M62 32h76v26H62z" stroke-width="4" />${word(100, 50, 'CODE')}<path d="M62 90h76v32H62z" /><path d="M72 106h10M88 106h10M104 106h10M120 106h10" stroke-width="5" />`,
  },
};
