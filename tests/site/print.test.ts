/** On paper: A4, plates as pictures, lines to write on, nothing that only a screen can use. */
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { chapters } from '../../src/widgets/book.ts';
import { closeBrowser, openBrowser, visitor } from './support/browser.ts';

beforeAll(() => openBrowser());
afterAll(closeBrowser);
const visit = visitor({ viewport: { width: 658, height: 970 }, colorScheme: 'dark' }); // A4 within its margins, at 96 dots an inch

describe.each(chapters.filter(({ written, plates }) => written && plates.length > 0))('/$slug/', ({ slug, plates }) => {
  test('prints', async () => {
    const { page } = await visit(`${slug}/`);
    await page.emulateMedia({ media: 'print', colorScheme: 'dark' });
    for (const screen of ['.strip', '.onward', '.foot', '.progress-note', '.exercise input', '.exercise summary', '.plate input', '.plate button']) {
      expect(await page.locator(`${screen}:visible`).count(), screen).toBe(0);
    }
    expect(await page.evaluate(() => getComputedStyle(document.documentElement).getPropertyValue('--ink')), 'ink is dark although the screen is too').toBe('rgb(29, 31, 28)');
    for (const id of plates) {
      const widths = await page.locator(`#plate-${id}`).locator('img, svg, canvas').evaluateAll((all) => all.map((each) => each.getBoundingClientRect().width));
      expect(Math.max(...widths), id).toBeGreaterThan(150);
    }
    for (const lines of await page.locator('.answer-lines').all()) expect((await lines.boundingBox())!.height).toBeGreaterThan(50);
    for (const note of await page.locator('.side-note').all()) {
      const box = (await note.boundingBox())!;
      expect(box.x + box.width, 'a side note off the paper').toBeLessThanOrEqual(660);
    }
    expect(await page.evaluate(() => document.documentElement.scrollWidth), 'off the paper').toBeLessThanOrEqual(660);
    const pdf = (await page.pdf({ preferCSSPageSize: true, printBackground: true })).toString('latin1');
    const box = /\/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)/.exec(pdf)!;
    expect(Math.abs(Number(box[1]) - 595.3) < 1 && Math.abs(Number(box[2]) - 841.9) < 1, `A4, not ${box[0]}`).toBe(true);
    const sheets = pdf.match(/\/Type\s*\/Page\b(?!s)/g)!.length;
    expect(sheets).toBeGreaterThan(2);
    expect(sheets).toBeLessThan(30);
  });
});
