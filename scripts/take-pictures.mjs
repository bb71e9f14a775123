// node scripts/take-pictures.mjs: the read-me's pictures, taken anew from the built book.
import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { chromium } from 'playwright-core';
import { serve } from './serve.mjs';
import { buildBook, findBrowser, root } from './setup.mjs';

if (!process.env.SITE_DIST) buildBook();
const folder = join(root, 'pictures');
mkdirSync(folder, { recursive: true });
const { address, close } = await serve(process.env.SITE_DIST ?? join(root, 'dist'));
const browser = await chromium.launch({ executablePath: findBrowser(), args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'] });
const page = await browser.newPage({ viewport: { width: 1100, height: 800 }, reducedMotion: 'reduce' });

await page.goto(address);
await page.screenshot({ path: join(folder, 'contents.png') });

await page.goto(`${address}filtering/?window.noise=3&window.window=hann#plate-window`);
const plate = page.locator('#plate-window');
await plate.locator('.plate-picture').hover();
await plate.locator('canvas').first().waitFor();
await page.waitForTimeout(1500);
await plate.screenshot({ path: join(folder, 'plate.png') });

await page.goto(`${address}your-own-scan/`);
await page.getByRole('button', { name: 'Sealed capsule, axis off centre' }).click();
await page.getByRole('button', { name: 'Make the slice' }).click();
await page.getByRole('button', { name: 'Keep this slice beside the next' }).click();
await page.getByLabel('Hann').click();
await page.getByRole('button', { name: 'Make the slice again' }).click();
await page.locator('.scan-films canvas').nth(1).waitFor();
await page.waitForTimeout(2500);
await page.locator('.scan-films').screenshot({ path: join(folder, 'your-own-scan.png') });

await page.goto(`${address}your-own-scan/photographs/`);
await page.getByRole('button', { name: 'Sealed capsule, 90 photographs' }).click();
await page.locator('.volume-sheet[data-ready]').waitFor({ timeout: 120_000 });
for (const [axis, at] of [['x', '10.5'], ['y', '-10'], ['z', '-5']]) await page.getByRole('textbox', { name: `Cross-hair at ${axis}` }).fill(at);
await page.waitForTimeout(1500);
await page.locator('.volume-cuts').screenshot({ path: join(folder, 'your-own-photographs.png') });

await page.goto(`${address}rehearse-your-scan/bench/`);
await page.locator('.bench-page[data-ready]').waitFor();
await page.getByRole('button', { name: 'Rehearse', exact: true }).click();
await page.locator('.bench-shown').waitFor({ timeout: 120_000 });
await page.waitForTimeout(1000);
await page.locator('.bench-shown .scan-films').screenshot({ path: join(folder, 'bench.png') });

await browser.close();
await close();
