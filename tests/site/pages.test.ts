/** The built book: every page opens, every link leads somewhere, nothing is asked of another host, and it all works in any folder. */
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, symlinkSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { parseHTML } from 'linkedom';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, inject, test } from 'vitest';
import { chapters } from '../../src/widgets/book.ts';
import { serve } from '../../scripts/serve.mjs';
import { addressOf, closeBrowser, newPage, openBrowser, visitor } from './support/browser.ts';
import { builtPages } from './support/built.ts';

const pages = builtPages();
const written = chapters.filter((chapter) => chapter.written);
const parsed = new Map(pages.map(({ path, html }) => [path, parseHTML(html).document]));

beforeAll(() => openBrowser());
afterAll(closeBrowser);
const visit = visitor();

test('the book has its chapters and its back matter', () => {
  const expected = ['', ...written.map(({ slug }) => `${slug}/`), 'colophon/', 'glossary/', 'how-fast/', 'is-it-right/', 'practising-with-visible-light/', 'references/', 'symbols/'];
  expect(pages.map(({ path }) => path)).toEqual(expect.arrayContaining(expected));
});

describe.each(pages.map(({ path }) => path))('/%s', (path) => {
  const document = parsed.get(path)!;

  test('has a title of its own, a description, a language, one heading of the first rank and landmarks', () => {
    expect(document.title).toMatch(/Shadows to Slices/);
    expect([...parsed].filter(([, other]) => other.title === document.title)).toHaveLength(1);
    expect(document.querySelector('meta[name=description]')!.getAttribute('content')!.length).toBeGreaterThan(30);
    expect(document.documentElement.getAttribute('lang')).toBe('en');
    expect(document.querySelectorAll('h1')).toHaveLength(1);
    for (const landmark of ['header', 'main', 'footer']) expect(document.querySelectorAll(landmark).length, landmark).toBeGreaterThan(0);
  });

  test('steps down one rank of headings at a time', () => {
    const ranks = [...document.querySelectorAll('main h1, main h2, main h3, main h4')].map((heading) => Number(heading.localName[1]));
    ranks.forEach((rank, place) => { if (place > 0) expect(rank - ranks[place - 1], `heading ${place + 1}`).toBeLessThanOrEqual(1); });
  });

  test('gives no id twice', () => {
    const ids = [...document.querySelectorAll('[id]')].map(({ id }) => id);
    expect(ids.filter((id, place) => ids.indexOf(id) !== place)).toEqual([]);
  });

  test('links only to pages and places that are there', () => {
    const lost = [...document.querySelectorAll('a[href]')].map((link) => link.getAttribute('href')!).filter((href) => !leads(path, href));
    expect(lost).toEqual([]);
  });

  test('names only files that are there, and by relative addresses', () => {
    const named = [...document.querySelectorAll('[src], link[href], [component-url], [renderer-url]')]
      .flatMap((element) => ['src', 'href', 'component-url', 'renderer-url'].map((name) => (element.localName === 'a' ? null : element.getAttribute(name))))
      .filter((address): address is string => address !== null && !address.startsWith('data:'));
    expect(named.filter((address) => /^(\/|https?:)/.test(address)), 'absolute').toEqual([]);
    expect(named.filter((address) => !existsSync(fileOf(path, address))), 'missing').toEqual([]);
  });

  test('opens in a browser without an error, a warning or a word to another host', async () => {
    const { page, troubles } = await visit(path);
    await page.evaluate(() => scrollTo(0, document.body.scrollHeight));
    await page.waitForLoadState('networkidle');
    expect(troubles).toEqual([]);
    expect(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth), 'wider than the window by').toBeLessThanOrEqual(0);
    await page.setViewportSize({ width: 390, height: 844 });
    expect(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth), 'wider than a phone by').toBeLessThanOrEqual(0);
  });
});

describe.each(written.filter(({ plates }) => plates.length > 0))('chapter $number', ({ number, slug, title, plates }) => {
  const document = parsed.get(`${slug}/`)!;

  test('carries its number and title, and numbers its plates in the order of the book', () => {
    expect(document.querySelector('h1')!.textContent).toBe(title);
    expect(document.querySelector('.opening-number')!.textContent).toBe(`Chapter ${number}`);
    expect([...document.querySelectorAll('figure.plate')].map(({ id }) => id)).toEqual(plates.map((id) => `plate-${id}`));
    [...document.querySelectorAll('figure.plate > figcaption')].forEach((caption, place) => expect(caption.textContent).toContain(`Plate ${number}.${place + 1}`));
  });

  test('lists what it cites, under the numbers that the text gives', () => {
    const cited = new Set([...document.querySelectorAll('.cite')].map((link) => link.getAttribute('href')!.slice(1)));
    const listed = [...document.querySelectorAll('.cited li')];
    expect(new Set(listed.map(({ id }) => id))).toEqual(cited);
    for (const link of document.querySelectorAll('.cite')) {
      const entry = document.getElementById(link.getAttribute('href')!.slice(1))!;
      expect(link.textContent).toMatch(new RegExp(`^\\[${entry.querySelector('.reference-number')!.textContent}[,\\]]`));
    }
  });

  test('leads to the chapters before and after it', () => {
    const place = written.findIndex((chapter) => chapter.slug === slug);
    expect(document.querySelector('.onward [rel=prev]')?.getAttribute('href') ?? null).toBe(place > 0 ? `../${written[place - 1].slug}/` : null);
    expect(document.querySelector('.onward [rel=next]')?.getAttribute('href') ?? null).toBe(place < written.length - 1 ? `../${written[place + 1].slug}/` : null);
  });

  test('has its formulas’ style sheet, and loads at most 200 kB of compressed script before a plate is used, read from end to end', async () => {
    const { page, troubles, requests } = await visit(`${slug}/`);
    await page.waitForLoadState('networkidle');
    // Small letters are small: the formulas have the style sheet they were made for.
    const ratios = await page.evaluate(() => [...document.querySelectorAll('.katex-html .vlist .mtight')].slice(0, 20)
      .map((small) => parseFloat(getComputedStyle(small).fontSize) / parseFloat(getComputedStyle(small.closest('.katex')!).fontSize)));
    expect(ratios.length).toBeGreaterThan(0);
    for (const ratio of ratios) expect(ratio, 'a small letter of a formula is not small').toBeLessThan(0.8);
    const opened = await scriptsOf(page, requests);
    for (const island of await page.locator('figure.plate astro-island').all()) {
      await island.evaluate((element) => (element.firstElementChild ?? element).scrollIntoView());
      await expect.poll(() => island.getAttribute('ssr'), { message: 'the plate comes alive' }).toBeNull();
    }
    await page.waitForTimeout(500); // what the plates load by and by
    const read = await scriptsOf(page, requests);
    console.log(`/${slug}/: ${(opened / 1000).toFixed(1)} kB of compressed script when it opens, ${(read / 1000).toFixed(1)} kB when every plate has been in sight`);
    expect(read).toBeLessThanOrEqual(200_000);
    expect(troubles).toEqual([]);
  });
});

test('chapters that are not written are named, marked and not linked', () => {
  const document = parsed.get('')!;
  const entries = [...document.querySelectorAll('.front-contents li')];
  expect(entries).toHaveLength(chapters.length);
  chapters.forEach((chapter, place) => {
    expect(entries[place].textContent).toContain(chapter.title);
    expect(entries[place].querySelector(`a[href="./${chapter.slug}/"]`) !== null, chapter.title).toBe(chapter.written);
    expect(/not written yet/i.test(entries[place].textContent), chapter.title).toBe(!chapter.written);
  });
});

test('the book works in a folder of a host as it does at its root', async () => {
  const top = mkdtempSync(join(tmpdir(), 'slices-'));
  mkdirSync(join(top, 'some'));
  symlinkSync(inject('dist'), join(top, 'some', 'where'));
  const { address, close: end } = await serve(top);
  try {
    for (const path of ['', 'shadows/', 'is-it-right/']) {
      const { page, close } = await newPage();
      const lost: string[] = [];
      page.on('response', (response) => { if (response.status() >= 400) lost.push(`${response.status()} ${response.url()}`); });
      page.on('requestfailed', (request) => lost.push(`${request.failure()?.errorText} ${request.url()}`));
      await page.goto(`${address}some/where/${path}`);
      if (path === 'is-it-right/') { // its worker and its fixtures are found too
        await expect.poll(() => page.locator('.verify-state').textContent(), { timeout: 60_000 }).toMatch(/^[1-9]\d* of \d+ checks agree/);
        await page.getByRole('button', { name: 'Stop', exact: true }).click();
      } else {
        await page.waitForLoadState('networkidle');
      }
      await page.keyboard.press('/');
      await page.getByRole('searchbox').fill('sinogram');
      const first = page.locator('.search-results a').first();
      await first.waitFor();
      expect(await first.evaluate((link) => (link as HTMLAnchorElement).href)).toContain('/some/where/');
      expect(lost).toEqual([]);
      await close();
    }
  } finally {
    await end();
    rmSync(top, { recursive: true, force: true });
  }
}, 150_000);

test('the checks are computed in the reader’s browser, row by row, to be stopped and begun again, and all agree', async () => {
  const { checks } = await import('../../src/lib/verify/index.ts');
  const { page, troubles, requests, close } = await newPage('is-it-right/');
  const state = page.locator('.verify-state');
  await expect.poll(() => state.textContent()).toMatch(/^\d+ of \d+ checks agree; \d+ still to compute\.$/);
  await page.getByRole('button', { name: 'Stop', exact: true }).click();
  expect(await state.textContent()).toMatch(/^Stopped\. /);
  await page.getByRole('button', { name: 'Compute again' }).click();
  await page.locator('[data-verify][data-state=stopped]').waitFor({ timeout: 120_000 });
  expect(await state.textContent()).toMatch(new RegExp(`^${checks.length} of ${checks.length} checks agree\\. Computed in this browser in [\\d.]+ s\\.$`));
  expect(await page.locator('tr[data-check]').evaluateAll((rows) => rows.filter((row) => (row as HTMLElement).dataset.verdict !== 'agrees').map((row) => row.textContent))).toEqual([]);
  expect(requests.some((url) => url.includes('/check-values/')), 'the fixtures come from the book itself').toBe(true);
  expect(troubles).toEqual([]);
  await close();
}, 180_000);

test('a light or dark page is the system’s choice until the reader makes one, which is remembered', async () => {
  const { page, close } = await newPage('shadows/', { colorScheme: 'dark' });
  const paper = () => page.evaluate(() => getComputedStyle(document.documentElement).getPropertyValue('--paper'));
  const dark = await paper();
  expect(dark).toMatch(/^rgb/); // plates draw with it
  await page.getByRole('button', { name: 'Light page' }).click();
  const light = await paper();
  expect(light).not.toBe(dark);
  await page.goto(addressOf('glossary/'));
  expect(await paper()).toBe(light);
  await page.getByRole('button', { name: 'Dark page' }).click();
  expect(await paper()).toBe(dark);
  await close();
});

test('a term is explained where it stands, by mouse and by keyboard', async () => {
  const { page, close } = await newPage('shadows/');
  const term = page.locator('.text .term').first();
  const note = page.locator(`#${await term.getAttribute('popovertarget')}`);
  expect(await note.isVisible()).toBe(false);
  await term.click();
  expect(await note.isVisible()).toBe(true);
  expect(await note.textContent()).toMatch(/\w{3,}/);
  await page.keyboard.press('Escape');
  expect(await note.isVisible()).toBe(false);
  await term.focus();
  await page.keyboard.press('Enter');
  expect(await note.isVisible()).toBe(true);
  await page.keyboard.press('Tab');
  expect(await page.evaluate(() => document.activeElement?.closest('[popover]')?.id)).toBe(await term.getAttribute('popovertarget'));
  await close();
});

test('a side note stands in the margin of a wide window, and behind its number on a phone', async () => {
  const { page, close } = await newPage('shadows/');
  const note = page.locator('.side-note').first();
  const text = await page.locator('.text > p').first().boundingBox();
  expect((await note.boundingBox())!.x).toBeGreaterThan(text!.x + text!.width);
  await page.setViewportSize({ width: 390, height: 844 });
  expect(await note.isVisible()).toBe(false);
  await page.locator('.side-number').first().click();
  expect(await note.isVisible()).toBe(true);
  const box = (await note.boundingBox())!;
  expect(box.x).toBeGreaterThanOrEqual(0);
  expect(box.x + box.width).toBeLessThanOrEqual(390);
  await close();
});

/** Compressed bytes of the scripts asked for so far, those in the page itself included. */
async function scriptsOf(page: Page, requests: readonly string[]): Promise<number> {
  const files = [...new Set(requests.map((url) => new URL(url)).filter(({ protocol, pathname }) => protocol === 'http:' && /\.m?js$/.test(pathname)).map(({ pathname }) => pathname))];
  const inline = await page.evaluate(() => [...document.scripts].filter((script) => !script.src).map((script) => script.textContent).join(''));
  return files.reduce((sum, name) => sum + gzipSync(readFileSync(join(inject('dist'), name))).length, gzipSync(inline).length);
}

/** The file of the built book behind an address on a page. */
function fileOf(path: string, address: string): string {
  const { pathname } = new URL(address, `http://book/${path}`);
  return join(inject('dist'), decodeURIComponent(pathname), pathname.endsWith('/') ? 'index.html' : '');
}

/** Does the link lead to a page of the book, and to a place on it if it names one? Addresses on other hosts are the reader's own to follow. */
function leads(path: string, href: string): boolean {
  if (/^(https?:|mailto:|data:|blob:)/.test(href)) return true;
  if (href.startsWith('/')) return false;
  const { pathname, hash } = new URL(href, `http://book/${path}`);
  const target = parsed.get(pathname.slice(1));
  if (!target) return existsSync(fileOf(path, href)) && !pathname.endsWith('/');
  return hash === '' || target.getElementById(decodeURIComponent(hash.slice(1))) !== null;
}
