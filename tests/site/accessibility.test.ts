/** axe on every page: light and dark, on a phone and on a desk. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { AxeResults } from 'axe-core';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { closeBrowser, newPage, openBrowser, visitor } from './support/browser.ts';
import { builtPages } from './support/built.ts';

const axe = readFileSync(join(import.meta.dirname, '../../node_modules/axe-core/axe.min.js'), 'utf8');

beforeAll(() => openBrowser());
afterAll(closeBrowser);
const visit = visitor();

/** One line for each violation: the rule, what it says, and where. */
async function violations(page: Page, options: object = {}, without = ''): Promise<string[]> {
  const present = await page.evaluate(() => 'axe' in window);
  if (!present) await page.evaluate(axe);
  const results = await page.evaluate(([given, skip]) => (window as unknown as { axe: { run(context: object, options: object): Promise<AxeResults> } }).axe.run(skip ? { exclude: [skip] } : document, { resultTypes: ['violations'], ...given }), [options, without] as const);
  return results.violations.flatMap(({ id, help, nodes }) => nodes.map((node) => `${id}: ${help}: ${node.target.join(' ')}: ${node.html.slice(0, 140)}`));
}

const colours = { runOnly: ['color-contrast'] };
const formulas = '.katex-html'; // they take the colour of the text around them, which is looked at
const patience = 180_000; // axe walks every letter of every formula

/** Takes the letters out of the formulas, whose parts stay as wide and as high as they were: axe walks through what it is told to leave out, too. */
const emptyFormulas = (page: Page) => page.locator('.katex-html .base').evaluateAll((parts) => {
  const sizes = parts.map((part) => part.getBoundingClientRect());
  parts.forEach((part, i) => {
    part.replaceChildren();
    Object.assign((part as HTMLElement).style, { width: `${sizes[i].width}px`, height: `${sizes[i].height}px` });
  });
});

test.each(builtPages().map(({ path }) => path))('/%s', async (path) => {
  const { page } = await visit(path);
  const computing = page.getByRole('button', { name: 'Stop', exact: true });
  if (path === 'is-it-right/') await computing.click();
  else await page.waitForLoadState('networkidle');
  expect(await violations(page), 'light').toEqual([]);
  await emptyFormulas(page);
  await page.emulateMedia({ colorScheme: 'dark' });
  expect(await violations(page, colours, formulas), 'dark').toEqual([]);
  await page.setViewportSize({ width: 390, height: 844 });
  await page.emulateMedia({ colorScheme: 'light' });
  await page.evaluate(() => new Promise((resolve) => requestAnimationFrame(() => setTimeout(resolve, 60)))); // what runs over the side gets its place among the stops with the next frame
  expect(await violations(page, {}, formulas), 'light, on a phone').toEqual([]);
}, patience);

test.each(['light', 'dark'] as const)('what opens over a page, %s', async (colorScheme) => {
  const { page, close } = await newPage('shadows/', { colorScheme });
  await emptyFormulas(page); // looked at above, with their page
  await page.getByRole('button', { name: 'Contents' }).click();
  expect(await violations(page), 'contents').toEqual([]);
  await page.keyboard.press('Escape');
  await page.locator('.text .term').first().click();
  expect(await violations(page), 'term').toEqual([]);
  await page.keyboard.press('Escape');
  await page.keyboard.press('/');
  await page.getByRole('searchbox').fill('sinogram');
  await page.locator('.search-results a').first().waitFor();
  expect(await violations(page), 'search').toEqual([]);
  await page.keyboard.press('Escape');
  for (const details of await page.locator('.exercise summary').all()) await details.click();
  await page.locator('.exercise input').first().fill('1234');
  await page.locator('.exercise button').first().click();
  expect(await violations(page), 'exercises').toEqual([]);
  await close();
}, patience);

test('the keyboard reaches the text past the strip, and every stop can be seen', async () => {
  const { page, close } = await newPage('shadows/');
  await page.keyboard.press('Tab');
  expect(await page.evaluate(() => document.activeElement!.textContent)).toBe('To the text');
  await page.keyboard.press('Enter');
  expect(await page.evaluate(() => document.activeElement!.id)).toBe('text');
  for (let stop = 0; stop < 25; stop++) {
    await page.keyboard.press('Tab');
    const outline = await page.evaluate(() => {
      const style = getComputedStyle(document.activeElement!);
      return document.activeElement === document.body || (style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 1);
    });
    expect(outline, await page.evaluate(() => document.activeElement!.outerHTML.slice(0, 120))).toBe(true);
  }
  await close();
});
