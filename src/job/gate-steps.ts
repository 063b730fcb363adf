import type { Item } from './item.ts';
import type { Plan } from './plan.ts';
import { unproved } from './proven.ts';
import type { Refusal, Settle } from './refusal.ts';
import type { Job } from './state.ts';
import { waitAsked } from './timing.ts';
import { sentence } from './values.ts';
import { answersText, disputeText, endingsOf } from './two-answers.ts';

/** What one step has against the car going. */
export function refusalsOfItem(item: Item, plan: Plan): Refusal[] {
  if (item.ruledOut) return [];
  if (item.record?.rivals) return [twoAnswers(item)];
  if (item.was) return wasItDone(item);
  if (item.kind === 'undecided' && !settled(item)) return undecided(item, plan);
  if (item.owner && item.kind !== 'undecided') return [];
  if (item.stage === 'took')
    return [...unconfirmed(item, plan.job), ...unprovedReadings(item, plan), ...notClosed(item)];
  if (item.stage === 'not-done') return notDone(item).flatMap((refused) => [...unconfirmed(item, plan.job), refused]);
  return [...unconfirmed(item, plan.job), open(item)];
}

function settled(item: Item): boolean {
  return item.stage === 'took' || item.stage === 'not-done';
}

function refusal(rule: Refusal['rule'], item: Item, text: string, settle: readonly Settle[], about = item.id): Refusal {
  return { rule, item: about, safety: item.safety, text, settle };
}

function wasItDone(item: Item): Refusal[] {
  const question = `done:${item.id}`;
  if (item.was === 'open')
    return [
      refusal(
        'was-it-done',
        item,
        `${item.title}: the work is done and nobody said whether this came before it; say yes or no.`,
        [{ type: 'answered', question }],
      ),
    ];
  if (item.was !== 'cannot-tell' || !item.safety) return [];
  return [
    refusal(
      'cannot-tell',
      item,
      `${item.title}: nobody can tell whether this came before the work, and it can hurt someone; the foreman settles it with a photo, or somebody finds out.`,
      [
        { type: 'ruled-out', step: item.id },
        { type: 'answered', question },
      ],
    ),
  ];
}

/** Counts as the strongest it can still be. */
function undecided(item: Item, plan: Plan): Refusal[] {
  const question = item.decides.find((id) => !cannotTell(id, plan.job));
  // What had to come before the work can not be done after it.
  const late = plan.job.workDone !== undefined && item.followUp.phase !== 'after';
  const anyway: Settle[] = late ? [] : [{ type: 'took', step: item.id }];
  const text = plan.checklist.questions.find((q) => q.id === question)?.text ?? question;
  if (question !== undefined) {
    return [
      refusal(
        'undecided',
        item,
        `${item.title} may be needed and nobody has answered: ${text} Answer it${late ? '' : ', or do the step anyway'}.`,
        [{ type: 'answered', question }, ...anyway],
        `${item.id}/${question}`,
      ),
    ];
  }
  if (!item.safety) return [];
  return [
    refusal(
      'cannot-tell',
      item,
      `${item.title} may be needed and can hurt someone if it is left out: ${late ? '' : 'do it anyway, or '}the foreman settles with a photo that this car does not need it.`,
      [{ type: 'ruled-out', step: item.id }, ...anyway],
    ),
  ];
}

/** Looked and can't tell; on what can hurt nobody that is an answer, printed as "not determined". */
export function cannotTell(question: string, job: Job): boolean {
  const told = job.traits.get(question);
  if (job.traits.has(question))
    return told === null || (typeof told === 'object' && !Array.isArray(told) && told.value === null);
  return job.answers.get(question)?.answer === null;
}

function twoAnswers(item: Item): Refusal {
  const { record } = item;
  return refusal('two-answers', item, `${item.title} has ${answersText(record)}: a person says which one stands.`, [
    { type: 'answer-chosen', step: item.id, events: endingsOf(record).map(({ mark }) => mark.event) },
    { type: 'sent-back', step: item.id },
  ]);
}

/** Answers given without knowledge of each other, on which it hangs whether something that can hurt is done. */
export function disputes({ job, checklist, items }: Plan): Refusal[] {
  const asked = new Map([
    ...checklist.questions.map(({ id, text }) => [id, text] as const),
    ...items.flatMap(({ confirms }) => confirms.map(({ question, text }) => [question, text] as const)),
    ...items.flatMap((item) => waitQuestion(item, job)),
  ]);
  return [...job.disputed].flatMap(([question, answers]) => {
    // What nobody asks any more decides nothing.
    const text = asked.get(question);
    if (text === undefined) return [];
    const told = `${text} There are ${answers.length} answers, by people who did not know of each other: ${disputeText(answers)}; somebody looks at the car and answers it again.`;
    return [
      {
        rule: 'two-answers',
        item: question,
        safety: true,
        text: sentence(told),
        settle: [{ type: 'answered', question }],
      },
    ];
  });
}

function waitQuestion(item: Item, job: Job): [string, string][] {
  const ask = waitAsked(item, job);
  return ask === undefined ? [] : [[`wait:${item.followUp.id}`, sentence(`${item.title}: ${ask}`)]];
}

/** Asked only of what must be proved: a recommended step is settled by one tap. */
function unconfirmed(item: Item, job: Job): Refusal[] {
  const ask = item.stage === 'took' ? undefined : waitAsked(item, job);
  const wait = `wait:${item.followUp.id}`;
  const told =
    ask === undefined
      ? []
      : [
          refusal(
            'unconfirmed',
            item,
            `${item.title} needs to be told how long: ${ask}.`,
            [{ type: 'answered', question: wait }],
            wait,
          ),
        ];
  if (!item.safety && item.level !== 'required') return told;
  const asked = item.confirms.map(({ question, text }) =>
    refusal(
      'unconfirmed',
      item,
      `${item.title} waits for an answer: ${text}`,
      [{ type: 'answered', question }],
      question,
    ),
  );
  return [...told, ...asked];
}

function unprovedReadings(item: Item, { job }: Plan): Refusal[] {
  if (item.record?.paper) return [];
  return unproved(item, item.record?.values ?? new Map(), job.units).map(({ asked, text }) =>
    refusal('unproved', item, text, [{ type: 'noted', step: item.id, key: asked.key }], `${item.id}/${asked.key}`),
  );
}

function notClosed(item: Item): Refusal[] {
  if (!item.closing?.open) return [];
  const way = item.followUp.ways.find((w) => w.id === item.way);
  const text = way?.text.closing?.text ?? 'put the car as the step wants it left';
  return [
    refusal('not-closed', item, `${item.title} took and is not closed: ${text}, and say so.`, [
      { type: 'closed', step: item.id },
    ]),
  ];
}

function notDone(item: Item): Refusal[] {
  if (!item.safety || item.level !== 'required') return [];
  const said = item.record?.notDone?.reason.replaceAll('-', ' ') ?? 'not done';
  if (item.record?.notDone?.reason === 'does-not-fit') {
    return [
      refusal(
        'not-done',
        item,
        `${item.title} can hurt someone and is down as not fitting this car: the foreman settles that with a photo, or it is done.`,
        [
          { type: 'ruled-out', step: item.id },
          { type: 'took', step: item.id },
        ],
      ),
    ];
  }
  return [
    refusal(
      'not-done',
      item,
      `${item.title} can hurt someone and was not done (${said}, ${item.record?.by}): do it, or the car leaves as left unfinished, signed by foreman and customer.`,
      [
        { type: 'took', step: item.id },
        { type: 'left-unfinished', step: item.id },
      ],
    ),
  ];
}

function open(item: Item): Refusal {
  const { record } = item;
  const settle = settlingOf(item);
  const wait = item.waitsFor[0];
  const why = item.again ? ` (${item.again})` : '';
  const first = wait ? `, and ${wait.title} comes first${wait.never ? ', which was not done' : ''}` : '';
  const what: Record<string, string> = {
    open: `is still to be done${why}`,
    running: `was started by ${record?.by} at ${record?.at} and is not finished`,
    'did-not-take': `did not take (try ${record?.tries})`,
    stuck: `is stuck: ${(record?.why ?? '').replace(/[.!?]$/, '')}`,
    'sent-out': `is with ${record?.sentOut?.firm} since ${record?.sentOut?.on}`,
    waiting: `waits for ${record?.waiting?.part}, promised for ${record?.waiting?.promised}`,
  };
  const how =
    item.stage === 'sent-out'
      ? 'photograph the paper it comes back with'
      : `do it${canLeave(item) ? ', or say why not' : ''}`;
  return refusal('open', item, `${item.title} ${what[item.stage]}${first}: ${how}.`, settle);
}

/** A safety item that is required cannot be talked away. */
function canLeave(item: Item): boolean {
  return !(item.safety && item.level === 'required');
}

function settlingOf(item: Item): Settle[] {
  const step = item.id;
  const not: Settle[] = canLeave(item) ? [{ type: 'not-done', step }] : [];
  if (item.stage === 'sent-out') return [{ type: 'returned', step }, ...not];
  return [{ type: 'took', step }, ...not];
}
