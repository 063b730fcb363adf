import { on, type Small } from '../small-rulebook.ts';

export type Json = Record<string, unknown>;

/** A tiny rulebook named by its fault; `finds` holds the words of each finding in order, none for a clean one. */
export interface LintCase {
  readonly lint: string;
  readonly fault: string;
  readonly small: Small & { readonly tables?: Readonly<Record<string, unknown>> };
  readonly finds: readonly (readonly string[])[];
}

export const is = (trait: string, value: string): Json => ({ '==': [{ var: trait }, value] });
export const isNot = (trait: string, value: string): Json => ({ '!=': [{ var: trait }, value] });
export const when = (trigger: Json, more: Json): Json => ({ ...trigger, ...more });
export const sources = (...ids: string[]): Json[] => ids.map((id) => ({ id, basis: 'memory' }));
export const camera = { camera: ['none', 'target', 'road'] };
export const parts = { bolt: { at: ['left', 'right'] }, cable: { did: ['refitted', 'replaced'] } };
export const limited = (limit: Json): Json => ({ label: 'angle', answer: 'number', unit: 'deg', limits: [limit] });
export const madeBy = {
  'makers.json': { sources: {}, codes: {}, countries: [], makers: { fictional: { name: 'Fictional' } } },
};
export const told = [{ notice: 'a lamp', 'sets-in': 'at-once' }];

export const needs = (...ids: string[]): Json => ({
  needs: ids.map((state) => ({ state })),
  triggers: [on('bolt refitted')],
});
