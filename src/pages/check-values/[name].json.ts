/** The fixtures that the checks compare with, served as they lie in datasets/check-values. */
import { readFile, readdir } from 'node:fs/promises';
import { join } from 'node:path';
import type { APIContext } from 'astro';

const folder = join(process.cwd(), 'datasets', 'check-values');

export async function getStaticPaths() {
  const files = await readdir(folder).catch(() => [] as string[]);
  return files.filter((file) => file.endsWith('.json')).map((file) => ({ params: { name: file.slice(0, -5) } }));
}

export async function GET({ params }: APIContext) {
  return new Response(await readFile(join(folder, `${params.name}.json`), 'utf8'), { headers: { 'content-type': 'application/json' } });
}
