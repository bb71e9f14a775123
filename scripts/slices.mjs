#!/usr/bin/env node
// slices: runs the command line on a Node that reads TypeScript; where this one is too old, on the one that package.json pins.
import { spawn } from 'node:child_process';
import { existsSync } from 'node:fs';
import module from 'node:module';
import { fileURLToPath } from 'node:url';
import { buildKernels, compiledCode, pinnedNode } from './setup.mjs';

const entry = new URL('../src/cli.ts', import.meta.url);
if (existsSync(pinnedNode)) buildKernels(); // without the packages there is no compiler, and the plain engine does it
// Workers and a Node of its own go by the variable.
const kept = (process.env.NODE_COMPILE_CACHE ??= compiledCode);
if (Number(process.versions.node.split('.')[0]) >= 24) {
  module.enableCompileCache(kept);
  await import(entry.href);
} else if (!existsSync(pinnedNode)) {
  console.error(`slices needs Node 24 or newer and this is ${process.version}: run npm ci in the project, which installs one.`);
  process.exitCode = 1;
} else {
  // Ctrl+C reaches both; the one below knows how to stop cleanly, this one waits for it.
  for (const signal of ['SIGINT', 'SIGTERM']) process.on(signal, () => child.kill(signal));
  const child = spawn(pinnedNode, [fileURLToPath(entry), ...process.argv.slice(2)], { stdio: 'inherit' });
  child.on('exit', (code, signal) => { process.exitCode = code ?? (signal === 'SIGINT' ? 130 : 1); });
}
