import { BadInput } from '../lib/index.ts';

export interface Command {
  readonly name: string;
  /** What it does, one line. */
  readonly summary: string;
  /** What follows the name: <scan.json> --out <result.npy> … */
  readonly usage: string;
  readonly details: string;
  /** Names of the files that must be given, in order. */
  readonly files: readonly string[];
  /** Whether more files of the last kind may follow. */
  readonly more?: boolean;
  /** Options that take a value; all commands know --json and --help. */
  readonly options: readonly string[];
  readonly run: (context: Context) => Promise<number>;
}

export interface Context {
  readonly files: readonly string[];
  readonly options: Readonly<Record<string, string>>;
  readonly json: boolean;
  readonly signal: AbortSignal;
}

/**
 * Parts the words after a command's name into files and options: --out file or --out=file; after -- everything is a file.
 * Throws BadInput: an unknown option, an option without its value or given twice, too few or too many files.
 */
export function parse(command: Command, words: readonly string[]): Pick<Context, 'files' | 'options'> {
  const files: string[] = [];
  const options: Record<string, string> = {};
  const wrong = (sentence: string) => new BadInput(`${sentence} Usage: slices ${command.name} ${command.usage}`.trim() + '.');
  for (let i = 0; i < words.length; i++) {
    const word = words[i];
    if (word === '--') {
      files.push(...words.slice(i + 1));
      break;
    }
    if (!word.startsWith('-') || word === '-') {
      files.push(word);
      continue;
    }
    const [, name, value] = /^--?([^=]*)(?:=([^]*))?$/.exec(word) ?? [];
    if (name === 'json' && value === undefined) continue;
    if (!command.options.includes(name)) throw wrong(`--${name} is not an option of slices ${command.name}.`);
    if (name in options) throw wrong(`--${name} is given twice.`);
    const given = value ?? words[++i];
    if (given === undefined || given === '' || (value === undefined && given.startsWith('--'))) throw wrong(`--${name} needs a value.`);
    options[name] = given;
  }
  if (files.length < command.files.length) throw wrong(`${command.files[files.length]} is missing.`);
  if (files.length > command.files.length && !command.more) throw wrong(`${files[command.files.length]} is one file too many.`);
  return { files, options };
}
