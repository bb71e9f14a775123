// npm start: from a bare clone to the served book. PORT and HOST choose where it is served.
import { existsSync, readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { environment, installPackages, root, runOrStop } from './setup.mjs';
import { serve } from './serve.mjs';

installPackages();
const dist = join(root, 'dist');
if (!upToDate()) {
  console.log('Building the book …');
  runOrStop('npm', ['run', '--silent', 'build'], { env: environment, shell: process.platform === 'win32' });
}
const { address } = await serve(dist, { port: Number(process.env.PORT ?? 4321), host: process.env.HOST ?? '127.0.0.1' });
console.log(`\nShadows to Slices is open at ${address}\nCtrl+C closes it.`);

/** Whether the built book is newer than everything it is made from. */
function upToDate() {
  const built = join(dist, 'index.html');
  if (!existsSync(built)) return false;
  const made = statSync(built).mtimeMs;
  const sources = ['src', 'chapters', 'datasets', 'public', 'astro.config.mjs', 'package-lock.json'].map((name) => join(root, name));
  return sources.filter((path) => existsSync(path)).every((path) => newest(path) <= made);
}

function newest(path) {
  const { mtimeMs } = statSync(path);
  if (!statSync(path).isDirectory()) return mtimeMs;
  return Math.max(mtimeMs, ...readdirSync(path).map((name) => newest(join(path, name))));
}
