import type { z } from 'zod';
import type { TraitAnswer } from '../resolve/facts.ts';
import { differences, faultsOf, kindsOf, standingLines, withLineId } from './facts.ts';
import { underRules } from './newer-rules.ts';
import { sameTrait } from './state.ts';
import type { Added, Turns } from './turn.ts';
import { answeredApart } from './two-answers.ts';

/** What is told of the car and the work. */
export const FACTS: Turns<
  | 'opened'
  | 'came-back'
  | 'vehicle-told'
  | 'trait-told'
  | 'line-added'
  | 'line-struck'
  | 'promised'
  | 'parked'
  | 'work-done'
  | 'work-not-done'
  | 'answered'
  | 'rulebook-changed'
> = {
  opened: (command, _, { rulebook }) => unknownTools(command.tools, rulebook.setups.tools),
  'came-back': (command, _, { rulebook }) => {
    if (command.old.ro === command.ro)
      return [`RO ${command.ro} came back as itself: give the new job a number of its own`];
    return unknownTools(command.tools, rulebook.setups.tools);
  },
  'vehicle-told': ({ vehicle, cleared = [] }, job) => {
    const had = Object.entries(vehicle).filter(([field]) => Object.hasOwn(job.vehicle, field));
    const lost = cleared.filter((field) => Object.hasOwn(job.vehicle, field));
    if (Object.keys(vehicle).length + lost.length === 0) return ['nothing is told of the vehicle'];
    return {
      corrects:
        lost.length > 0 || had.some(([field, value]) => job.vehicle[field as keyof typeof job.vehicle] !== value),
    };
  },
  'trait-told': (command, job, { rulebook }) => {
    const { trait, answer } = command;
    const was = job.traits.get(trait);
    const first = job.traitsTold.get(trait);
    const apart = answeredApart(
      { command, question: trait, answer },
      first && job.traits.has(trait) ? { ...first, answer: was } : undefined,
      { ...job, traits: new Map(job.traits).set(trait, answer ?? null) },
      job,
      rulebook,
    );
    if (apart === 'rival') return { ...wasTold(was), rival: true };
    if (apart) return apart;
    if (answer === undefined) return job.traits.has(trait) ? wasTold(was) : [notAnswered(trait)];
    if (job.traits.has(trait) && sameTrait(was, answer))
      return [`${trait.replaceAll('-', ' ')} is answered like that already`];
    return wasTold(was);
  },
  'line-added': () => ({}),
  'line-struck': ({ line }, job) =>
    standingLines(job).some((l) => l.id === line) ? {} : [`there is no work line \`${line}\` that could be struck`],
  promised: ({ time }, job) => {
    if (time === job.promised)
      return [time ? 'that is what was promised already' : 'nothing is promised that could be taken back'];
    return {};
  },
  parked: ({ place }, job) => {
    if (place === job.parked) return [place ? `it stands in ${place} already` : 'nobody said where the car stands'];
    return {};
  },
  'work-done': (_, job) => {
    if (job.workDone) return [`the work is down as done since ${job.workDone.at}, by ${job.workDone.by}`];
    return standingLines(job).length > 0 ? {} : ['no work is written up yet: add the work lines first'];
  },
  'work-not-done': (_, job) => (job.workDone ? {} : ['the work is not down as done']),
  answered: (command, job, { rulebook }) => {
    const { question, answer } = command;
    const named = withLineId(job, question);
    const first = job.answers.get(named);
    const apart = answeredApart(
      { command, question: named, answer },
      first,
      first && { ...job, answers: new Map(job.answers).set(named, { ...first, answer: answer ?? null }) },
      job,
      rulebook,
    );
    if (apart === 'rival') return { question: named, corrects: false, rival: true };
    if (apart) return apart;
    if (answer === undefined)
      return job.answers.has(named) ? { question: named, corrects: true } : [notAnswered(question)];
    const line = /^at:line-([^>/]+)/.exec(named)?.[1];
    if (line !== undefined && !standingLines(job).some((l) => l.id === line))
      return [`work line \`${line}\` is struck: nobody asks where it was`];
    const had = job.answers.get(named);
    if (had?.answer === answer) return [`"${question}" is answered like that already`];
    return { question: named, corrects: had !== undefined && had.answer !== null };
  },
  'rulebook-changed': (command, job, { rulebook, shop }) => {
    const to = shop.rulebook(command.to);
    if (command.to === job.rulebook) return [`job ${job.ro} has rulebook ${command.to} already`];
    if (!to) return [`rulebook ${command.to} is not at hand`];
    const faults = faultsOf({ ...job, rulebook: command.to }, to);
    if (faults.length > 0) return faults;
    const real = differences(kindsOf(job, rulebook), kindsOf({ ...job, rulebook: command.to }, to));
    const text = (list: readonly { followUp: string; from: string; to: string }[]) =>
      list
        .map((d) => `${d.followUp}: ${d.from} to ${d.to}`)
        .sort()
        .join('; ') || 'nothing';
    if (text(real) !== text(command.shown))
      return [`the change makes other than what was shown: ${text(real)}; shown was ${text(command.shown)}`];
    const { lost } = underRules(job, rulebook, to);
    const silent = lost.filter((one) => !command.lost?.includes(one));
    if (silent.length > 0)
      return [
        `with rulebook ${command.to} the sheet would ask no more for what is on record: ${silent.join(', ')}; take the rules only once that was shown`,
      ];
    return { from: job.rulebook };
  },
};

function notAnswered(question: string): string {
  return `"${question}" is not answered: there is nothing to take back`;
}

function wasTold(was: z.infer<typeof TraitAnswer> | undefined): Added<'trait-told'> {
  return was === undefined ? {} : { was };
}

function unknownTools(
  tools: readonly string[] | undefined,
  known: Readonly<Record<string, unknown>>,
): readonly string[] | Record<never, never> {
  const unknown = (tools ?? []).filter((tool) => !Object.hasOwn(known, tool));
  return unknown.length > 0 ? unknown.map((tool) => `\`${tool}\` is no tool that the rulebook knows`) : {};
}
