import type { Listing } from '../frame/definition.ts';

/** The very lines of the library, as they stand when the book is built. */
const sources = import.meta.glob<string>('../../lib/**/*.ts', { query: '?raw', import: 'default', eager: true });

export interface Excerpt {
  readonly title: string;
  readonly file: string;
  readonly firstLine: number;
  readonly lastLine: number;
  readonly code: string;
}

/** Throws, and so stops the build, when the file, the region or the function is not there. */
export function excerpt(listing: Listing): Excerpt {
  const source = sources[`../../lib/${listing.file}`];
  if (source === undefined) throw new Error(`A listing names src/lib/${listing.file}, which does not exist.`);
  const lines = source.replace(/\n$/, '').split('\n');
  const [from, to] = listing.region ? regionOf(lines, listing) : listing.function ? functionOf(lines, listing) : [0, lines.length];
  const code = lines.slice(from, to).filter((line) => !/^\s*\/\/ (region |endregion)/.test(line));
  const indent = Math.min(...code.filter((line) => line.trim()).map((line) => line.search(/\S/)));
  return {
    title: listing.title ?? listing.function ?? listing.region ?? listing.file,
    file: `src/lib/${listing.file}`, firstLine: from + 1, lastLine: to, code: code.map((line) => line.slice(indent)).join('\n'),
  };
}

function regionOf(lines: string[], { file, region }: Listing): [number, number] {
  const starts = lines.flatMap((line, i) => (line.trim() === `// region ${region}` ? [i] : []));
  if (starts.length !== 1) throw new Error(`src/lib/${file} has ${starts.length} regions "${region}"; a listing needs exactly one.`);
  const end = lines.findIndex((line, i) => i > starts[0] && /^\s*\/\/ endregion/.test(line));
  if (end < 0) throw new Error(`The region "${region}" of src/lib/${file} has no // endregion.`);
  return [starts[0] + 1, end];
}

/** From the first line of the function's comment to its closing brace. */
function functionOf(lines: string[], { file, function: name }: Listing): [number, number] {
  const at = lines.findIndex((line) => new RegExp(`^(export )?(async )?function\\*? ${name}\\b`).test(line));
  if (at < 0) throw new Error(`src/lib/${file} has no function ${name}.`);
  const end = lines.findIndex((line, i) => i >= at && line === '}');
  let from = at;
  if (lines[at - 1]?.trim().endsWith('*/')) while (from > 0 && !lines[from].trim().startsWith('/**')) from--;
  return [from, end + 1];
}
