/** The numbers of the prose: <Value of="shadows.waterTransmission" /> names one in src/widgets/values/shadows.ts. */
import type { Quantity } from './format.ts';

type Values = { readonly [name: string]: Quantity | Values };
const modules = import.meta.glob<{ values: Values }>('../values/*.ts');

/** Chapters that have a values module. */
export const slugs = Object.keys(modules).map((path) => path.replace(/^.*\/|\.ts$/g, ''));

/** All the values of a chapter by their dotted names, 'theorem.frequency' for one inside a group. */
export async function valuesOf(slug: string): Promise<Map<string, Quantity>> {
  const load = modules[`../values/${slug}.ts`];
  if (!load) throw new Error(`There are no values for the chapter “${slug}”: src/widgets/values/${slug}.ts is missing.`);
  return new Map(flatten((await load()).values));
}

/** One value by its full name; throws where there is none, so that the book is not built with a hole in it. */
export async function lookUp(name: string): Promise<Quantity> {
  const dot = name.indexOf('.');
  const found = (await valuesOf(name.slice(0, Math.max(dot, 0)))).get(name.slice(dot + 1));
  if (!found) throw new Error(`The text asks for the value “${name}”, which src/widgets/values/${name.slice(0, dot)}.ts does not have.`);
  return found;
}

function flatten(values: Values, prefix = ''): [string, Quantity][] {
  return Object.entries(values).flatMap(([name, entry]): [string, Quantity][] =>
    isQuantity(entry) ? [[prefix + name, entry]] : flatten(entry, `${prefix}${name}.`));
}

function isQuantity(entry: Quantity | Values): entry is Quantity {
  return typeof (entry as Quantity).value === 'number';
}
