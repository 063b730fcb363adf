import { NEVER } from '../../rulebook/condition.ts';
import type { Facts } from '../../resolve/facts.ts';
import { resolve, type Resolution } from '../../resolve/resolve.ts';
import type { Verdict } from '../../resolve/result.ts';
import { whyNot } from '../../resolve/why.ts';
import { lineText } from '../../resolve/words.ts';
import { calledFor, endsWithOwner, oddsOf, roleOf, type Standing } from './standing.ts';

/** Somebody looked or told it: that can be wrong. What VIN, law and year say is not doubted here. */
const SAID_BY = new Set(['told', 'looked', 'scan']);
const FACTS_OF_THE_CAR = new Set(['maker', 'model', 'model-year', 'market']);
const TRAIT_WRONG = 0.2;
/** More may have been done than is written up. */
const NOT_CALLED = 0.06;

/** Of a job without a record: what it calls for, and what it would call for if a trait were answered otherwise. */
export function bareStandings(resolution: Resolution): Standing[] {
  const called = [...resolution.verdicts.values()].filter((v) => v.kind !== 'excluded');
  return [...called.map((verdict) => ofVerdict(verdict, resolution)), ...uncalled(resolution)];
}

function ofVerdict(verdict: Verdict, resolution: Resolution): Standing {
  const { followUp } = verdict;
  const owner = endsWithOwner(followUp, resolution);
  return {
    followUp,
    called: true,
    kind: owner ? 'expected' : 'never-done',
    odds: oddsOf(verdict),
    evidence: () => [
      calledFor(verdict, (line) => lineText(resolution.rulebook, line)),
      {
        text: owner
          ? 'it ends with the owner: the car does it by itself while it is used'
          : 'no record says that it was done',
      },
      ...(verdict.kind === 'undecided'
        ? [{ text: `whether this car needs it is open: ${verdict.decides.join(', ')}` }]
        : []),
    ],
  };
}

/** Those that the job does not call for: kept off by an answer about the car, or by nothing that is written up. */
export function uncalled(resolution: Resolution): Standing[] {
  const wrong = traitWrong(resolution);
  const known = new Set(wrong.map(({ followUp }) => followUp.id));
  const rest = [...resolution.rulebook.followUps.values()].filter(
    (followUp) =>
      !known.has(followUp.id) &&
      (resolution.verdicts.get(followUp.id)?.kind ?? 'excluded') === 'excluded' &&
      resolution.known.fits(followUp) !== NEVER,
  );
  return [
    ...wrong,
    ...rest.map(
      (followUp): Standing => ({
        followUp,
        kind: 'never-done',
        odds: NOT_CALLED * roleOf(followUp),
        called: false,
        evidence: () => [{ text: `${whyNot(resolution, followUp)}; was more done than is written up?` }],
      }),
    ),
  ];
}

/** Follow-ups that only an answer about the car keeps off the list. */
function traitWrong(resolution: Resolution): Standing[] {
  const { facts, rulebook } = resolution;
  const sure = [...facts.car].filter(([trait, { by }]) => FACTS_OF_THE_CAR.has(trait) || !SAID_BY.has(by));
  if (sure.length === facts.car.size) return [];
  const without: Facts = { ...facts, car: new Map(sure) };
  return [...resolve(without, rulebook).verdicts.values()].flatMap((verdict): Standing[] => {
    const { followUp, kind } = verdict;
    if (kind === 'excluded' || (resolution.verdicts.get(followUp.id)?.kind ?? 'excluded') !== 'excluded') return [];
    return [
      {
        followUp,
        kind: 'trait-wrong',
        called: false,
        odds: TRAIT_WRONG * oddsOf(verdict),
        evidence: () => [{ text: `kept off the list: ${whyNot(resolution, followUp)}` }],
      },
    ];
  });
}
