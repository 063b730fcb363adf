import type { Rulebook } from '../rulebook/rulebook.ts';
import { comparedCodes } from './codes/compared.ts';
import { standingLines } from './facts.ts';
import { type CheckItem, finalCheck } from './final-check.ts';
import { disputes, refusalsOfItem } from './gate-steps.ts';
import { type Plan, plan } from './plan.ts';
import type { Refusal } from './refusal.ts';
import type { Job } from './state.ts';

export type { Refusal, Settle } from './refusal.ts';

/**
 * Why the car may not go, one sentence each with what would settle it; none = it may be released. Pure: the same job
 * and rulebook always give the same answer. Throws where the job is pinned to another rulebook.
 */
export function gate(job: Job, rulebook: Rulebook): Refusal[] {
  if (job.status === 'unopened')
    return [
      {
        rule: 'not-opened',
        item: '',
        safety: false,
        text: 'Nothing is written up yet: open the job.',
        settle: [{ type: 'opened' }],
      },
    ];
  return refusals(plan(job, rulebook));
}

export function refusals(made: Plan): Refusal[] {
  return [
    ...workNotDone(made),
    ...made.items.flatMap((item) => refusalsOfItem(item, made)),
    ...disputes(made),
    ...mustNotStates(made),
    ...newCodes(made),
    ...lamps(made),
    ...finalCheck(made)
      .flat()
      .flatMap((item) => unchecked(item, made)),
  ];
}

function workNotDone({ job }: Plan): Refusal[] {
  const about = { item: '', safety: false };
  if (standingLines(job).length === 0) {
    const text = 'No work line stands on this job: write up what was done, or was only inspected.';
    return [{ rule: 'no-work', ...about, text, settle: [{ type: 'line-added' }] }];
  }
  if (job.workDone) return [];
  const text = 'The work itself is not down as done: say so once it is.';
  return [{ rule: 'work-not-done', ...about, text, settle: [{ type: 'work-done' }] }];
}

function mustNotStates({ mustNots }: Plan): Refusal[] {
  return mustNots.map(({ state, since, endedBy }) => {
    const by = endedBy.map((e) => e.title).join(' or ');
    const how = by
      ? `${by} has to take`
      : 'nothing on the list ends it, so somebody shows with a photo that it has ended';
    const settle =
      endedBy.length > 0
        ? endedBy.map((e) => ({ type: 'took' as const, step: e.id }))
        : [{ type: 'state-ended' as const, state: state.id }];
    return {
      rule: 'must-not',
      item: state.id,
      safety: true,
      text: `The car still has this since ${since.at} (${since.by}) and must not go like that: ${state.title}; ${how}.`,
      settle,
    };
  });
}

/** What the comparison calls there or new after the work and nothing explains; what was there before came with the car. */
function newCodes({ job, items, rulebook, checklist }: Plan): Refusal[] {
  const tied = items.map(({ followUp, ...item }) => ({ ...item, followUp: followUp.id }));
  const codes = comparedCodes(job, tied, rulebook)?.codes ?? [];
  return codes
    .filter(({ change, unexplained }) => unexplained && (change === 'new' || change === 'there'))
    .map(({ code, change, meaning, called }) => {
      const when =
        change === 'new' ? 'was not there before the work' : 'was read after the work (nothing was read before it)';
      const took = called.filter(({ state }) => state === 'took').map(({ title }) => title);
      const asks = meaning.calls.map((id) => rulebook.followUps.get(id)?.title ?? id);
      const why =
        took.length > 0
          ? `${took.join(' and ')} took, and nobody has read it gone since`
          : `nothing on the list of ${checklist.ro} explains it${asks.length > 0 ? `; it asks for ${asks.join(' or ')}` : ''}`;
      return {
        rule: 'new-code' as const,
        item: code,
        safety: false,
        text: `Code ${code} ${when} and ${why}: put it right and read again, or explain it with your name.`,
        settle: [{ type: 'explained' as const, code }, { type: 'scanned' as const }],
      };
    });
}

/**
 * A repairer may not hand a car back with a safety system knowingly made inoperative (49 USC 30122(b)); the state of
 * the lamps at intake and at release is what shows that nobody did.
 */
function lamps({ job }: Plan): Refusal[] {
  const { intake, release } = job.lamps;
  const missing: Refusal[] = [];
  if (!intake)
    missing.push({
      rule: 'lamps',
      item: 'intake',
      safety: true,
      text: 'Nobody wrote down which warning lamps were lit when the car came in: write them down, or that nobody looked.',
      settle: [{ type: 'lamps', when: 'intake' }],
    });
  if (!release || release.seq < job.touched || release.lit === null) {
    const text = release?.lit
      ? 'The car was worked on after its warning lamps were read for release: read them again.'
      : 'Which warning lamps are lit at release is not on record: start the engine, read them and write them down.';
    return [
      ...missing,
      { rule: 'lamps', item: 'release', safety: true, text, settle: [{ type: 'lamps', when: 'release' }] },
    ];
  }
  const had = new Set(intake?.lit ?? []);
  const lit = release.lit.filter(
    (lamp) => !had.has(lamp) && (job.explained.get(`lamp:${lamp}`)?.seq ?? 0) < release.seq,
  );
  return [
    ...missing,
    ...lit.map(
      (lamp): Refusal => ({
        rule: 'new-lamp',
        item: lamp,
        safety: true,
        text: `The ${lamp.replaceAll('-', ' ')} lamp is lit and was not when the car came in: put it right and read the lamps again, or explain it with your name.`,
        settle: [
          { type: 'explained', lamp },
          { type: 'lamps', when: 'release' },
        ],
      }),
    ),
  ];
}

function unchecked(item: CheckItem, { job }: Plan): Refusal[] {
  const check = job.checks.get(item.id);
  if (check && check.seq > item.since) return [];
  const since = check ? ' since it was last done' : '';
  const hands = item.hands.length > 0 ? ` by somebody other than ${item.hands.join(', ')}` : '';
  return [
    {
      rule: 'unchecked',
      item: item.id,
      safety: true,
      text: `${item.title} is not checked${since}: ${item.asked.label.charAt(0).toLowerCase()}${item.asked.label.slice(1)}, to be seen${hands}.`,
      settle: [{ type: 'checked', item: item.id }],
    },
  ];
}
