/** With scripts off the book is a book: text, pictures, notes, hints. */
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { chapters } from '../../src/widgets/book.ts';
import { closeBrowser, newPage, openBrowser, visitor } from './support/browser.ts';
import { builtPages } from './support/built.ts';

beforeAll(() => openBrowser());
afterAll(closeBrowser);
const off = { javaScriptEnabled: false };
const visit = visitor(off);

test.each(builtPages().map(({ path }) => path))('/%s can be read', async (path) => {
  const { page, troubles, requests } = await visit(path);
  const main = page.locator('main');
  expect((await main.innerText()).trim().length).toBeGreaterThan(200);
  expect(await main.locator('h1').isVisible()).toBe(true);
  expect(await page.locator('.needs-scripts:visible').count(), 'controls that would do nothing').toBe(0);
  expect(requests.filter((url) => /\.m?js$/.test(new URL(url).pathname))).toEqual([]);
  const chapter = chapters.find(({ slug, written, plates }) => written && plates.length > 0 && path === `${slug}/`);
  if (chapter) {
    for (const id of chapter.plates) await plateIsRead(page, id);
    await hintsOpen(page);
  }
  expect(troubles).toEqual([]);
});

/** A plate shows its picture and says in words what it shows. */
async function plateIsRead(page: Page, id: string) {
  const plate = page.locator(`#plate-${id}`);
  const pictures = await plate.locator('img, svg').evaluateAll((all) => all.filter((each) => each.getBoundingClientRect().width > 100).length);
  expect(pictures, id).toBeGreaterThan(0);
  expect((await plate.locator('> figcaption').innerText()).length, id).toBeGreaterThan(60);
  expect(await plate.locator('input:visible, button:visible, select:visible').count(), `${id}: controls that would do nothing`).toBe(0);
}

/** Hints and solutions open; boxes for answers are not shown. */
async function hintsOpen(page: Page) {
  const exercise = page.locator('.exercise').first();
  expect(await exercise.locator('input').isVisible()).toBe(false);
  for (const kind of ['.hint', '.solution']) {
    await exercise.locator(`${kind} summary`).click();
    expect((await exercise.locator(`${kind} > div`).innerText()).length).toBeGreaterThan(20);
  }
}

test('terms and the contents open without scripts too', async () => {
  const { page, close } = await newPage('shadows/', off);
  const term = page.locator('.text .term').first();
  await term.click();
  expect(await page.locator(`#${await term.getAttribute('popovertarget')}`).isVisible()).toBe(true);
  await page.getByRole('button', { name: 'Contents' }).click();
  expect(await page.getByRole('navigation', { name: 'Contents' }).isVisible()).toBe(true);
  await close();
});

test('the table of checks shows the figures of the day the book was built', async () => {
  const { page, close } = await newPage('is-it-right/', off);
  expect(await page.locator('.verify-state').innerText()).toMatch(/^\d+ of \d+ checks agree.*Computed when this page was built\.$/);
  expect(await page.locator('.verify-ours').first().innerText()).toMatch(/\d/);
  await close();
});
