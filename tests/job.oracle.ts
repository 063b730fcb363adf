import type { EventOf, JobEvent } from '../src/job/events.ts';
import { readFacts } from '../src/resolve/facts.ts';
import { resolve } from '../src/resolve/resolve.ts';
import type { Rulebook } from '../src/rulebook/rulebook.ts';
import { RULES } from './job.rulebook.ts';

/**
 * What must be true of a released job, read from its log alone and by another road than the gate's: the log is searched
 * backwards for each step. It knows the test's rulebook, nothing of plans, stages or refusals.
 */
export function whatIsWrong(log: readonly JobEvent[], rulebook: Rulebook): string[] {
  const standing = lines(log);
  const { facts, faults } = readFacts(jobText(log, standing), rulebook);
  if (!facts) return faults.map((f) => f.message);
  const wrong: string[] = [];
  for (const { followUp, kind, level, safety, coveredBy } of resolve(facts, rulebook).verdicts.values()) {
    const { id } = followUp;
    if (kind === 'excluded' || followUp.phase !== 'after' || followUp.ways[0]?.finish === 'owner') continue;
    const by = coveredBy?.id ?? id;
    const last = lastOf(log, by);
    const took = last?.type === 'took' || last?.type === 'returned';
    if (safety && level === 'required') {
      const ruled = log.findLastIndex((e) => e.type === 'ruled-out' && e.step === id) > (last ? log.indexOf(last) : -1);
      if (!took && !(ruled && (kind === 'undecided' || last?.type === 'not-done')))
        wrong.push(`${id}: ${kind} safety item ends with ${last?.type ?? 'nothing'}`);
      if (took && kind === 'needed' && !checkedAfter(log, by, last)) wrong.push(`${id}: nobody else checked it`);
    }
    if (kind === 'needed' && level === 'required' && !took && last?.type !== 'not-done')
      wrong.push(`${id}: required step ends with ${last?.type ?? 'nothing'}`);
    if (last?.type === 'took' && level === 'required' && kind === 'needed')
      wrong.push(...unproved(log, by, last), ...outdated(log, standing, by, last));
  }
  return [...wrong, ...unexplained(log)];
}

type Added = EventOf<'line-added'>;
type Ending = Extract<
  JobEvent,
  {
    type:
      | 'took'
      | 'returned'
      | 'not-done'
      | 'did-not-take'
      | 'stuck'
      | 'sent-out'
      | 'waiting'
      | 'started'
      | 'sent-back';
  }
>;
const ENDS = ['took', 'returned', 'not-done', 'did-not-take', 'stuck', 'sent-out', 'waiting', 'started', 'sent-back'];

function lines(log: readonly JobEvent[]): Added[] {
  const struck = new Set(log.flatMap((e) => (e.type === 'line-struck' ? [e.line] : [])));
  return log.filter((e): e is Added => e.type === 'line-added' && !struck.has(e.id));
}

function jobText(log: readonly JobEvent[], standing: readonly Added[]): object {
  const traits: Record<string, unknown> = {};
  const answers: Record<string, unknown> = {};
  for (const event of log) {
    if (event.type === 'trait-told') tell(traits, event.trait, event.answer);
    if (event.type !== 'answered' || event.question.startsWith('at:line-')) continue;
    tell(answers, event.question, event.answer);
  }
  for (const event of log) {
    if (event.type !== 'answered' || !event.question.startsWith('at:line-')) continue;
    const place = standing.findIndex((line) => event.question === `at:line-${line.id}`);
    if (place >= 0) tell(answers, `at:${place}`, event.answer);
  }
  const codes = log.flatMap((e) => (e.type === 'scanned' ? e.codes.map((c) => c.code) : []));
  return {
    ro: '4711',
    vehicle: { traits },
    work: standing.map((e) => e.line),
    'work-done': true,
    codes: { after: codes },
    answers,
  };
}

/** Left out = taken back. */
function tell(told: Record<string, unknown>, name: string, answer: unknown): void {
  if (answer === undefined) delete told[name];
  else told[name] = answer;
}

function lastOf(log: readonly JobEvent[], step: string): Ending | undefined {
  return log.findLast(
    (e): e is Ending => ENDS.includes(e.type) && 'step' in e && e.step === step && !(e.type === 'took' && e.rival),
  );
}

/** Every figure with both limits inside them, every choice the first; from the last round only. */
function unproved(log: readonly JobEvent[], step: string, took: EventOf<'took'>): string[] {
  const from = log.findLastIndex(
    (e) =>
      e !== took &&
      'step' in e &&
      e.step === step &&
      ENDS.includes(e.type) &&
      e.type !== 'started' &&
      e.type !== 'waiting' &&
      log.indexOf(e) < log.indexOf(took),
  );
  const values: Record<string, { kind: string; value?: unknown; because?: unknown }> = {};
  for (const e of log.slice(from + 1)) {
    const rival =
      e.type === 'took' &&
      (e.rival
        ? chosen(log, step, e.id)
        : log.some(
            (c) =>
              c.type === 'answer-chosen' &&
              c.step === step &&
              c.event !== e.id &&
              log.some((t) => t.id === c.event && t.type === 'took' && t.rival),
          ));
    if ((e.type === 'took' ? !(e.rival && !rival) : e.type === 'noted') && 'step' in e && e.step === step)
      Object.assign(values, 'values' in e ? e.values : {});
  }
  const rule = RULES[step as keyof typeof RULES] as {
    proof?: { label: string; answer: string; choices?: string[]; limits?: { min?: number; max?: number }[] }[];
    safety?: boolean;
  };
  return (rule.proof ?? []).flatMap(({ label, answer, choices, limits }) => {
    const value = Object.entries(values).find(([key]) => key.startsWith(`proof/${step}/${label}`))?.[1];
    if (!value) return rule.safety || answer === 'choice' || limits ? [`${step}: no "${label}"`] : [];
    if (value.kind === 'not-supported' || (value.because && !rule.safety)) return [];
    const { min = -Infinity, max = Infinity } = limits?.[0] ?? {};
    const bad =
      answer === 'number'
        ? !(Number(value.value) >= min && Number(value.value) <= max)
        : choices
          ? value.value !== choices[0] && value.kind === 'choice'
          : value.value === 'OK';
    return bad ? [`${step}: "${label}" is ${String(value.value)}`] : [];
  });
}

function chosen(log: readonly JobEvent[], step: string, event: string): boolean {
  return log.some((e) => e.type === 'answer-chosen' && e.step === step && e.event === event);
}

/** Work that names it, written up after it took. */
function outdated(log: readonly JobEvent[], standing: readonly Added[], step: string, took: JobEvent): string[] {
  const rule = RULES[step as keyof typeof RULES] as { triggers?: { work?: { part: string; did: string }[] }[] };
  const names = (line: Added) =>
    rule.triggers?.some((t) =>
      t.work?.some((w) => w.part === line.line.part && (w.did === line.line.did || line.line.did === 'replaced')),
    );
  return standing
    .filter((line) => log.indexOf(line) > log.indexOf(took) && names(line))
    .map((line) => `${step}: ${line.line.part} ${line.line.did} came after it took`);
}

function checkedAfter(log: readonly JobEvent[], step: string, took: JobEvent): boolean {
  const hands = new Set(
    log
      .filter(
        (e) =>
          ['took', 'started', 'did-not-take', 'noted', 'returned'].includes(e.type) && 'step' in e && e.step === step,
      )
      .map((e) => e.by),
  );
  return log.slice(log.indexOf(took)).some((e) => e.type === 'checked' && e.item === step && !hands.has(e.by));
}

function unexplained(log: readonly JobEvent[]): string[] {
  const after = log.findLastIndex((e) => e.type === 'scanned' && e.when === 'after');
  const before = log.findLast((e): e is EventOf<'scanned'> => e.type === 'scanned' && e.when === 'before');
  if (after < 0) return [];
  const known = before?.codes.map((c) => c.code) ?? [];
  const read = (log[after] as EventOf<'scanned'>).codes.map((c) => c.code).filter((code) => !known.includes(code));
  const explained = (code: string) =>
    log.slice(after).some((e) => e.type === 'explained' && 'code' in e.about && e.about.code === code);
  // The one rule that names a code: while its step was not done, it explains the code.
  const tied = (code: string) => code === 'C1513' && lastOf(log, 'steering-zero')?.type === 'not-done';
  return read.filter((code) => !explained(code) && !tied(code)).map((code) => `code ${code} is unexplained`);
}
