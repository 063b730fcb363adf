import { gate, type Refusal } from '../../src/job/gate.ts';
import type { Person } from '../../src/job/people.ts';
import { type Sight, sightOf } from '../../src/job/sight.ts';
import { settling } from '../job.moves.ts';
import { rules } from '../job.rulebook.ts';
import { Runner, type Told } from '../job.run.ts';

export const foreman: Person = { id: 'ode-falkenby', name: 'Ode Falkenby', roles: ['foreman'] };
export const technician: Person = { id: 'rilla-quist', name: 'Rilla Quist', roles: ['technician'] };

const WORK = [
  { part: 'tie-rod', did: 'replaced' },
  { part: 'pads', did: 'refitted', at: 'front' },
  { part: 'battery', did: 'replaced' },
];

/** A job with a tie rod end, pads and a battery, written up and nothing done yet. */
export function writtenUp(alone = false): Runner {
  const runner = new Runner([rules], alone);
  const says = (told: Told) => runner.must({ by: technician.name, ...told });
  says({ type: 'opened', ro: '48213' });
  for (const line of WORK) says({ type: 'line-added', line });
  says({ type: 'trait-told', trait: 'management', answer: 'told' });
  says({ type: 'trait-told', trait: 'camera', answer: 'none' });
  says({ type: 'lamps', when: 'intake', lit: ['airbag'] });
  says({ type: 'answered', question: 'holds:aligned', answer: 'yes' });
  return runner;
}

/** Settles one refusal after the other until only those of these rules are left. */
export function settle(runner: Runner, ...left: readonly Refusal['rule'][]): Runner {
  for (let i = 0; i < 100; i++) {
    const [first] = gate(runner.job, runner.rulebook).filter(({ rule }) => !left.includes(rule));
    if (!first) return runner;
    const [how] = first.settle;
    if (!how) throw new Error(`nothing settles ${first.text}`);
    for (const told of settling(how, runner, () => 0))
      runner.must({
        by: told.type === 'checked' ? foreman.name : technician.name,
        ...told,
        ...(told.type === 'checked' ? { by: foreman.name } : {}),
      });
  }
  throw new Error(`not settled in a hundred moves: ${gate(runner.job, runner.rulebook)[0]?.text}`);
}

/** Everything done; what is left is the foreman's. */
export function toCheck(alone = false): Runner {
  return settle(writtenUp(alone), 'unchecked', 'lamps');
}

export function ready(): Runner {
  return settle(toCheck());
}

export function sight(runner: Runner): Sight {
  return sightOf(runner.job, runner.rulebook);
}
