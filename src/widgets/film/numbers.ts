/** A number short enough for a label: three figures, a true minus, no tail of zeros. */
export function short(value: number, figures = 3): string {
  if (!Number.isFinite(value)) return String(value);
  if (value === 0) return '0';
  const size = Math.abs(value);
  const text = size >= 1e5 || size < 1e-3 ? scientific(value, figures) : String(Number(value.toPrecision(figures)));
  return text.replace('-', '−');
}

function scientific(value: number, figures: number): string {
  const [mantissa, exponent] = value.toExponential(figures - 1).split('e');
  return `${Number(mantissa)}·10${exponent.replace('+', '').replace(/./g, (sign) => '⁰¹²³⁴⁵⁶⁷⁸⁹'['0123456789'.indexOf(sign)] ?? '⁻')}`;
}

/** A round length, 1, 2 or 5 times a power of ten, nearest below a quarter of the width: the scale bar's. */
export function barLength(width: number): number {
  const most = width / 4;
  const power = 10 ** Math.floor(Math.log10(most));
  return power * ([5, 2, 1].find((times) => times * power <= most) ?? 1);
}
