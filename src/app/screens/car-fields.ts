import { html, type TemplateResult } from 'lit';
import type { JobFile } from '../../resolve/facts.ts';
import { MARKETS, VEHICLE_CLASSES } from '../../vehicle/schema.ts';
import type { Rulebook } from '../../rulebook/rulebook.ts';
import { setVehicle } from '../job.ts';
import type { Planned } from '../plan.ts';
import { classOf, marketOf } from '../vehicle.ts';

const MARKET_NAMES: Readonly<Record<(typeof MARKETS)[number], string>> = {
  US: 'US',
  'US-CA': 'California',
  CA: 'Canada',
  EU: 'EU',
  GB: 'Britain',
  JP: 'Japan',
  CN: 'China',
  other: 'elsewhere',
};

/** Names of vehicle classes, with those of the law behind them. */
const CLASS_NAMES: Readonly<Record<(typeof VEHICLE_CLASSES)[number], string>> = {
  car: 'car',
  mpv: 'van, SUV (MPV)',
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
export function carFields({ job, facts }: Planned, rulebook: Rulebook, change: (job: JobFile) => void): TemplateResult {
  const { vehicle = {} } = job;
  const year = fromVin(facts, 'model-year');
  const maker = fromVin(facts, 'maker').map((id) => rulebook.makers.get(id) ?? id);
  const makers = [...rulebook.makers];
  const set = (fields: Parameters<typeof setVehicle>[1]) => change(setVehicle(job, fields));
  return html`<div class="fields">
    ${pick(
      'Built for',
      marketOf(job) ?? '',
      MARKETS.map((id): [string, string] => [id, MARKET_NAMES[id]]),
      (market) => set({ market }),
    )}
    ${pick(
      'Kind',
      classOf(job) ?? '',
      VEHICLE_CLASSES.map((id): [string, string] => [id, CLASS_NAMES[id]]),
      (kind) => set({ class: VEHICLE_CLASSES.find((id) => id === kind) }),
    )}
    ${write('GVWR in kg', vehicle.gvwrKg?.toString() ?? '', (text) => set({ gvwrKg: numberOf(text, 100, 100_000) }), 'numeric')}
    ${write('Model year', vehicle.modelYear?.toString() ?? '', (text) => set({ modelYear: numberOf(text, 1950, 2100) }), 'numeric', year)}
    ${pick('Maker', vehicle.maker ?? '', makers, (id) => set({ maker: id }), maker)}
    ${write('Model', vehicle.model ?? '', (model) => set({ model }))}
    <label><span class="label">Promised to the owner</span>
      <input type="datetime-local" .value=${localTime(job.promised)} @change=${(e: Event) => change(promise(job, (e.target as HTMLInputElement).value))} /></label>
    ${write('Stands in', job.parked ?? '', (place) => change(park(job, place)))}
    <div class="wide">${write('As the desk calls it', vehicle.name ?? '', (name) => set({ name }))}</div>
  </div>`;
}

/** As the field wants it, in the clock of the shop: "2026-11-25T15:30". */
function localTime(time: string | undefined): string {
  if (!time) return '';
  const at = new Date(time);
  return new Date(at.getTime() - at.getTimezoneOffset() * 60_000).toISOString().slice(0, 16);
}

function promise(job: JobFile, local: string): JobFile {
  const { promised: _, ...rest } = job;
  const at = new Date(local);
  return Number.isNaN(at.getTime()) ? rest : { ...rest, promised: at.toISOString() };
}

function park(job: JobFile, place: string | undefined): JobFile {
  const { parked: _, ...rest } = job;
  return place ? { ...rest, parked: place } : rest;
}

function pick(
  label: string,
  value: string,
  options: readonly [string, string][],
  set: (value: string | undefined) => void,
  told: readonly string[] = [],
): TemplateResult {
  return html`<label><span class="label">${label}</span>
    <select .value=${value} @change=${(e: Event) => set((e.target as HTMLSelectElement).value || undefined)}>
      <option value="" ?selected=${value === ''}>${told.length > 0 ? `${told.join(' or ')}, VIN` : 'not said'}</option>
      ${options.map(([id, name]) => html`<option value=${id} ?selected=${id === value}>${name}</option>`)}
    </select></label>`;
}

function write(
  label: string,
  value: string,
  set: (text: string | undefined) => void,
  mode: 'text' | 'numeric' = 'text',
  told: readonly string[] = [],
): TemplateResult {
  return html`<label><span class="label">${label}</span>
    <input .value=${value} inputmode=${mode} maxlength="80" placeholder=${told.length > 0 ? `${told.join(' or ')}, VIN` : ''} autocomplete="off" @change=${(e: Event) => set((e.target as HTMLInputElement).value.trim() || undefined)} /></label>`;
}

/** What the VIN tells and nobody said: it stands in the empty field. */
function fromVin(facts: Planned['facts'], fact: string): string[] {
  const known = facts?.car.get(fact);
  return known?.by === 'vin' ? (known.values ?? []).map(String) : [];
}

function numberOf(text: string | undefined, least: number, most: number): number | undefined {
  const number = Number(text);
  return Number.isInteger(number) && number >= least && number <= most ? number : undefined;
}
