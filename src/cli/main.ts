import { Command, CommanderError } from 'commander';
import { printFault } from '../rulebook/fault.ts';
import { askCommand } from './commands/ask.ts';
import { verifyCommand } from './commands/verify.ts';
import { importCommand } from './commands/import.ts';
import { exportCommand } from './commands/export.ts';
import { backupCommand } from './commands/backup.ts';
import { configCommand } from './commands/config.ts';
import { deleteCommand } from './commands/delete.ts';
import { doctorCommand } from './commands/doctor.ts';
import { dueCommand } from './commands/due.ts';
import { certCommand } from './commands/cert.ts';
import { codesCommand } from './commands/codes.ts';
import { comebackCommand } from './commands/comeback.ts';
import { explainCommand } from './commands/explain.ts';
import { linesCommand } from './commands/lines.ts';
import { learningCommand } from './commands/learning.ts';
import { lintCommand } from './commands/lint.ts';
import { planCommand } from './commands/plan.ts';
import { readinessCommand } from './commands/readiness.ts';
import { schemaCommand } from './commands/schema.ts';
import { serviceCommand } from './commands/service.ts';
import { showCommand } from './commands/show.ts';
import { whyCommand } from './commands/why.ts';
import { Unusable } from './input.ts';
import { registerServe } from './serve.ts';

/** One file a command; each adds itself. */
const COMMANDS = [
  planCommand,
  whyCommand,
  askCommand,
  explainCommand,
  showCommand,
  lintCommand,
  linesCommand,
  schemaCommand,
  codesCommand,
  comebackCommand,
  readinessCommand,
  verifyCommand,
  exportCommand,
  importCommand,
  backupCommand,
  dueCommand,
  learningCommand,
  deleteCommand,
  registerServe,
  configCommand,
  certCommand,
  doctorCommand,
  serviceCommand,
];

const program = new Command('lastbolt')
  .description('Plans, explains and proves everything a car still needs after the repair.')
  .version('0.1.0')
  .showHelpAfterError('(--help says how)')
  .exitOverride();
for (const add of COMMANDS) add(program);
for (const command of program.commands.flatMap((own) => [own, ...own.commands]))
  command.exitOverride().copyInheritedSettings(program);

// A reader that stops early, such as `head`, is no fault of ours.
process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  if (error.code === 'EPIPE') process.exit();
  throw error;
});

try {
  await program.parseAsync();
} catch (error) {
  process.exitCode = tell(error);
}

/** Says on standard error what went wrong, and gives the exit code. */
function tell(error: unknown): number {
  if (error instanceof CommanderError) return error.exitCode === 0 ? 0 : 2;
  if (!(error instanceof Unusable)) throw error;
  for (const fault of error.faults) console.error(printFault(fault));
  return 2;
}
