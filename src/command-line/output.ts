/** Where things are said: results on standard output, everything else on standard error. */

export function printJson(value: unknown): void {
  process.stdout.write(`${JSON.stringify(value, (_, item) => (typeof item === 'number' && !Number.isFinite(item) ? null : item))}\n`);
}

export function say(sentence: string): void {
  process.stderr.write(`${sentence}\n`);
}

let shownAt = -Infinity;

/** A line that is written over, ten times a second, only where a person is watching. */
export function showProgress(what: string, fraction: number): void {
  if (!process.stderr.isTTY || performance.now() < shownAt + 100) return;
  shownAt = performance.now();
  const filled = Math.round(fraction * 30);
  process.stderr.write(`\r${what} ${'█'.repeat(filled)}${'░'.repeat(30 - filled)} ${String(Math.round(100 * fraction)).padStart(3)} %\u001b[K`);
}

export function clearProgress(): void {
  if (process.stderr.isTTY) process.stderr.write('\r\u001b[K');
}

/** Names and values under each other. */
export function listing(rows: readonly (readonly [name: string, value: string])[]): string {
  const width = Math.max(...rows.map(([name]) => name.length));
  return rows.map(([name, value]) => `${name.padEnd(width)}   ${value}\n`).join('');
}

/** A number in few digits that a person reads: 0.14832, 1.23e-7, −0.002. */
export function figure(value: number, digits = 5): string {
  if (!Number.isFinite(value)) return Number.isNaN(value) ? 'none' : value > 0 ? 'infinite' : 'minus infinite';
  return String(Number(value.toPrecision(digits))).replace('-', '−').replace('e−', 'e-');
}
