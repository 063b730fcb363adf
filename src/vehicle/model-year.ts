import type { Market, VehicleClass } from './schema.ts';
import { atMost, type Weight } from './weight.ts';

/** Codes of position 10 in order, 30 years a round: 1980 to 2009, then 2010 to 2039 (49 CFR 565.15(d)(1), Table VII). */
export const MODEL_YEAR_CODES = 'ABCDEFGHJKLMNPRSTVWXY123456789';
const FIRST_ROUND = 1980;
const ROUND = 30;
/** 10,000 lb: up to here position 7 of an MPV or truck tells the round (49 CFR 565.15(b)). */
const LIGHT_KG = 4536;

export interface YearFacts {
  readonly market?: Market | undefined;
  readonly class?: VehicleClass | undefined;
  readonly gvwrKg?: Weight | undefined;
  /** Later years are left out: next year's model is the latest that can stand in a workshop. */
  readonly latestModelYear?: number | undefined;
}

export interface ModelYears {
  /** Every model year still possible, ascending; empty where position 10 need not be a year or fits none. */
  readonly years: readonly number[];
  readonly because: string;
}

/**
 * Model years that a VIN can mean. Position 7 (a digit: 1980 to 2009, a letter: 2010 to 2039) is read only where the
 * rule binds: passenger cars, and MPVs and trucks up to 10,000 lb GVWR, in the US and (from memory) Canada. For heavier trucks,
 * buses, motorcycles and trailers it proves nothing, so both rounds stay. Outside the US, Canada and China ISO 3779
 * does not ask for a year in position 10 at all.
 */
export function modelYears(vin: string, facts: YearFacts): ModelYears {
  const code = vin.charAt(9);
  const place = MODEL_YEAR_CODES.indexOf(code);
  if (place < 0) return { years: [], because: `\`${code}\` in position 10 is no model-year code` };
  const both = [FIRST_ROUND + place, FIRST_ROUND + ROUND + place];
  if (facts.market === undefined)
    return {
      years: [],
      because: `\`${code}\` in position 10 means ${both.join(' or ')} if the vehicle was built for the US, Canada or China: name the market`,
    };
  if (!['US', 'US-CA', 'CA', 'CN'].includes(facts.market))
    return {
      years: [],
      because: `position 10 need not be a model year in market ${facts.market} (ISO 3779): take it from the papers`,
    };
  return notLater(narrow(vin, both, facts), facts.latestModelYear);
}

function narrow(vin: string, both: readonly number[], facts: YearFacts): ModelYears {
  const seventh = vin.charAt(6);
  const [early, late] = [both.slice(0, 1), both.slice(1)];
  const says = /\d/.test(seventh) ? early : late;
  const light = isLight(facts);
  if (facts.market === 'CN' || light === false)
    return { years: both, because: 'position 7 does not tell the thirty years apart on this vehicle' };
  if (light === undefined)
    return {
      years: both,
      because: `\`${seventh}\` in position 7 says ${says.join()}, if this is a passenger car, or an MPV or truck of at most ${LIGHT_KG} kg (10,000 lb) GVWR`,
    };
  return { years: says, because: `positions 7 and 10 are \`${seventh}\` and \`${vin.charAt(9)}\` (49 CFR 565.15)` };
}

function isLight(facts: YearFacts): boolean | undefined {
  if (facts.class === undefined) return undefined;
  if (facts.class === 'car') return true;
  if (facts.class === 'mpv' || facts.class === 'truck') return atMost(facts.gvwrKg, LIGHT_KG);
  return ['bus', 'motorcycle', 'trailer'].includes(facts.class) ? false : undefined;
}

function notLater(found: ModelYears, latest: number | undefined): ModelYears {
  if (latest === undefined) return found;
  const years = found.years.filter((year) => year <= latest);
  if (years.length === found.years.length) return found;
  const gone = found.years.filter((year) => year > latest);
  return { years, because: `${found.because}; ${gone.join(' and ')} is later than ${latest}` };
}
