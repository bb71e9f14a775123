import { readFile } from 'node:fs/promises';
import { runChecks, type CheckResult } from '../lib/index.ts';
import type { Command } from './command.ts';
import { clearProgress, figure, printJson, showProgress } from './output.ts';

const fixtures = new URL('../../datasets/check-values/', import.meta.url);

export const verify: Command = {
  name: 'verify',
  summary: 'the library against the outside world',
  usage: '[--json]',
  details: `
Computes every figure for which there is a published or independently computed one, and prints both with the tolerance and the
source. Ends with 1 if any falls out.`,
  files: [],
  options: [],
  run: async ({ json, signal }) => {
    const results: CheckResult[] = [];
    if (!json) process.stdout.write(row('', 'id', 'ours', 'expected', 'tolerance', 'what is compared [source]'));
    const load = async (name: string) => JSON.parse(await readFile(new URL(`${name}.json`, fixtures), 'utf8')) as unknown;
    for await (const result of runChecks(load, { signal, onResult: (_, done, of) => json && showProgress('Checking', done / of) })) {
      results.push(result);
      if (!json) process.stdout.write(rowOf(result));
    }
    clearProgress();
    const failed = results.filter(({ passed }) => !passed).length;
    if (json) printJson({ command: 'verify', passed: results.length - failed, failed, checks: results });
    else process.stdout.write(`\n${results.length - failed} passed, ${failed} failed\n`);
    return failed > 0 || results.length === 0 ? 1 : 0;
  },
};

function rowOf({ id, what, ours, expected, tolerance, kind, unit, source, passed, failure }: CheckResult): string {
  const within = tolerance === 0 ? 'exact' : `±${figure(tolerance, 3)}${kind === 'relative' ? ' of it' : ''}`;
  const about = `${what}${unit ? `, ${unit}` : ''} [${source}]${failure ? ` FAILED: ${failure}` : ''}`;
  return row(passed ? 'ok' : 'OUT', id, failure ? 'none' : figure(ours, 10), figure(expected, 10), within, about);
}

/** One line, in columns; on a terminal the last one is broken to its width. */
function row(mark: string, id: string, ours: string, expected: string, within: string, about: string): string {
  const start = `${mark.padEnd(4)}${id.padEnd(8)}${ours.padStart(14)}${expected.padStart(15)}  ${within.padEnd(14)} `;
  const room = process.stdout.isTTY ? Math.max(30, (process.stdout.columns ?? 80) - start.length) : Infinity;
  const lines: string[] = [''];
  for (const word of about.split(' ')) {
    const last = lines.at(-1)!;
    if (last && last.length + 1 + word.length > room) lines.push(word);
    else lines[lines.length - 1] = last ? `${last} ${word}` : word;
  }
  return `${start}${lines.join(`\n${' '.repeat(start.length)}`)}\n`;
}
