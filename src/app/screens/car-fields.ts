import { html, type TemplateResult } from 'lit';
import type { JobFile } from '../../resolve/facts.ts';
import { MARKETS, VEHICLE_CLASSES } from '../../vehicle/schema.ts';
import type { Book } from '../book.ts';
import { setVehicle } from '../job.ts';
import { classOf, marketOf, readOff } from '../vehicle.ts';

const MARKET_NAMES: Readonly<Record<(typeof MARKETS)[number], string>> = {
  US: 'United States',
  'US-CA': 'California',
  CA: 'Canada',
  EU: 'European Union',
  GB: 'Great Britain',
  JP: 'Japan',
  CN: 'China',
  other: 'elsewhere',
};

/** Names of vehicle classes, with those of the law behind them. */
const CLASS_NAMES: Readonly<Record<(typeof VEHICLE_CLASSES)[number], string>> = {
  car: 'car',
  mpv: 'van or SUV (MPV)',
  truck: 'truck or pickup',
  bus: 'bus',
  motorcycle: 'motorcycle',
  trailer: 'trailer',
  m1: 'M1, up to 9 seats',
  m2: 'M2, bus to 5 t',
  m3: 'M3, bus over 5 t',
  n1: 'N1, goods to 3.5 t',
  n2: 'N2, goods to 12 t',
  n3: 'N3, goods over 12 t',
};

/** What the papers say of the car: every field may stay empty. Needs the `blank` styles and a grid named `fields`. */
export function carFields(job: JobFile, book: Book, change: (job: JobFile) => void): TemplateResult {
  const { vehicle = {} } = job;
  const makers = Object.entries(book.makers.makers).map(([id, { name }]): [string, string] => [id, name]);
  const set = (fields: Parameters<typeof setVehicle>[1]) => change(setVehicle(job, fields));
  // Market and class decide what the VIN's tenth place means.
  const setAndRead = (fields: Parameters<typeof setVehicle>[1]) => change(readOff(setVehicle(job, fields), book));
  return html`<div class="fields">
    ${pick('Built for', marketOf(job) ?? '', MARKETS.map((id): [string, string] => [id, MARKET_NAMES[id]]), (market) => setAndRead({ market }))}
    ${pick('Kind', classOf(job) ?? '', VEHICLE_CLASSES.map((id): [string, string] => [id, CLASS_NAMES[id]]), (kind) => setAndRead({ class: VEHICLE_CLASSES.find((id) => id === kind) }))}
    ${write('Model year', vehicle.modelYear?.toString() ?? '', (text) => set({ modelYear: yearOf(text) }), 'numeric')}
    ${pick('Maker', vehicle.maker ?? '', makers, (maker) => set({ maker }))}
    ${write('Model', vehicle.model ?? '', (model) => set({ model }))}
    ${write('As the desk calls it', vehicle.name ?? '', (name) => set({ name }))}
  </div>`;
}

function pick(label: string, value: string, options: readonly [string, string][], set: (value: string | undefined) => void): TemplateResult {
  return html`<label><span class="label">${label}</span>
    <select .value=${value} @change=${(e: Event) => set((e.target as HTMLSelectElement).value || undefined)}>
      <option value="" ?selected=${value === ''}>not said</option>
      ${options.map(([id, name]) => html`<option value=${id} ?selected=${id === value}>${name}</option>`)}
    </select></label>`;
}

function write(label: string, value: string, set: (text: string | undefined) => void, mode: 'text' | 'numeric' = 'text'): TemplateResult {
  return html`<label><span class="label">${label}</span>
    <input .value=${value} inputmode=${mode} maxlength="80" autocomplete="off" @change=${(e: Event) => set((e.target as HTMLInputElement).value.trim() || undefined)} /></label>`;
}

function yearOf(text: string | undefined): number | undefined {
  const year = Number(text);
  return Number.isInteger(year) && year >= 1950 && year <= 2100 ? year : undefined;
}
