import { html, nothing, svg, type TemplateResult } from 'lit';
import type { Asked } from '../../src/job/asked.ts';
import type { Units } from '../../src/job/readings.ts';
import { shown } from '../../src/job/units.ts';

const WIDE = 340;

/** The limit as a line with its stops, and a pointer at the figure; nothing where there is no limit. Words stand beside it. */
export function gauge(
  { limits, unit }: Asked,
  figure: number | undefined,
  units: Units,
): TemplateResult | typeof nothing {
  const [low, high] = inner(limits);
  if (low === undefined && high === undefined) return nothing;
  const [from, to] = scale(low, high);
  const at = (value: number) => 20 + ((value - from) / (to - from)) * (WIDE - 40);
  const [left, right] = [low === undefined ? 10 : at(low), high === undefined ? WIDE - 10 : at(high)];
  const stop = (limit: number | undefined) =>
    limit === undefined
      ? ''
      : svg`<path d="M${at(limit)} 8V30" stroke="currentColor" stroke-width="3" /><text x=${at(limit)} y="48">${shown(limit, unit, units)}</text>`;
  return html`<svg class="gauge" viewBox="0 0 ${WIDE} 52" aria-hidden="true">${svg`<path d="M10 19H${WIDE - 10}" stroke="currentColor" stroke-width="2" />
    <path d="M${left} 19H${right}" stroke="currentColor" stroke-width="9" />
    ${stop(low)}${low === high ? '' : stop(high)}
    ${figure === undefined ? '' : svg`<path d="M${Math.min(WIDE - 12, Math.max(12, at(figure)))} 13l9 -13h-18z" fill="currentColor" />`}`}</svg>`;
}

/** Several limits that hold at once leave what all of them allow. */
function inner(limits: Asked['limits']): [number | undefined, number | undefined] {
  const lows = limits.flatMap(({ min }) => (min === undefined ? [] : [min]));
  const highs = limits.flatMap(({ max }) => (max === undefined ? [] : [max]));
  return [lows.length > 0 ? Math.max(...lows) : undefined, highs.length > 0 ? Math.min(...highs) : undefined];
}

/** As much room beside the stops as lies between them, so that a figure just outside is seen to be just outside. */
function scale(low: number | undefined, high: number | undefined): [number, number] {
  const [a, b] = [low ?? (high as number), high ?? (low as number)];
  const span = a === b ? Math.abs(a) || 1 : b - a;
  return [a - span / 2, b + span / 2];
}
