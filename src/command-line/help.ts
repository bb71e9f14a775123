import type { Command } from './command.ts';

/** The help of all commands, or of one. */
export function help(commands: readonly Command[], one?: Command): string {
  if (one) return `slices ${one.name} ${one.usage}\n\n${one.summary}\n\n${one.details.trim()}\n`;
  const lines = commands.map(({ name, usage, summary }) => `  slices ${name} ${usage}\n      ${summary}`);
  return `Slices out of shadows: tomography with the library of the book Shadows to Slices.

${lines.join('\n')}

  slices help <command>   says more about one of them

--json prints one JSON object on standard output and nothing else. Messages and progress go to standard error.
It ends with 0 when all went well, 1 when a check falls out, 2 when the input is at fault, 130 when it was stopped (Ctrl+C).
`;
}
