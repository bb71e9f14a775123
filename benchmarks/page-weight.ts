/** The script that each chapter of the built book loads, compressed: when its page opens, and once every plate has been in sight. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import type { Browser } from 'playwright-core';
import { chapters } from '../src/widgets/book.ts';

export interface PageWeight {
  readonly slug: string;
  readonly title: string;
  /** Bytes. */
  readonly opened: number;
  readonly read: number;
}

/** folder: of the built book, which is served at the address. */
export async function pageWeights(browser: Browser, address: string, folder: string): Promise<PageWeight[]> {
  const weights: PageWeight[] = [];
  for (const { slug, title, written } of chapters) {
    if (!written) continue;
    const page = await browser.newPage({ viewport: { width: 1280, height: 1000 } });
    const asked = new Set<string>();
    page.on('request', (request) => { const { pathname } = new URL(request.url()); if (/\.m?js$/.test(pathname)) asked.add(pathname); });
    await page.goto(new URL(`${slug}/`, address).href, { waitUntil: 'networkidle' });
    const inline = gzipSync(await page.evaluate(() => [...document.scripts].filter((script) => !script.src).map((script) => script.textContent).join(''))).length;
    const weight = () => [...asked].reduce((sum, path) => sum + gzipSync(readFileSync(join(folder, path))).length, inline);
    const opened = weight();
    for (const island of await page.locator('figure.plate astro-island').all()) {
      await island.evaluate((element) => (element.firstElementChild ?? element).scrollIntoView());
      await page.waitForTimeout(100);
    }
    await page.waitForLoadState('networkidle');
    await page.waitForTimeout(500); // what the plates load by and by
    weights.push({ slug, title, opened, read: weight() });
    await page.close();
  }
  return weights;
}
