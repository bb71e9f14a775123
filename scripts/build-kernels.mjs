// The loops of src/lib/engine/simd/assembly to WebAssembly, into one module that needs no file beside it. Skipped where that is newer than its sources.
import { existsSync, readdirSync, realpathSync, renameSync, statSync, writeFileSync } from 'node:fs';
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

/** Compiles them; throws with the compiler's messages where that fails. Result: bytes. */
export async function compileKernels() {
  const plain = await compile(['simd']), relaxed = await compile(['simd', 'relaxed-simd']);
  const draft = `${made}.${process.pid}`; // whole or not at all, should two make it at once
  writeFileSync(draft, `// Made by scripts/build-kernels.mjs from assembly/; not to be edited.
export const kernels = \`${inLines(plain)}\`;

/** The same for machines with relaxed SIMD: multiplied and added in one step. */
export const relaxedKernels = \`${inLines(relaxed)}\`;
`);
  renameSync(draft, made);
  return plain.length + relaxed.length;
}

async function compile(features) {
  const { default: asc } = await import('assemblyscript/asc');
  let bytes = new Uint8Array();
  const { error, stderr } = await asc.main([
    relative(root, join(sources, 'index.ts')), '--baseDir', root, '--outFile', 'kernels.wasm',
    '-O3', '--runtime', 'stub', '--noAssert', '--use', 'abort=', '--initialMemory', '1', ...features.flatMap((name) => ['--enable', name]),
  ], { writeFile: (name, contents) => { if (name.endsWith('.wasm') && contents instanceof Uint8Array) bytes = contents; } });
  if (error || bytes.length === 0) throw new Error(`The kernels do not compile: ${error?.message ?? 'nothing came out'}\n${stderr}`);
  return bytes;
}

function inLines(bytes) {
  return `\n${Buffer.from(bytes).toString('base64').match(/.{1,140}/g)?.join('\n')}\n`;
}

if (process.argv[1] && fileURLToPath(import.meta.url) === realpathSync(process.argv[1]) && !kernelsAreFresh()) {
  const size = await compileKernels();
  console.error(`Compiled the kernels: ${Math.ceil(size / 1000)} kB of WebAssembly.`);
}
