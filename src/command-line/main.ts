import { BadInput } from '../lib/index.ts';
import { align } from './align.ts';
import { compare } from './compare.ts';
import { help } from './help.ts';
import { join } from './join.ts';
import { type Command, type Context, parse } from './command.ts';
import { clearProgress, printJson, say } from './output.ts';
import { reconstruct } from './reconstruct.ts';
import { rehearse } from './rehearse.ts';
import { verify } from './verify.ts';

const commands: readonly Command[] = [verify, reconstruct, join, align, compare, rehearse];

/** What the process ends with. */
export const ended = { well: 0, checksFailed: 1, ourMistake: 1, badInput: 2, stopped: 130 };

/**
 * Runs one command and gives the exit code. Results go to standard output, everything else to standard error. With --json
 * standard output gets exactly one JSON object, whatever happens: where it went wrong, {"command", "error"}.
 */
export async function main(words: readonly string[]): Promise<number> {
  const [name, ...rest] = words;
  const command = commands.find((candidate) => candidate.name === name);
  const json = rest.includes('--json');
  const fail = (code: number, sentence: string) => {
    clearProgress();
    say(`slices: ${sentence}`);
    if (json) printJson({ command: name, error: sentence });
    return code;
  };

  if (words.length === 0 || name === '--help' || name === '-h' || name === 'help') {
    const about = commands.find((candidate) => candidate.name === rest[0]);
    process.stdout.write(help(commands, about));
    return words.length === 0 ? ended.badInput : ended.well;
  }
  if (!command) return fail(ended.badInput, `${name} is not a command: ${commands.map((each) => each.name).join(', ')} are, and slices --help says more.`);
  if (rest.includes('--help') || rest.includes('-h')) {
    process.stdout.write(help(commands, command));
    return ended.well;
  }

  const control = new AbortController();
  let askedAt = 0;
  // The terminal and the process above may both pass Ctrl+C on; a second one that is meant ends it at once.
  const stop = () => {
    if (control.signal.aborted && performance.now() > askedAt + 500) process.exit(ended.stopped);
    askedAt = performance.now();
    control.abort(new Stopped());
  };
  process.on('SIGINT', stop).on('SIGTERM', stop);
  try {
    const context: Context = { ...parse(command, rest), json, signal: control.signal };
    return await command.run(context);
  } catch (error) {
    if (error instanceof Stopped) return fail(ended.stopped, 'Stopped; nothing was written.');
    if (error instanceof BadInput) return fail(ended.badInput, error.message);
    const sentence = `This is a mistake in slices itself, not in your files: ${(error as Error)?.message ?? error}`;
    const code = fail(ended.ourMistake, sentence);
    if (error instanceof Error) say(error.stack ?? '');
    return code;
  } finally {
    process.off('SIGINT', stop).off('SIGTERM', stop);
  }
}

class Stopped extends Error {}
