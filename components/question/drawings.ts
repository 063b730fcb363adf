import { nothing, svg, html, type TemplateResult } from 'lit';
import { CHASSIS } from './drawn-chassis.ts';
import { ENGINE } from './drawn-engine.ts';
import { arrow, type Drawing, word } from './ink.ts';

/** How to tell a trait, for those who would rather look at a picture than read. Keyed by trait. */
export function drawing(trait: string): TemplateResult | typeof nothing {
  const found = Object.hasOwn(DRAWINGS, trait) ? DRAWINGS[trait] : undefined;
  if (!found) return nothing;
  return html`<svg viewBox="0 0 200 132" role="img" aria-label=${found.words} fill="none" stroke="currentColor" stroke-width="2.2" stroke-linecap="round" stroke-linejoin="round">${found.lines}</svg>`;
}

export function hasDrawing(trait: string): boolean {
  return Object.hasOwn(DRAWINGS, trait);
}

/** Traits that have a drawing. */
export function drawn(): string[] {
  return Object.keys(DRAWINGS).sort();
}

const DRAWINGS: Readonly<Record<string, Drawing>> = {
  ...CHASSIS,
  ...ENGINE,
  'forward-camera': {
    words: 'Windscreen from outside; a box with a lens above the mirror',
    lines: svg`<path d="M22 112L52 20c30-9 66-9 96 0l30 92M8 112h184M38 104c40-10 84-10 124 0M78 62h44l-4 18H82z" /><path d="M90 24h20l6 24H84z" stroke-width="5" /><circle cx="100" cy="38" r="5" stroke-width="4" /><path d="M100 48v14" />${arrow(122, 36, 72)}`,
  },
  'stereo-camera': {
    words: 'Windscreen from outside; two lenses, left and right of the mirror',
    lines: svg`<path d="M22 112L52 20c30-9 66-9 96 0l30 92M8 112h184M82 56h36l-4 18H86z" /><path d="M52 28h96l4 22H48z" stroke-width="4" /><circle cx="66" cy="39" r="7" stroke-width="4" /><circle cx="134" cy="39" r="7" stroke-width="4" />`,
  },
  'battery-management': {
    words: 'Negative post with a small box between clamp and cable, two thin wires leaving it',
    lines: svg`<path d="M12 124V58h112v66M30 58V46h20v12M92 58V46h20v12M24 84h18M33 75v18M92 84h20" /><path d="M84 50h38" stroke-width="7" /><path d="M122 42h38v26h-38z" stroke-width="5" /><path d="M160 50h14c10 0 12 8 12 18v54" stroke-width="6" /><path d="M134 68v12c0 10 6 12 6 22v22M146 68v12c0 10 4 12 4 22v22" />${arrow(141, 36, 0)}`,
  },
  'one-touch-windows': {
    words: 'Window switch marked auto, with an arrow up and an arrow down',
    lines: svg`<path d="M16 118l14-76h140l14 76z" /><path d="M62 92c0-20 8-36 38-36s38 16 38 36z" stroke-width="5" /><path d="M100 56v36M82 84V68M76 74l6-7 6 7M118 66v16M112 76l6 7 6-7" />${word(100, 112, 'AUTO')}${word(100, 26, 'both ways')}`,
  },
  'tyre-pressure-warning': {
    words: 'Two valves at the rim: a metal stem with a nut, and plain rubber',
    lines: svg`<path d="M12 18v96M24 18v96" /><path d="M24 28h22v26H24zM46 24h14v34H46zM60 33h44v16H60zM104 29h20v24h-20z" stroke-width="4" />${word(164, 47, 'metal')}<path d="M24 82c16 0 22 4 30 8h52v14H54c-8 4-14 8-30 8zM106 85h18v24h-18z" />${word(164, 103, 'rubber')}`,
  },
  'parking-brake': {
    words: 'Left: a switch with P in a ring. Right: a lever',
    lines: svg`<path d="M100 8v116" stroke-dasharray="3 6" /><path d="M20 92h60v28H20z" /><path d="M34 92c0-10 4-16 16-16s16 6 16 16" stroke-width="5" /><circle cx="50" cy="40" r="17" stroke-width="4" />${word(50, 46, 'P')}<path d="M30 28c-5 8-5 16 0 24M70 28c5 8 5 16 0 24" stroke-width="4" /><path d="M120 116h68M126 116c2-14 8-18 18-22l34-52c4-6 12-1 9 5l-28 54c-2 6-4 9-4 15" />${word(134, 40, 'lever')}`,
  },
  'power-steering': {
    words: 'Steering column with a motor hanging from it',
    lines: svg`<circle cx="48" cy="66" r="46" /><circle cx="48" cy="66" r="12" /><path d="M48 20v34M10 88l27-16M86 88L59 72M94 66h92M94 58h18v16H94z" /><circle cx="146" cy="86" r="24" stroke-width="5" /><path d="M130 66V52h32v14" stroke-width="5" /><path d="M138 86h16M146 78v16" stroke-width="3" />${arrow(164, 46, 40)}`,
  },
  'stability-control': {
    words: 'A lamp in the instruments: a car that leaves two winding tracks; a switch with the same sign',
    lines: svg`<path d="M20 20h160v92H20z" /><path d="M78 44l8-16h28l8 16v18H78zM84 62v8M116 62v8" stroke-width="4" /><path d="M84 76c-14 8 14 12 0 24M116 76c-14 8 14 12 0 24" stroke-width="4" />`,
  },
  throttle: {
    words: 'Left: a throttle body with a motor and a plug. Right: one pulled by a cable',
    lines: svg`<path d="M100 8v116" stroke-dasharray="3 6" /><circle cx="40" cy="60" r="26" /><path d="M24 76L56 44" stroke-width="5" /><path d="M66 40h24v40H66zM72 80v14M84 80v14" stroke-width="4" />${word(48, 118, 'motor')}<circle cx="142" cy="60" r="26" /><path d="M126 76L158 44" stroke-width="5" /><path d="M168 60c16 0 10-40 22-48" stroke-width="4" />${word(146, 118, 'cable')}`,
  },
  sunroof: {
    words: 'Car roof from above with a glass panel, and its switch at the lamp overhead',
    lines: svg`<path d="M30 16c-10 30-10 70 0 100h140c10-30 10-70 0-100z" /><path d="M62 30h76v60H62z" stroke-width="5" /><path d="M80 102h40v12H80z" />${arrow(100, 58, 180)}`,
  },
};
