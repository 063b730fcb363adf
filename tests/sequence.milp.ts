import type { SequenceProblem } from '../src/sequence/sequence.ts';
import { domain, price } from './sequence.oracle.ts';

/**
 * The same problem as a mixed-integer programme in CPLEX LP format: which step at which place, what is in force there, and
 * what stands after. It may change a dimension at any time, so it also tells whether being lazy ever costs anything. Its
 * objective is minutes times `weight`, plus the changes.
 */
export function asMilp(problem: SequenceProblem, weight: number): string {
  const { steps, before, start, changes } = problem;
  const places = steps.map((_, place) => place);
  const names = Object.keys(changes.dimensions);
  const x = (step: number, place: number) => `x_${step}_${place}`;
  const y = (place: number, d: number, v: number) => `y_${place}_${d}_${v}`;
  const a = (place: number, d: number, v: number) => `a_${place}_${d}_${v}`;
  const objective: string[] = [];
  const rows: string[] = [];
  const binaries = steps.flatMap((_, step) => places.map((place) => x(step, place)));
  for (const at of places) {
    rows.push(`${places.map((place) => x(at, place)).join(' + ')} = 1`);
    rows.push(`${places.map((step) => x(step, at)).join(' + ')} = 1`);
    for (const pairs of changes.forbidden) {
      const held = Object.entries(pairs).map(([name, value]) =>
        y(at, names.indexOf(name), domain(problem, name).indexOf(value)),
      );
      rows.push(`${held.join(' + ')} <= ${held.length - 1}`);
    }
  }
  for (const [first, second] of before) {
    const of = (id: string) => steps.findIndex((step) => step.id === id);
    const later = places.slice(1).map((place) => `${place} ${x(of(second), place)}`);
    const sooner = places.slice(1).map((place) => `${place} ${x(of(first), place)}`);
    rows.push(`${later.join(' + ')} - ${sooner.join(' - ')} >= 1`);
  }
  for (const [d, name] of names.entries()) {
    const values = domain(problem, name);
    const makers = steps.flatMap(({ becomes }, step) =>
      becomes?.[name] === undefined ? [] : [{ step, value: becomes[name] }],
    );
    for (const place of places) {
      rows.push(
        `${values.map((_, v) => y(place, d, v)).join(' + ')} = 1`,
        `${values.map((_, v) => a(place, d, v)).join(' + ')} = 1`,
      );
      for (const [v, value] of values.entries()) {
        binaries.push(y(place, d, v));
        steps.forEach(({ setup }, step) => {
          if (setup[name] === value) rows.push(`${y(place, d, v)} - ${x(step, place)} >= 0`);
        });
        for (const maker of makers)
          if (maker.value === value) rows.push(`${a(place, d, v)} - ${x(maker.step, place)} >= 0`);
        const kept = makers.map(({ step }) => ` + ${x(step, place)}`).join('');
        rows.push(`${a(place, d, v)} - ${y(place, d, v)}${kept} >= 0`);
        for (const [w, to] of values.entries()) {
          if (w === v) continue;
          const m = `m_${place}_${d}_${v}_${w}`;
          objective.push(`${price(problem, name, value, to) * weight + 1} ${m}`);
          if (place > 0) rows.push(`${m} - ${a(place - 1, d, v)} - ${y(place, d, w)} >= -1`);
          else if (start[name] === value) rows.push(`${m} - ${y(place, d, w)} >= 0`);
        }
      }
    }
  }
  return `Minimize\n obj: ${objective.join(' + ')}\nSubject To\n${rows.map((row, at) => ` r${at}: ${row}`).join('\n')}\nBinary\n ${binaries.join(' ')}\nEnd\n`;
}
