import { BadInput } from './bad-input.ts';
import { quantityKinds, type QuantityKind } from './quantity-kinds.ts';

export interface QuantityOptions {
  /** What the field is called; it begins the sentence of a refusal: 'The wall of the box', say. */
  readonly label?: string;
  /** The unit that is meant where none is typed; the kind's usual one when left out. One of the kind's units. */
  readonly unit?: string;
  /** In the unit of the library: the value must be above `above`, and lie from `from` to `to`. A kind that has no sign is never below 0. */
  readonly above?: number;
  readonly from?: number;
  readonly to?: number;
}

const longest = 100;

/**
 * A quantity as people type it, in the unit of the library: '2 in' is 50.8 (mm), '60 kV' is 60, '1/60 s' is 0.0166…, '8°' is 0.1396… (radians),
 * '0,5 mA' is 0.5, '1 h 30 min' is 5400 (s), '5 %' is 0.05. See quantityKinds for kinds and units; a number alone is in the kind's usual unit.
 * Figures: a decimal point or comma, thousands apart by spaces, 1/60, 1 1/2, 2e-3, 2·10⁻³. Units in any capitals unless that changes which unit it is.
 * Throws BadInput, one sentence: no number, an unknown unit (with the known ones), a comma that can be read two ways ('60,000'), or out of range.
 */
export function readQuantity(text: string, kind: QuantityKind, options: QuantityOptions = {}): number {
  const { units, usual, what, signed = false } = quantityKinds[kind];
  const { label = what[0].toUpperCase() + what.slice(1), unit = usual } = options;
  const shown = text.length > 30 ? `${text.slice(0, 30)}…` : text;
  const refuse = (says: string): never => { throw new BadInput(`${label} is “${shown}”${says}`); };
  const example = `write a number with its unit, such as ${written(quantityKinds[kind].example, usual)}`;
  if (text.trim() === '') throw new BadInput(`${label} is empty: ${example}.`);
  if (text.length > longest) refuse(`, which is too long to be a quantity: ${example}.`);
  const plain = text.trim().replace(/[\s\u00a0\u2009\u202f]+/g, ' ').replace(/[−–]/g, '-').replace(/µ|μ/g, 'µ').replace(/[’′]/g, "'").replace(/[”″]/g, '"');
  const [body, sign] = /^[+-]/.test(plain) ? [plain.slice(1).trim(), plain[0] === '-' ? -1 : 1] : [plain, 1];
  const parts = partsOf(kind === 'f-number' ? body.replace(/^f ?\/? ?/i, '') : body);
  if (!parts) return refuse(`, which is not a quantity: ${example}.`);
  let total = 0;
  let last = Infinity;
  for (const { figures, name } of parts) {
    const value = numberOf(figures);
    if (value === 'ambiguous') return refuse(`, which can be read two ways: write ${figures.replace(',', '')} or ${figures.replace(',', '.')}.`);
    if (value === undefined || !Number.isFinite(value)) return refuse(`, which is not a quantity: ${example}.`);
    const found = factorOf(units, name || (parts.length > 1 ? '' : unit));
    if (found === undefined) return refuse(name ? `, and ${name} is no unit of ${what}: use ${listed(spelledOnce(units))}.` : `, and its last number has no unit: ${example}.`);
    if (parts.length > 1 && !(found < last)) return refuse(`, whose units should go from the larger to the smaller: ${example}.`);
    last = found;
    total += value * found;
  }
  const result = 0 + sign * total;
  if (!Number.isFinite(result)) return refuse(`, which is larger than anything: ${example}.`);
  const { above = -Infinity, from = signed ? -Infinity : 0, to = Infinity } = options;
  if (result <= above || result < from || result > to) {
    const range = [above > -Infinity && `above ${written(above, unit, units)}`, from > -Infinity && above < from && `${written(from, unit, units)} or more`, to < Infinity && `at most ${written(to, unit, units)}`].filter(Boolean);
    return refuse(` and should be ${range.join(' and ')}.`);
  }
  return result;
}

/** Numbers with the unit after each: '1 h 30 min', '6\' 2"'. undefined where the text is anything else. */
function partsOf(text: string): { figures: string; name: string }[] | undefined {
  const part = /(?<figures>\d[\d ,.]*(?: ?\/ ?\d[\d.,]*)?(?:e[+-]?\d+)?|[.,]\d+(?:e[+-]?\d+)?)(?<power> ?[×x*·] ?10 ?(?:\^ ?-?\d+|[⁻⁰¹²³⁴⁵⁶⁷⁸⁹]+))? ?(?<name>[^\d\s.,+-][^\s]*|)/iuy;
  const parts: { figures: string; name: string }[] = [];
  while (part.lastIndex < text.length) {
    const at = part.lastIndex;
    const match = part.exec(text);
    if (!match || match[0] === '') return undefined;
    parts.push({ figures: match.groups!.figures.trim() + powerOf(match.groups!.power ?? ''), name: match.groups!.name });
    part.lastIndex = at + match[0].length;
    while (text[part.lastIndex] === ' ') part.lastIndex++;
  }
  return parts.length > 0 && parts.length <= 4 ? parts : undefined;
}

const raised = '⁰¹²³⁴⁵⁶⁷⁸⁹';

/** ' · 10⁻³' as 'e-3'. */
function powerOf(text: string): string {
  if (text === '') return '';
  const power = /10 ?(?:\^ ?(-?\d+)|([⁻⁰¹²³⁴⁵⁶⁷⁸⁹]+))$/.exec(text)!;
  return `e${power[1] ?? power[2].replace('⁻', '-').replace(/[⁰-⁹¹²³]/g, (figure) => String(raised.indexOf(figure)))}`;
}

function numberOf(text: string): number | 'ambiguous' | undefined {
  const mixed = /^(?:(\d+) )?(\S+) ?\/ ?(\S+)$/.exec(text);
  if (!mixed) return figuresOf(text);
  const [above, below] = [figuresOf(mixed[2]), figuresOf(mixed[3])];
  if (above === 'ambiguous' || below === 'ambiguous') return 'ambiguous';
  return above === undefined || below === undefined ? undefined : Number(mixed[1] ?? 0) + above / below;
}

function figuresOf(text: string): number | 'ambiguous' | undefined {
  // A space only stands between groups of three.
  const joined = /^\d{1,3}(?: \d{3})+(?:[.,]\d+)?$/.test(text) ? text.replaceAll(' ', '') : text;
  if (/^[1-9]\d{0,2},\d{3}$/.test(joined) && !text.includes(' ')) return 'ambiguous';
  const point = joined.includes('.') ? joined : joined.replace(',', '.');
  return /^(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i.test(point) ? Number(point) : undefined;
}

/** By its exact name, else by its letters in any capitals where only one unit has them. */
function factorOf(units: Readonly<Record<string, number>>, name: string): number | undefined {
  if (Object.hasOwn(units, name)) return units[name];
  const near = Object.keys(units).filter((known) => known.toLowerCase() === name.toLowerCase());
  return near.length > 0 && near.every((known) => units[known] === units[near[0]]) ? units[near[0]] : undefined;
}

/** A value of the library in a unit of the kind. */
function written(value: number, unit: string, units?: Readonly<Record<string, number>>): string {
  const number = String(Number((units ? value / units[unit] : value).toPrecision(6)));
  return unit === '' ? number : `${number}${unit === '°' ? '' : ' '}${unit}`;
}

/** The first spelling of each unit. */
function spelledOnce(units: Readonly<Record<string, number>>): string[] {
  return Object.keys(units).filter((name, place, all) => all.findIndex((other) => units[other] === units[name]) === place);
}

const listed = (names: readonly string[]): string => {
  const some = names.map((name) => name || 'none');
  return some.length > 1 ? `${some.slice(0, -1).join(', ')} or ${some.at(-1)}` : some[0];
};
