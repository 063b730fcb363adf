import { all, any, describeCar, findCar, not } from '../rulebook/lint/car.ts';
import { type MayEdge, mayEdges } from '../rulebook/lint/edges.ts';
import { pulls } from '../rulebook/lint/reach.ts';
import { calledBy, needsOf, worksOf } from '../rulebook/lint/relations.ts';
import { existence } from '../rulebook/lint/states.ts';
import type { FollowUp, Rulebook, State } from '../rulebook/rulebook.ts';
import { PHASES } from '../rulebook/schema.ts';
import { conditionText, scopeText, triggerText, words } from './words.ts';

/** What one file will meet among all the others: an author can not see that from the file. */
export interface Explanation {
  readonly heading: string;
  readonly lines: readonly string[];
}

/** Sections in the order an author asks; empty ones are left out. Nothing is assumed about the car. */
export function explain(followUp: FollowUp, rulebook: Rulebook): Explanation[] {
  const edges = mayEdges(rulebook).filter((e) => findCar(e.when, rulebook.domains));
  const sections: Explanation[] = [
    {
      heading: 'fits',
      lines: [followUp.fits.variables.length > 0 ? conditionText(rulebook, followUp.text.fits) : 'every car'],
    },
    { heading: 'called for by work', lines: callers(followUp, rulebook) },
    { heading: 'called for by what a step does', lines: doers(followUp, rulebook) },
    { heading: 'pulled by', lines: pullers(followUp, rulebook) },
    {
      heading: 'calls for, by what it does',
      lines: worksOf(followUp).flatMap((tie) => calledOnSomeCar(followUp, tie, rulebook)),
    },
    {
      heading: 'stands after',
      lines: told(
        edges.filter((e) => e.after === followUp),
        (e) => e.before,
      ),
    },
    {
      heading: 'stands before',
      lines: told(
        edges.filter((e) => e.before === followUp),
        (e) => e.after,
      ),
    },
    { heading: 'met in another phase', lines: otherPhases(followUp, rulebook) },
    { heading: 'asked in its entry', lines: asked(followUp, rulebook) },
    { heading: 'guarded by', lines: guards(followUp, rulebook) },
    { heading: 'a need is void', lines: voids(followUp, rulebook) },
    { heading: 'done within', lines: coverers(followUp, rulebook) },
  ];
  return sections.map((s) => ({ ...s, lines: [...new Set(s.lines)] })).filter((s) => s.lines.length > 0);
}

function callers(followUp: FollowUp, rulebook: Rulebook): string[] {
  return followUp.triggers.map((trigger) => {
    const condition = trigger.index < 0 ? undefined : followUp.text.triggers?.[trigger.index]?.if;
    const only = condition === undefined ? '' : `, where ${conditionText(rulebook, condition)}`;
    return `${triggerText(rulebook, trigger)}${only}: ${words(trigger.level)}, ${trigger.because}`;
  });
}

function doers(followUp: FollowUp, rulebook: Rulebook): string[] {
  return [...rulebook.followUps.values()].flatMap((step) =>
    worksOf(step).flatMap((tie) =>
      calledBy(step, tie, rulebook)
        .filter((call) => call.followUp === followUp && findCar(all(step.fits, call.when), rulebook.domains))
        .map(
          (call) =>
            `\`${step.id}\` does \`${tie.work.part} ${tie.work.did}\` (${step.file}), which hits /triggers/${call.trigger.index}`,
        ),
    ),
  );
}

function calledOnSomeCar(followUp: FollowUp, tie: ReturnType<typeof worksOf>[number], rulebook: Rulebook): string[] {
  const calls = calledBy(followUp, tie, rulebook).filter((call) =>
    findCar(all(followUp.fits, call.when), rulebook.domains),
  );
  return calls.map((call) => `\`${call.followUp.id}\`, because it does \`${tie.work.part} ${tie.work.did}\``);
}

const PULL_WORDS = {
  upset: (id: string, state: string) => `\`${id}\` upsets \`${state}\``,
  undo: (id: string, state: string) => `\`${id}\` leaves \`${state}\`, which the car must not keep`,
  absent: (id: string, state: string) => `\`${id}\` needs \`${state}\`, which has to be brought about`,
  asked: (id: string, state: string) => `\`${id}\` needs \`${state}\`, if somebody says that it does not hold`,
};

function pullers(followUp: FollowUp, rulebook: Rulebook): string[] {
  return pulls(followUp, rulebook)
    .filter((pull) => findCar(all(followUp.fits, pull.when), rulebook.domains))
    .map((pull) => `${PULL_WORDS[pull.how](pull.by.id, pull.state.id)} (${pull.by.file})`);
}

/** One line for each step and reason, with every place that says so. */
function told(edges: readonly MayEdge[], other: (e: MayEdge) => FollowUp): string[] {
  const places = new Map<string, Set<string>>();
  for (const edge of edges) {
    const line = `\`${other(edge).id}\`: ${edge.why}`;
    places.set(line, (places.get(line) ?? new Set()).add(`${edge.file}#${edge.pointer}`));
  }
  return [...places].map(([line, at]) => `${line} (${shortened([...at])})`).sort();
}

function shortened(places: readonly string[]): string {
  const [first, ...more] = places;
  return more.length > 0 ? `${first} and ${more.length} more` : `${first}`;
}

/** Phases are put in order apart, so a state left earlier is simply there, and one left later is upset only then. */
function otherPhases(followUp: FollowUp, rulebook: Rulebook): string[] {
  return needsOf(followUp).flatMap((need) => {
    const { leavers } = rulebook.states.get(need.state) as State;
    const elsewhere = leavers.filter((l) => l.phase !== followUp.phase);
    const when = (l: FollowUp) => (PHASES.indexOf(l.phase) < PHASES.indexOf(followUp.phase) ? 'earlier' : 'later');
    return elsewhere.map((l) => `needs \`${need.state}\`, which \`${l.id}\` leaves ${when(l)}, in phase ${l.phase}`);
  });
}

function asked(followUp: FollowUp, rulebook: Rulebook): string[] {
  return needsOf(followUp).flatMap(({ state: id }) => {
    const state = rulebook.states.get(id) as State;
    if (state.start !== 'confirm') return [];
    const makers = state.leavers.map((l) => `\`${l.id}\``).join(', ');
    return [
      `${state.question ?? `${state.title}?`} (\`${id}\`${makers ? `; not asked where ${makers} is on the list` : ''})`,
    ];
  });
}

/** Set-ups of its ways that a state guards. */
function guards(followUp: FollowUp, rulebook: Rulebook): string[] {
  const guarded = needsOf(followUp).filter((need) => need.guard);
  return [...new Set(guarded.map((need) => need.state))].map((id) => {
    const setups = (rulebook.states.get(id) as State).guards.map((g) =>
      Object.entries(g)
        .map((e) => e.join(' '))
        .join(', '),
    );
    const ways = new Set(guarded.filter((need) => need.state === id).map((need) => need.way?.id));
    return `\`${id}\`, which guards ${setups.join(' or ')} (ways: ${[...ways].join(', ')})`;
  });
}

/** Where no follow-up that leaves a state fits the car, the state does not exist there. */
function voids(followUp: FollowUp, rulebook: Rulebook): string[] {
  const needs = needsOf(followUp);
  return [...new Set(needs.map((need) => need.state))].flatMap((id) => {
    const needed = any(needs.filter((need) => need.state === id).map((need) => need.when));
    const car = findCar(all(followUp.fits, needed, not(existence(rulebook.states.get(id) as State))), rulebook.domains);
    return car ? [`\`${id}\`, for instance ${describeCar(car)}: nobody leaves it there`] : [];
  });
}

function coverers(followUp: FollowUp, rulebook: Rulebook): string[] {
  const covering = [...rulebook.followUps.values()].filter((f) => f.covers.some((c) => c.step === followUp.id));
  return covering.map((f) => {
    const text = f.text.covers?.find((c) => (typeof c === 'string' ? c : c.step) === followUp.id);
    const only =
      typeof text === 'object'
        ? `${text.if === undefined ? '' : ` where ${conditionText(rulebook, text.if)}`}${scopeText(text.scope)}`
        : '';
    return `\`${f.id}\`${only} (${f.file})`;
  });
}
