import type { Command } from 'commander';
import type { Facts } from '../../resolve/facts.ts';
import { type CauseNode, causeTree } from '../../resolve/print.ts';
import { maker, traitTitle, valueText } from '../../resolve/words.ts';
import { type Resolution, resolve } from '../../resolve/resolve.ts';
import { whatWouldChange, whyNot, type WouldChange } from '../../resolve/why.ts';
import type { FollowUp } from '../../rulebook/rulebook.ts';
import { followUpCalled, readJob } from '../input.ts';
import { wrap } from '../page.ts';
import { RULES, rulebookIn } from '../rules-folder.ts';

export function whyCommand(program: Command): void {
  program
    .command('why')
    .summary("why a follow-up is on a job's list, or is not")
    .description(
      'Tells why a follow-up is on the list of a job, down to the work line, or the first fact that keeps it off, and which answers would change that.',
    )
    .argument('<FILE>', 'job file; - reads standard input')
    .argument('<FOLLOW-UP>', 'id of the follow-up')
    .option('--rules <DIR>', 'folder of the rulebook', RULES)
    .addHelpText('after', '\nExit code: 0 told, 2 unusable input.')
    .action(run);
}

async function run(file: string, id: string, options: { rules: string }): Promise<void> {
  const rulebook = await rulebookIn(options.rules);
  const followUp = followUpCalled(id, rulebook);
  const facts = await readJob(file, rulebook);
  console.log(whyText(facts, resolve(facts, rulebook), followUp).join('\n'));
}

function whyText(facts: Facts, resolution: Resolution, followUp: FollowUp): string[] {
  const verdict = resolution.verdicts.get(followUp.id);
  const kind = verdict?.kind ?? 'excluded';
  const level = verdict && kind !== 'excluded' ? `, ${verdict.level}${verdict.safety ? ', SAFETY' : ''}` : '';
  const within = verdict?.coveredBy ? [`done within ${verdict.coveredBy.title}`] : [];
  const body =
    kind === 'excluded'
      ? wrap(whyNot(resolution, followUp), 'because ')
      : ['because', ...treeText(causeTree(resolution, followUp), 1)];
  const open = verdict && verdict.decides.length > 0 ? wrap(verdict.decides.join(', '), 'it rests on: ') : [];
  return [
    `${followUp.title}: ${kind}${level}`,
    ...within,
    ...body,
    ...open,
    ...changesText(facts, resolution, followUp),
  ];
}

function treeText(nodes: readonly CauseNode[], depth: number): string[] {
  return nodes.flatMap((node) => {
    const sources = node.sources.length > 0 ? ` (${node.sources.join(', ')})` : '';
    return [...wrap(node.text + sources, `${'  '.repeat(depth)}- `), ...treeText(node.causes, depth + 1)];
  });
}

function changesText(facts: Facts, resolution: Resolution, followUp: FollowUp): string[] {
  const { changes, complete } = whatWouldChange(facts, resolution, followUp);
  const lines = changes.flatMap((change) => wrap(changeText(change, resolution), `${change.to} if: `));
  if (lines.length === 0)
    lines.push(
      complete ? 'no set of up to three answers would change that' : 'no few answers were found that would change that',
    );
  else if (!complete) lines.push('(not every set of three answers was tried)');
  return ['what would change it', ...lines.map((line) => `  ${line}`)];
}

function changeText({ answers }: WouldChange, { rulebook }: Resolution): string {
  const words = answers.map(({ question, value }) => {
    if (question.includes(':')) return `${question} ${value.replaceAll('-', ' ')}`;
    if (value.startsWith(' ')) return `${traitTitle(rulebook, question)} is one that no rule names`;
    return `${traitTitle(rulebook, question)} is ${question === 'maker' ? maker(value) : valueText(rulebook, question, value)}`;
  });
  return words.join(' and ');
}
