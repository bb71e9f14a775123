/** What a reader may type for a number, in figures: '0.0042', '4.2e-3', '4,2 · 10⁻³', '1/3', '−12 %', '15 mm'. */

const superscripts = '⁰¹²³⁴⁵⁶⁷⁸⁹';

/**
 * The number in `unit`, or undefined where the text is not one. A comma is a decimal comma unless a point stands beside it.
 * A percent sign counts: '12 %' is 12 where the unit is '%' and 0.12 elsewhere. The unit itself may stand behind the number.
 */
export function readAnswer(text: string, unit: string): number | undefined {
  let rest = text.trim().replace(/[\s\u2009\u202f\u00a0]+/g, ' ').replace(/[−–]/g, '-');
  const percent = rest.endsWith('%');
  if (percent) rest = rest.slice(0, -1).trimEnd();
  else if (unit !== '' && rest.toLowerCase().endsWith(unit.toLowerCase())) rest = rest.slice(0, -unit.length).trimEnd();
  else if (unit.startsWith('1/') && rest.endsWith(unit.slice(1))) rest = rest.slice(0, 1 - unit.length).trimEnd();
  const value = readNumber(rest);
  return value === undefined || !percent || unit === '%' ? value : value / 100;
}

function readNumber(text: string): number | undefined {
  const [above, below, more] = text.split('/');
  if (more !== undefined) return undefined;
  const value = below === undefined ? readFigures(above) : readFigures(above)! / readFigures(below)!;
  return Number.isFinite(value) ? value : undefined;
}

function readFigures(text: string): number | undefined {
  const raised = text.replace(/[⁻⁰¹²³⁴⁵⁶⁷⁸⁹]+/g, (power) => `^${power.replace('⁻', '-').replace(/[⁰¹²³⁴⁵⁶⁷⁸⁹]/g, (figure) => String(superscripts.indexOf(figure)))}`);
  const plain = raised.replace(/ ?(?:[×x*·]) ?10 ?(?:\^|\*\*) ?/i, 'e').replace(/ /g, '');
  if (plain.includes(',') && (plain.includes('.') || plain.indexOf(',') !== plain.lastIndexOf(','))) return undefined;
  const point = plain.replace(',', '.');
  return /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i.test(point) ? Number(point) : undefined;
}
