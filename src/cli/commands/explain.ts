import type { Command } from 'commander';
import { explain } from '../../resolve/explain.ts';
import { followUpCalled } from '../input.ts';
import { wrap } from '../page.ts';
import { RULES, rulebookIn } from '../rules-folder.ts';

export function explainCommand(program: Command): void {
  program
    .command('explain')
    .summary('what a follow-up will meet among all the others')
    .description(
      'Tells what no single file shows: what calls for a follow-up and pulls it, what it stands after and before and which file says so, what is asked in its entry, what guards it, and on which cars a need of it is void.',
    )
    .argument('<FOLLOW-UP>', 'id of the follow-up')
    .option('--json', 'the same as JSON')
    .option('--rules <DIR>', 'folder of the rulebook', RULES)
    .addHelpText('after', '\nExit code: 0 told, 2 unusable input.')
    .action(run);
}

async function run(id: string, options: { json?: boolean; rules: string }): Promise<void> {
  const rulebook = await rulebookIn(options.rules);
  const followUp = followUpCalled(id, rulebook);
  const sections = explain(followUp, rulebook);
  if (options.json) return console.log(JSON.stringify(sections, null, 2));
  console.log(`${followUp.title} (${followUp.file}, phase ${followUp.phase}${followUp.safety ? ', SAFETY' : ''})`);
  for (const { heading, lines } of sections) {
    console.log(`\n${heading}`);
    for (const line of lines) console.log(wrap(line, '  - ').join('\n'));
  }
}
