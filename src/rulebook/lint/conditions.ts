import { type Fault, pointer } from '../fault.ts';
import { ANY_PART, type Applies, type FollowUp, reaches, type Rulebook, type Trigger } from '../rulebook.ts';
import { DIDS, type WorkMatch } from '../schema.ts';
import { all, describeCar, findCar, not } from './car.ts';
import type { Lint } from './lint.ts';
import { meet } from './relations.ts';

/** Conditions that say something, and do not contradict each other. */

export const everTrue: Lint = {
  id: 'ever-true',
  scope: 'conditions',
  says: 'every condition is true on some car that its follow-up fits',
  severity: 'fault',
  exceptions: [],
  *check(rulebook) {
    const { domains } = rulebook;
    for (const f of rulebook.followUps.values()) {
      if (!findCar(f.fits, domains)) {
        yield { file: f.file, pointer: '/fits', message: 'fits no car at all' };
        continue;
      }
      for (const { at, applies } of conditionsOf(f)) {
        if (!findCar(all(f.fits, ...applies), domains))
          yield { file: f.file, pointer: at, message: 'never true on a car that the follow-up fits' };
      }
    }
    for (const part of rulebook.parts.values()) {
      for (const [i, row] of part.implies.entries()) {
        if (!findCar(all(row.applies), domains))
          yield { file: 'parts.json', pointer: pointer(part.id, 'implies', i), message: 'never true on any car' };
      }
    }
  },
};

export const oneLevel: Lint = {
  id: 'one-level',
  scope: 'conditions',
  says: 'no car and line make a follow-up both called for and not needed at one rank',
  severity: 'fault',
  exceptions: [],
  *check(rulebook) {
    for (const f of rulebook.followUps.values()) {
      const [silent, calling] = [
        f.triggers.filter((t) => t.level === 'not-needed'),
        f.triggers.filter((t) => t.level !== 'not-needed'),
      ];
      for (const no of silent) {
        for (const yes of calling.filter((t) => t.rank === no.rank)) {
          const line = sharedLine(no, yes, rulebook);
          const car = line && findCar(all(f.fits, no.applies, yes.applies), rulebook.domains);
          if (car) yield contradiction(f, no, yes, `${line} ${describeCar(car)}`);
        }
      }
    }
  },
};

export const notShadowed: Lint = {
  id: 'not-shadowed',
  scope: 'conditions',
  says: 'every trigger can change something that another of its file does not already say',
  severity: 'fault',
  exceptions: [],
  *check(rulebook) {
    for (const f of rulebook.followUps.values()) {
      const written = f.triggers.filter((t) => t.index >= 0);
      for (const trigger of written) {
        const shades = shadows(trigger, written, f, rulebook);
        if (shades.length === 0) continue;
        const hint = `what it says is already said by ${shades.map((t) => `/triggers/${t.index}`).join(' and ')}`;
        yield {
          file: f.file,
          pointer: pointer('triggers', trigger.index),
          message: 'trigger can never change anything',
          hint,
        };
      }
    }
  },
};

/** The triggers that between them say all that this one says; none if something is left to it. */
function shadows(trigger: Trigger, written: readonly Trigger[], f: FollowUp, rulebook: Rulebook): Trigger[] {
  const stronger = written.filter((other) => {
    if (other === trigger || !implied(trigger, other, f, rulebook)) return false;
    return outspeaks(other, trigger, isTwin(trigger, other) && implied(other, trigger, f, rulebook));
  });
  const shades = [
    ...trigger.work.map((match) => stronger.find((other) => other.work.some((m) => takesIn(m, match)))),
    ...trigger.codes.map((code) => stronger.find((other) => other.codes.includes(code))),
  ];
  const found = shades.filter((shade) => shade !== undefined);
  return found.length === shades.length ? [...new Set(found)] : [];
}

/** The two say the same of the same work and codes: only one of them is too many. */
function isTwin(a: Trigger, b: Trigger): boolean {
  const within = (one: Trigger, two: Trigger) =>
    one.work.every((m) => two.work.some((w) => takesIn(w, m))) && one.codes.every((c) => two.codes.includes(c));
  return within(a, b) && within(b, a);
}

/** A higher rank speaks whatever its level; among equals the stronger level does, and of two alike the first. */
function outspeaks(other: Trigger, trigger: Trigger, twin: boolean): boolean {
  if (other.rank !== trigger.rank) return other.rank > trigger.rank;
  if (other.level !== trigger.level) return other.level === 'required' && trigger.level === 'recommended';
  return !twin || other.index < trigger.index;
}

function implied(trigger: Trigger, other: Trigger, f: FollowUp, { domains }: Rulebook): boolean {
  return findCar(all(f.fits, trigger.applies, not(other.applies)), domains) === undefined;
}

/** Every line that hits `narrow` hits `wide`. */
export function takesIn(wide: WorkMatch, narrow: WorkMatch): boolean {
  if (wide.part !== ANY_PART && wide.part !== narrow.part) return false;
  const dids = DIDS.filter((did) => reaches(did, narrow.did, narrow.exactly));
  const anyWork = wide.part === ANY_PART && wide.did === 'inspected';
  if (!anyWork && !dids.every((did) => reaches(did, wide.did, wide.exactly))) return false;
  return wide.at === undefined || (narrow.at?.every((position) => wide.at?.includes(position)) ?? false);
}

/** A line or code that hits both, in words. */
function sharedLine(a: Trigger, b: Trigger, rulebook: Rulebook): string | undefined {
  for (const one of a.work) {
    for (const two of b.work) {
      const line = lineOfBoth(one, two, rulebook);
      if (line) return line;
    }
  }
  const code = a.codes.find((c) => b.codes.includes(c));
  return code && `code ${code}`;
}

function lineOfBoth(a: WorkMatch, b: WorkMatch, { parts }: Rulebook): string | undefined {
  const part = a.part === ANY_PART ? b.part : a.part;
  if ((b.part !== part && b.part !== ANY_PART) || !meet(a.at, b.at)) return undefined;
  const sensible = parts.get(part)?.text.did ?? DIDS;
  const did = sensible.find((d) => reaches(d, a.did, a.exactly) && reaches(d, b.did, b.exactly));
  return did && `\`${part} ${did}\``;
}

function contradiction(f: FollowUp, no: Trigger, yes: Trigger, where: string): Fault {
  const other = yes.index < 0 ? '/done-by' : `/triggers/${yes.index}`;
  return {
    file: f.file,
    pointer: pointer('triggers', no.index),
    message: `not needed here and called for by ${other}, at one rank`,
    hint: `${where} hits both; give one of them a scope or a condition`,
  };
}

/** Each condition of a file with its place, the file's own `fits` left out. */
function* conditionsOf(f: FollowUp): Iterable<{ at: string; applies: Applies[] }> {
  const lists = { needs: f.needs, leaves: f.leaves, upsets: f.upsets, does: f.does, after: f.after, covers: f.covers };
  for (const trigger of f.triggers)
    if (trigger.index >= 0) yield { at: pointer('triggers', trigger.index), applies: [trigger.applies] };
  for (const [key, list] of Object.entries(lists)) {
    for (const [i, row] of list.entries()) yield { at: pointer(key, i), applies: [row.applies] };
  }
  for (const [w, way] of f.ways.entries()) {
    yield { at: pointer('ways', w), applies: [way.applies] };
    const inner = { needs: way.needs.filter((n) => !n.guard), upsets: way.upsets, does: way.does };
    for (const [key, list] of Object.entries(inner)) {
      for (const [i, row] of list.entries())
        yield { at: pointer('ways', w, key, i), applies: [way.applies, row.applies] };
    }
  }
}
