import { afterAll, beforeAll, expect, test } from 'vitest';
import { addressOf, closeBrowser, newPage, openBrowser } from './support/browser.ts';

beforeAll(() => openBrowser());
afterAll(closeBrowser);

test('nothing of the search is fetched before it is opened', async () => {
  const { page, requests, close } = await newPage('glossary/');
  await page.waitForLoadState('networkidle');
  expect(requests.filter((url) => /pagefind|search\./.test(url))).toEqual([]);
  await close();
});

test('the slash opens the search, words find pages, arrows and Enter go there', async () => {
  const { page, troubles, close } = await newPage('references/');
  await page.keyboard.press('/');
  const box = page.getByRole('searchbox', { name: 'Words to look for' });
  await expect.poll(() => box.evaluate((element) => element === document.activeElement)).toBe(true);
  expect(await box.inputValue()).toBe('');
  await box.pressSequentially('sinogram');
  await page.locator('.search-results > li').first().waitFor();
  expect(await page.locator('#search-state').textContent()).toMatch(/^\d+ pages?/);
  await page.keyboard.press('ArrowDown');
  const target = await page.evaluate(() => (document.activeElement as HTMLAnchorElement).href);
  await page.keyboard.press('Enter');
  await page.waitForURL(target);
  expect((await page.locator('main').textContent())!.toLowerCase()).toContain('sinogram');
  expect(troubles).toEqual([]);
  await close();
});

test('words that are nowhere in the book are answered with a sentence', async () => {
  const { page, close } = await newPage('references/');
  await page.getByRole('button', { name: 'Search' }).click();
  await page.getByRole('searchbox').fill('xyzzyplugh');
  await expect.poll(() => page.locator('#search-state').textContent()).toBe('Nothing in the book has “xyzzyplugh”.');
  await page.keyboard.press('Escape');
  expect(await page.locator('dialog#search').isVisible()).toBe(false);
  await close();
});

test('a slash typed into a box stays in the box', async () => {
  const { page, close } = await newPage('references/');
  await page.evaluate(() => { const input = document.createElement('input'); document.querySelector('main')!.prepend(input); input.focus(); });
  await page.keyboard.press('/');
  expect(await page.locator('main input').inputValue()).toBe('/');
  expect(await page.locator('dialog#search').isVisible()).toBe(false);
  expect(page.url()).toBe(addressOf('references/'));
  await close();
});
