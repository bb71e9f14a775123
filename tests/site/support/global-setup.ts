/** Once for all tests in a browser: the built book, served. SITE_DIST names a built folder to use; otherwise the book is built into .cache/site. */
import { spawnSync } from 'node:child_process';
import { existsSync, rmSync } from 'node:fs';
import { delimiter, join, resolve } from 'node:path';
import type { TestProject } from 'vitest/node';
import { serve } from '../../../scripts/serve.mjs';

const root = resolve(import.meta.dirname, '../../..');

export default async function setup(project: TestProject) {
  const dist = process.env.SITE_DIST ? resolve(process.env.SITE_DIST) : build();
  if (!existsSync(join(dist, 'index.html'))) throw new Error(`There is no built book in ${dist}: run npm run build, or leave SITE_DIST out.`);
  const { address, close } = await serve(dist);
  project.provide('dist', dist);
  project.provide('address', address);
  return close;
}

function build(): string {
  const dist = join(root, '.cache', 'site');
  const bin = join(root, 'node_modules', '.bin');
  const env = { ...process.env, ASTRO_TELEMETRY_DISABLED: '1', PATH: [bin, process.env.PATH].join(delimiter) };
  const shell = process.platform === 'win32';
  rmSync(dist, { recursive: true, force: true });
  for (const [tool, args] of [['astro', ['build', '--outDir', dist]], ['pagefind', ['--site', dist, '--silent']]] as const) {
    const { status } = spawnSync(join(bin, tool), args, { cwd: root, env, shell, stdio: ['ignore', 'ignore', 'inherit'] });
    if (status !== 0) throw new Error(`The book could not be built: ${tool} ended with ${status}.`);
  }
  return dist;
}

declare module 'vitest' {
  interface ProvidedContext {
    /** The folder of the built book. */
    dist: string;
    /** Where it is served, with a slash at its end. */
    address: string;
  }
}
