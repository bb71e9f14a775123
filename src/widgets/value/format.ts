/** Numbers as the book prints them: a typographic minus, thin spaces between thousands, powers of ten where they help. */

export interface Quantity {
  readonly value: number;
  /** 'mm', '1/mm', '%' (value 12 for 12 %), '°', ''. */
  readonly unit?: string;
}

export interface FormatOptions {
  /** Significant digits, kept even where they are zeros. Left out: four at most, without closing zeros; whole numbers in full. */
  readonly digits?: number;
  /** Places after the point instead. */
  readonly decimals?: number;
}

export interface Formatted {
  /** '−1.20', '12 500'. */
  readonly number: string;
  /** The power of ten that goes with it: −5 for 1.2 × 10⁻⁵. */
  readonly exponent?: number;
  /** The unit with the space that stands before it: '\u202fmm', '/mm', '°'. */
  readonly unit: string;
}

const narrow = '\u202f';

/** Throws RangeError on a value that is not finite: a book does not print NaN. */
export function formatQuantity({ value, unit = '' }: Quantity, options: FormatOptions = {}): Formatted {
  if (typeof value !== 'number' || !Number.isFinite(value)) throw new RangeError(`A number to print must be finite; it is ${value}.`);
  return { ...formatNumber(value, options), unit: spacedUnit(unit) };
}

/** As one line of text, powers of ten in superscript figures: for labels, titles and spoken descriptions. */
export function quantityText(quantity: Quantity, options: FormatOptions = {}): string {
  const { number, exponent, unit } = formatQuantity(quantity, options);
  const power = exponent === undefined ? '' : `${narrow}×${narrow}10${superscript(exponent)}`;
  return number + power + (exponent !== undefined && unit.startsWith('/') ? `${narrow}${unit}` : unit);
}

/** As HTML, the power of ten raised. */
export function quantityHtml(quantity: Quantity, options: FormatOptions = {}): string {
  const { number, exponent, unit } = formatQuantity(quantity, options);
  if (exponent === undefined) return number + unit;
  return `${number}${narrow}×${narrow}10<sup>${String(exponent).replace('-', '−')}</sup>${unit.startsWith('/') ? narrow : ''}${unit}`;
}

/** As TeX for a formula: '1.20\\times10^{-5}\\,\\mathrm{mm}^{-1}'. */
export function tex(quantity: Quantity | number, digits?: number): string {
  const { number, exponent } = formatQuantity(typeof quantity === 'number' ? { value: quantity } : quantity, { digits });
  const plain = number.replace('−', '-').replaceAll(narrow, '\\,');
  const power = exponent === undefined ? '' : `\\times10^{${exponent}}`;
  return plain + power + texUnit(typeof quantity === 'number' ? '' : quantity.unit ?? '');
}

function formatNumber(value: number, { digits, decimals }: FormatOptions): { number: string; exponent?: number } {
  if (decimals !== undefined) return { number: grouped(value.toFixed(decimals)) };
  if (value === 0) return { number: digits === undefined ? '0' : (0).toFixed(digits - 1) };
  if (digits === undefined && Number.isInteger(value) && Math.abs(value) < 1e6) return { number: grouped(String(value)) };

  const [mantissa, power] = value.toExponential((digits ?? 4) - 1).split('e');
  const exponent = Number(power);
  const tidy = (text: string) => (digits === undefined && text.includes('.') ? text.replace(/\.?0+$/, '') : text);
  if (exponent < -4 || exponent >= 6) return { number: grouped(tidy(mantissa)), exponent };
  const places = Math.max(0, (digits ?? 4) - 1 - exponent);
  return { number: grouped(tidy(Number(`${mantissa}e${power}`).toFixed(places))) };
}

/** Thousands apart from five figures on, before and not after the point. */
function grouped(text: string): string {
  const [whole, fraction] = text.replace('-', '−').split('.');
  const figures = whole.replace('−', '');
  const spaced = figures.length < 5 ? figures : figures.replace(/\B(?=(\d{3})+$)/g, narrow);
  const zero = !/[1-9]/.test(text); // no minus before a zero
  return (whole.startsWith('−') && !zero ? '−' : '') + spaced + (fraction ? `.${fraction}` : '');
}

function spacedUnit(unit: string): string {
  if (unit === '' || unit === '°' || unit === '′' || unit === '″') return unit;
  return unit.startsWith('1/') ? unit.slice(1) : narrow + unit;
}

function superscript(exponent: number): string {
  return String(exponent).replace('-', '⁻').replace(/\d/g, (figure) => '⁰¹²³⁴⁵⁶⁷⁸⁹'[Number(figure)]);
}

function texUnit(unit: string): string {
  if (unit === '') return '';
  if (unit === '°') return '^\\circ';
  if (unit === '%') return '\\,\\%';
  if (unit.startsWith('1/')) return `\\,\\mathrm{${unit.slice(2)}}^{-1}`;
  return `\\,\\mathrm{${unit.replace('µ', '\\mu ')}}`;
}
