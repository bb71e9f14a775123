/**
 * A page with the engines on it, in a browser whose graphics card is a program: Chromium's WebGPU on SwiftShader, which computes what a card would, slowly.
 * The bundle is made for the test, of src/lib as it stands.
 */
import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { chromium, type Browser, type Page } from 'playwright-core';
import { build } from 'vite';
import { serve } from '../../../scripts/serve.mjs';

const places = [process.env.CHROME_PATH, '/usr/bin/chromium', '/usr/bin/chromium-headless-shell', '/usr/bin/chromium-browser', '/usr/bin/google-chrome', '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome'];
const root = resolve(import.meta.dirname, '../../..');

/** What the page has on its globalThis.library. */
const entry = `
export { gpuEngine } from ${JSON.stringify(join(root, 'src/lib/engine/gpu/gpu-engine.ts'))};
export { plainEngine } from ${JSON.stringify(join(root, 'src/lib/engine/plain.ts'))};
export { keepGoing } from ${JSON.stringify(join(root, 'src/lib/engine/keep-going.ts'))};
export { engineAgreement, relativeRms } from ${JSON.stringify(join(root, 'src/lib/engine/agreement.ts'))};
export { run } from ${JSON.stringify(join(root, 'src/lib/engine/steps.ts'))};
export { sirtSteps } from ${JSON.stringify(join(root, 'src/lib/reconstruct/sirt.ts'))};
export { coneBeam, fanBeam, parallelBeam } from ${JSON.stringify(join(root, 'src/lib/geometry/beams.ts'))};
`;

export interface GpuPages {
  /** A new page with the library; withGpu: with WebGPU. */
  open(withGpu: boolean): Promise<Page>;
  close(): Promise<void>;
}

export async function openGpuPages(): Promise<GpuPages> {
  const executablePath = places.find((path) => path && existsSync(path));
  if (!executablePath) throw new Error('The tests need a browser: install Chromium or Chrome, or set CHROME_PATH to the program.');
  const folder = mkdtempSync(join(tmpdir(), 'gpu-page-'));
  writeFileSync(join(folder, 'entry.js'), entry);
  const made = await build({ root, configFile: false, logLevel: 'silent', build: { write: false, minify: false, target: 'esnext', lib: { entry: join(folder, 'entry.js'), formats: ['es'], fileName: 'library' } } });
  const { output } = (Array.isArray(made) ? made[0] : made) as { output: { type: string; fileName: string; code?: string }[] };
  for (const { type, fileName, code } of output) if (type === 'chunk') writeFileSync(join(folder, fileName), code!);
  const first = output[0].fileName;
  writeFileSync(join(folder, 'index.html'), `<!doctype html><meta charset="utf-8"><title>engines</title><script type="module">import * as library from './${first}'; globalThis.library = library;</script>`);

  const { address, close } = await serve(folder);
  const browsers = new Map<boolean, Browser>();
  return {
    async open(withGpu) {
      const flags = ['--no-sandbox', '--disable-quic', '--no-first-run', '--disable-background-networking', ...(withGpu ? ['--enable-unsafe-webgpu', '--use-webgpu-adapter=swiftshader'] : ['--disable-gpu'])];
      const browser = browsers.get(withGpu) ?? await chromium.launch({ executablePath, headless: true, args: flags });
      browsers.set(withGpu, browser);
      const page = await browser.newPage();
      await page.goto(address);
      await page.waitForFunction('globalThis.library !== undefined');
      return page;
    },
    async close() {
      for (const browser of browsers.values()) await browser.close();
      await close();
      rmSync(folder, { recursive: true });
    },
  };
}
