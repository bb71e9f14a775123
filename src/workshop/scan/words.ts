/** Numbers and counts as the sheet writes them. */

/** A number with up to `digits` significant figures, a true minus sign, and a power of ten only where the zeros would not be read. */
export function figure(value: number, digits = 4): string {
  if (Number.isNaN(value)) return 'no number';
  if (!Number.isFinite(value)) return value > 0 ? '∞' : '−∞';
  if (value === 0) return '0';
  const size = Math.abs(value);
  if (size >= 1e6 || size < 1e-4) {
    const [mantissa, exponent] = value.toExponential(Math.max(0, digits - 1)).split('e');
    return `${minus(String(Number(mantissa)))} × 10${raised(Number(exponent))}`;
  }
  return minus(String(Number(value.toPrecision(digits))));
}

/** `1 view`, `720 views`. */
export function counted(count: number, one: string, many = `${one}s`): string {
  return `${count} ${count === 1 ? one : many}`;
}

/** `a`, `a and b`, `a, b and c`. */
export function listed(words: readonly string[]): string {
  if (words.length < 2) return words.join('');
  return `${words.slice(0, -1).join(', ')} and ${words[words.length - 1]}`;
}

/** Bytes as a reader weighs them: 640 kB, 3.2 GB. */
export function weighed(bytes: number): string {
  if (bytes >= 1e9) return `${figure(bytes / 1e9, 2)} GB`;
  if (bytes >= 1e6) return `${figure(bytes / 1e6, 2)} MB`;
  return `${Math.max(1, Math.round(bytes / 1e3))} kB`;
}

const minus = (text: string) => text.replace('-', '−');

function raised(exponent: number): string {
  return [...String(exponent)].map((digit) => (digit === '-' ? '⁻' : '⁰¹²³⁴⁵⁶⁷⁸⁹'[Number(digit)])).join('');
}
