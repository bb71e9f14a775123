// The loops of src/lib/engine/simd/assembly to WebAssembly, into one module that needs no file beside it. Skipped where that is newer than its sources.
import { existsSync, readdirSync, renameSync, statSync, writeFileSync } from 'node:fs';
import { join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = fileURLToPath(new URL('..', import.meta.url));
const sources = join(root, 'src', 'lib', 'engine', 'simd', 'assembly');
const made = join(root, 'src', 'lib', 'engine', 'simd', 'kernels.wasm.ts');

/** Whether the module is there and newer than everything it is made from. */
export function kernelsAreFresh() {
  if (!existsSync(made)) return false;
  const from = [fileURLToPath(import.meta.url), ...readdirSync(sources).map((name) => join(sources, name))];
  return from.every((path) => statSync(path).mtimeMs <= statSync(made).mtimeMs);
}

/** Compiles them; throws with the compiler's messages where that fails. */
export async function compileKernels() {
  const { default: asc } = await import('assemblyscript/asc');
  let bytes = new Uint8Array();
  const { error, stderr } = await asc.main([
    relative(root, join(sources, 'index.ts')), '--baseDir', root, '--outFile', 'kernels.wasm',
    '-O3', '--runtime', 'stub', '--noAssert', '--enable', 'simd', '--use', 'abort=', '--initialMemory', '1',
  ], { writeFile: (name, contents) => { if (name.endsWith('.wasm') && contents instanceof Uint8Array) bytes = contents; } });
  if (error || bytes.length === 0) throw new Error(`The kernels do not compile: ${error?.message ?? 'nothing came out'}\n${stderr}`);
  const lines = Buffer.from(bytes).toString('base64').match(/.{1,140}/g) ?? [];
  const draft = `${made}.${process.pid}`; // whole or not at all, should two make it at once
  writeFileSync(draft, `// Made by scripts/build-kernels.mjs from assembly/; not to be edited.\nexport const kernels = \`\n${lines.join('\n')}\n\`;\n`);
  renameSync(draft, made);
  return bytes.length;
}

if (process.argv[1] && fileURLToPath(import.meta.url) === process.argv[1] && !kernelsAreFresh()) {
  const size = await compileKernels();
  console.error(`Compiled the kernels: ${Math.ceil(size / 1000)} kB of WebAssembly.`);
}
