/**
 * The part of JSON Schema (draft 2020-12) that scan.schema.json and plan.schema.json use, read so that a mistake comes out as one sentence.
 * A general validator says "must NOT have additional properties"; a reader needs the key, the place and the likely spelling.
 */
export interface Schema {
  readonly title?: string;
  readonly description?: string;
  readonly type?: 'object' | 'array' | 'string' | 'number' | 'integer' | 'boolean';
  readonly const?: unknown;
  readonly enum?: readonly unknown[];
  readonly properties?: { readonly [key: string]: Schema | false };
  readonly required?: readonly string[];
  readonly additionalProperties?: false;
  readonly oneOf?: readonly Schema[];
  readonly if?: Schema;
  readonly then?: Schema;
  readonly else?: Schema;
  readonly items?: Schema;
  readonly minItems?: number;
  readonly maxItems?: number;
  readonly minLength?: number;
  readonly maxLength?: number;
  readonly minimum?: number;
  readonly exclusiveMinimum?: number;
  readonly maximum?: number;
  readonly $ref?: string;
  readonly $defs?: { readonly [name: string]: Schema };
}

/** The first mistake in a value that came out of JSON.parse, as a sentence; undefined if there is none. root holds the $defs. */
export function mistakeIn(value: unknown, root: Schema): string | undefined {
  return mistakeAt(value, root, root, '');
}

function mistakeAt(value: unknown, reference: Schema, root: Schema, path: string): string | undefined {
  const schema = resolved(reference, root);
  const wrong = () => `${path || 'The whole'} is ${shown(value)} and should be ${expectation(schema)}.`;
  if ('const' in schema && value !== schema.const) return wrong();
  if (schema.enum && !schema.enum.includes(value)) return wrong();
  if (schema.type && !hasType(value, schema.type)) return wrong();
  if (typeof value === 'number' && outside(value, schema)) return wrong();
  if (typeof value === 'string' && schema.type === 'string') {
    const length = [...value].length;
    if (length < (schema.minLength ?? 0) || length > (schema.maxLength ?? Infinity)) return wrong();
  }
  if (schema.oneOf) {
    const choice = isObject(value) ? chosen(value, schema.oneOf) : `% is ${shown(value)} and should be an object in braces (${schema.description}).`;
    return typeof choice === 'string' ? choice.replace('%', () => path) : mistakeAt(value, choice, root, path);
  }
  if (Array.isArray(value)) {
    if (value.length < (schema.minItems ?? 0) || value.length > (schema.maxItems ?? Infinity)) {
      return `${path} has ${value.length} entries and should have ${schema.minItems === schema.maxItems ? schema.minItems : `${schema.minItems ?? 0} to ${schema.maxItems}`} (${schema.description}).`;
    }
    return first(value, (item, i) => (schema.items ? mistakeAt(item, schema.items, root, `${path}[${i}]`) : undefined));
  }
  if (isObject(value)) return mistakeInObject(value, schema, root, path);
  return undefined;
}

function mistakeInObject(value: Record<string, unknown>, schema: Schema, root: Schema, path: string): string | undefined {
  const at = (key: string) => (path ? `${path}.${key}` : key);
  const known = schema.properties ?? {};
  const isKnown = (key: string) => Object.hasOwn(known, key);
  const unknown = schema.additionalProperties === false ? Object.keys(value).find((key) => !isKnown(key)) : undefined;
  if (unknown !== undefined) {
    const near = nearest(unknown, Object.keys(known));
    const keys = Object.keys(known).filter((key) => key !== '$schema').join(', ');
    return `${at(cut(unknown))} is not a key that is known: ${near ? `did you mean ${at(near)}? The keys` : 'the keys'} of ${path || `a ${root.title?.toLowerCase()} file`} are ${keys}.`;
  }
  const missing = schema.required?.find((key) => !Object.hasOwn(value, key));
  if (missing) return `${at(missing)} is missing: it should be ${expectation(resolved(known[missing] || {}, root))}.`;
  const mistake = first(Object.keys(value).filter(isKnown), (key) => {
    const property = known[key];
    return property === false ? `${at(key)} does not belong here: leave it out.` : mistakeAt(value[key], property, root, at(key));
  });
  if (mistake || !schema.if) return mistake;
  const branch = mistakeAt(value, schema.if, root, path) === undefined ? schema.then : schema.else;
  return branch && mistakeAt(value, branch, root, path);
}

/** The schema behind a $ref, with the description that stands beside it. */
function resolved(schema: Schema, root: Schema): Schema {
  if (!schema.$ref) return schema;
  const { $ref, ...beside } = schema;
  return { ...root.$defs![$ref.slice('#/$defs/'.length)], ...beside };
}

/** Of alternatives, the one that the value means: by a key with a constant (shape, kind), or by the keys that are there. % in a sentence is the path. */
function chosen(value: Record<string, unknown>, alternatives: readonly Schema[]): Schema | string {
  const properties = alternatives.map((alternative) => Object.entries(alternative.properties ?? {}) as [string, Schema][]);
  const mark = properties[0].find(([, schema]) => 'const' in schema)?.[0];
  if (mark && Object.hasOwn(value, mark)) {
    const constants = properties.map((entries) => entries.find(([key]) => key === mark)?.[1].const);
    const found = constants.indexOf(value[mark]);
    return found >= 0 ? alternatives[found] : `%.${mark} is ${shown(value[mark])} and should be ${listed(constants)}.`;
  }
  if (mark) return `%.${mark} is missing: it should be ${listed(properties.map((entries) => entries.find(([key]) => key === mark)?.[1].const))}.`;
  const fit = alternatives.map(({ required = [] }) => required.filter((key) => Object.hasOwn(value, key)).length / required.length);
  return alternatives[fit.indexOf(Math.max(...fit))];
}

function hasType(value: unknown, type: NonNullable<Schema['type']>): boolean {
  if (type === 'array') return Array.isArray(value);
  if (type === 'object') return isObject(value);
  if (type === 'integer') return Number.isInteger(value);
  if (type === 'number') return Number.isFinite(value);
  return typeof value === type;
}

const isObject = (value: unknown): value is Record<string, unknown> => typeof value === 'object' && value !== null && !Array.isArray(value);

const outside = (value: number, { minimum = -Infinity, maximum = Infinity, exclusiveMinimum = -Infinity }: Schema) =>
  value < minimum || value > maximum || value <= exclusiveMinimum;

/** What would be right, in words. */
function expectation(schema: Schema): string {
  const about = schema.description ? ` (${schema.description})` : '';
  if ('const' in schema) return JSON.stringify(schema.const) + about;
  if (schema.enum) return listed(schema.enum) + about;
  const { type, exclusiveMinimum: above, minimum: from, maximum: to } = schema;
  const kind = { object: 'an object in braces', array: 'a list in brackets', string: 'text', number: 'a number', integer: 'a whole number', boolean: 'true or false' }[type ?? 'object'];
  const range = above !== undefined ? ` above ${above}${to === undefined ? '' : ` and up to ${to}`}` : from !== undefined ? ` from ${from} to ${to}` : '';
  const length = type === 'string' && schema.maxLength ? ` of ${schema.minLength ?? 0} to ${schema.maxLength} characters` : '';
  return kind + range + length + about;
}

function listed(values: readonly unknown[]): string {
  const words = values.map((value) => JSON.stringify(value));
  return words.length > 1 ? `${words.slice(0, -1).join(', ')} or ${words.at(-1)}` : words[0];
}

const cut = (text: string) => (text.length > 40 ? `${text.slice(0, 40)}…` : text);

function shown(value: unknown): string {
  if (Array.isArray(value)) return 'a list';
  if (isObject(value)) return 'an object';
  return cut(typeof value === 'number' ? String(value) : JSON.stringify(value));
}

function first<T>(items: readonly T[], mistake: (item: T, index: number) => string | undefined): string | undefined {
  for (let i = 0; i < items.length; i++) {
    const found = mistake(items[i], i);
    if (found) return found;
  }
  return undefined;
}

/** The known key with the fewest letters wrong, if that is no more than a third of them. */
export function nearest(key: string, known: readonly string[]): string | undefined {
  if (key.length > 40) return undefined;
  const scored = known.map((candidate) => ({ candidate, distance: editDistance(key.toLowerCase(), candidate.toLowerCase()) }));
  const best = scored.reduce((a, b) => (b.distance < a.distance ? b : a));
  return best.distance <= Math.max(1, Math.floor(key.length / 3)) ? best.candidate : undefined;
}

/** Letters to insert, drop or change to get from one word to the other (Levenshtein 1966). */
function editDistance(a: string, b: string): number {
  let row = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const next = [i];
    for (let j = 1; j <= b.length; j++) next[j] = Math.min(next[j - 1] + 1, row[j] + 1, row[j - 1] + (a[i - 1] === b[j - 1] ? 0 : 1));
    row = next;
  }
  return row[b.length];
}
