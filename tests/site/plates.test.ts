/** Every plate of the book, looked at, moved, taken away and come back to. What only one plate has is in plate-uses. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { parseHTML } from 'linkedom';
import type { Locator } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { chapters } from '../../src/widgets/book.ts';
import { closeBrowser, openBrowser, visitor } from './support/browser.ts';
import { builtPages } from './support/built.ts';
import { faults, follows, plateOn, settle, wake, wordsOf } from './support/plate.ts';

beforeAll(() => openBrowser());
afterAll(closeBrowser);
const visit = visitor();

const book = chapters.flatMap(({ slug, number, plates }) => plates.map((id, i) => ({ id, slug, number: `${number}.${i + 1}` })));

/** Names of the settings whose controls are shown. */
const settingsOf = (figure: Locator, id: string) => figure.locator('.plate-controls').locator('input:not([type=number]), select')
  .evaluateAll((all, from) => [...new Set(all.map((each) => (each as HTMLInputElement).name || each.id).filter(Boolean))].map((name) => name.slice(from)), id.length + 1);

describe.each(book)('plate $number, $id', ({ id, slug, number }) => {
  let first = '';
  let names: string[] = [];
  // One page for the tests that follow one another as a reader would go: look, move, take away, leave with a link.
  let opened: Awaited<ReturnType<typeof visit>> | undefined;
  const reading = async () => {
    opened ??= await visit(`${slug}/?${names.map((name) => `${id}.${name}=${'9'.repeat(300)}`).join('&')}`);
    return { ...opened, figure: await plateOn(opened.page, id) };
  };

  test('as built, the page has its picture, its words and its caption', () => {
    const figure = parseHTML(builtPages().find(({ path }) => path === `${slug}/`)!.html).document.querySelector(`#plate-${id}`)!;
    expect(figure.querySelector('figcaption .plate-title')!.textContent).toContain(`Plate ${number}`);
    first = figure.querySelector('.plate-words')!.textContent!.trim();
    names = [...new Set([...figure.querySelectorAll('.plate-controls input:not([type=number]), .plate-controls select')].map((each) => (each.getAttribute('name') || each.id).slice(id.length + 1)).filter(Boolean))];
    expect(first.length).toBeGreaterThan(20);
    expect(names.length).toBeGreaterThan(0);
    const images = [...figure.querySelectorAll('.film-panel > img')];
    expect(images.length).toBeGreaterThan(0);
    for (const image of images) {
      expect(image.getAttribute('src')).toMatch(/^data:image\/png;base64,/);
      expect(image.getAttribute('alt')!.length).toBeGreaterThan(10);
    }
    for (const chart of figure.querySelectorAll('.chart-place')) expect(chart.querySelectorAll('path.curve').length, 'a graph without a curve').toBeGreaterThan(0);
  });

  test('coming alive, with nonsense in its address, it shows the same picture in the same place', async () => {
    const { page, figure, troubles } = await reading();
    const before = await figure.boundingBox();
    await page.evaluate(async (id) => {
      const stills = [...document.querySelectorAll<HTMLImageElement>(`#plate-${id} .film-panel > img`)];
      await Promise.all(stills.map((image) => image.decode()));
      const blanks = new Set<string>();
      const look = () => {
        for (const place of document.querySelectorAll(`#plate-${id} .chart-place`)) if (!place.querySelector('path.curve')) blanks.add('a graph was empty for a frame');
        for (const panel of document.querySelectorAll(`#plate-${id} .film-panel`)) if (!panel.querySelector('img, canvas')) blanks.add('a film was empty for a frame');
        if (!document.querySelector(`#plate-${id} .film-panel`)) blanks.add('the picture was gone for a frame');
        requestAnimationFrame(look);
      };
      look();
      Object.assign(globalThis, { stills, blanks });
    }, id);
    await wake(page, id);
    await settle(page);
    expect(await page.evaluate(() => [...(globalThis as unknown as { blanks: Set<string> }).blanks])).toEqual([]);
    const differences = await page.evaluate((id) => {
      const { stills } = globalThis as unknown as { stills: HTMLImageElement[] };
      const live = [...document.querySelectorAll<HTMLCanvasElement>(`#plate-${id} .film-panel > canvas`)];
      if (live.length !== stills.length) throw new Error(`${stills.length} films became ${live.length}`);
      return live.map((canvas, i) => {
        const copy = Object.assign(document.createElement('canvas'), { width: stills[i].naturalWidth, height: stills[i].naturalHeight }).getContext('2d')!;
        copy.drawImage(stills[i], 0, 0);
        const was = copy.getImageData(0, 0, copy.canvas.width, copy.canvas.height).data;
        const is = canvas.getContext('2d')!.getImageData(0, 0, canvas.width, canvas.height).data;
        return was.length === is.length ? is.reduce((worst, value, k) => Math.max(worst, Math.abs(value - was[k])), 0) : Infinity;
      });
    }, id);
    differences.forEach((worst, i) => expect(worst, `film ${i} differs by more than one grey`).toBeLessThanOrEqual(1));
    const after = await figure.boundingBox();
    expect(Math.abs(after!.height - before!.height), 'the page jumps when the plate comes alive').toBeLessThanOrEqual(2);
    expect(await wordsOf(page, id), 'nonsense in the address is passed over').toBe(first);
    expect(troubles).toEqual([]);
    await page.evaluate(() => history.replaceState(history.state, '', location.pathname));
  });

  test('the keyboard reaches every control, and each moves the picture and is in the address', async () => {
    const { page, figure, troubles } = await reading();
    await wake(page, id);
    const reached = new Set<string>();
    await figure.locator('.plate-controls').locator('input, select, button').first().focus();
    for (let i = 0; i < 60; i++) {
      const at = await page.evaluate((id) => {
        const element = document.activeElement as HTMLInputElement | null;
        return element?.closest(`#plate-${id}`) ? element.name || element.id || element.getAttribute('aria-label') || element.textContent! : undefined;
      }, id);
      if (at === undefined) break;
      reached.add(at);
      await page.keyboard.press('Tab');
    }
    expect([...reached]).toEqual(expect.arrayContaining(names.map((name) => `${id}-${name}`)));

    const words = new Set([await wordsOf(page, id)]);
    // A control may show or hide others: those that appear are tried too, those that are gone come back with a reset, or where they were first seen.
    const waiting = [...names];
    const seenAt = new Map<string, string>();
    const tried = new Set<string>();
    for (let name = waiting.shift(); name; name = waiting.shift()) {
      if (tried.has(name)) continue;
      tried.add(name);
      const control = figure.locator(`[id="${id}-${name}"], [name="${id}-${name}"]:checked`).first();
      if ((await control.count()) === 0) {
        await figure.getByRole('button', { name: 'Reset' }).click();
        await settle(page);
      }
      if ((await control.count()) === 0) {
        await page.goto(seenAt.get(name)!);
        await figure.scrollIntoViewIfNeeded();
        await figure.locator('[data-ready]').waitFor({ state: 'attached' });
        await wake(page, id);
        await settle(page);
      }
      const kind = await control.evaluate((element) => (element instanceof HTMLInputElement ? element.type : element.localName));
      await control.focus();
      const state = await follows(page, id, async () => {
        if (kind === 'range') {
          const { value, max } = await control.evaluate((element) => ({ value: (element as HTMLInputElement).valueAsNumber, max: Number((element as HTMLInputElement).max) }));
          await page.keyboard.press(value < max ? 'ArrowRight' : 'ArrowLeft');
        } else if (kind === 'checkbox') await page.keyboard.press('Space');
        else if (kind === 'text') await page.keyboard.type('+0');
        else await page.keyboard.press(await control.evaluate((element) => (element instanceof HTMLSelectElement && element.selectedIndex === element.options.length - 1 ? 'ArrowUp' : 'ArrowDown')));
      });
      await expect.poll(() => new URL(page.url()).searchParams.get(`${id}.${name}`), { message: `${name} is not in the address` }).not.toBeNull();
      expect(state).toHaveProperty(name);
      const shown = await settingsOf(figure, id);
      for (const each of shown) if (!seenAt.has(each)) seenAt.set(each, page.url());
      waiting.push(...shown);
      words.add(await wordsOf(page, id));
    }
    // Words come a quarter of a second after the picture; on a slow machine none of those read above had come yet.
    await settle(page);
    words.add(await wordsOf(page, id));
    expect(words.size, 'the words never change').toBeGreaterThan(1);
    expect(troubles).toEqual([]);
  });

  test('picture, numbers and code can be had, the code is the library’s, and with all that open axe finds nothing wrong', async () => {
    const { page, figure, troubles } = await reading();
    await figure.getByText('Take away', { exact: true }).click();
    const buttons = figure.locator('.plate-take li button');
    await buttons.first().waitFor();
    for (const button of await buttons.all()) {
      const [download] = await Promise.all([page.waitForEvent('download'), button.click()]);
      const bytes = readFileSync(await download.path());
      const name = download.suggestedFilename();
      expect(name).toContain(id);
      if (name.endsWith('.png')) expect([...bytes.subarray(0, 4)]).toEqual([0x89, 0x50, 0x4e, 0x47]);
      else if (name.endsWith('.npy')) expect(bytes.subarray(1, 6).toString()).toBe('NUMPY');
      else expect(bytes.toString().split('\n')[1], `${name} has no row of numbers`).toMatch(/^-?[\d.eE+-]+(,-?[\d.eE+-]+)*$/);
    }
    await figure.getByText('Show the code').click();
    const listings = await figure.locator('.listing').evaluateAll((all) => all.map((each) => ({ file: each.querySelector('small')!.textContent!.split(',')[0], code: each.querySelector('code')!.textContent! })));
    expect(listings.length).toBeGreaterThan(0);
    for (const { file, code } of listings) {
      const source = readFileSync(join(import.meta.dirname, '../..', file), 'utf8').split('\n').map((line) => line.trim());
      for (const line of code.split('\n')) expect(source, `${file} has no such line`).toContain(line.trim());
    }
    expect(await faults(page, id)).toEqual([]);
    expect(troubles).toEqual([]);
  });

  test('its address brings back the same state, in the dark, where axe finds nothing wrong; and reset goes back to the first', async () => {
    const { page, figure, troubles } = await reading();
    await wake(page, id);
    await figure.getByRole('button', { name: 'Reset' }).click();
    await settle(page);
    for (const slider of await figure.locator('.plate-range input[type=range]').all()) {
      await slider.focus();
      if (await slider.evaluate((element) => (element as HTMLInputElement).value === (element as HTMLInputElement).max)) await page.keyboard.press('Home');
      else await page.keyboard.press('End');
      await page.waitForTimeout(100);
    }
    await expect.poll(() => new URL(page.url()).search).not.toBe('');
    await settle(page);
    const values = () => figure.locator('.plate-range input[type=range]').evaluateAll((all) => all.map((each) => (each as HTMLInputElement).value));
    const [before, said] = [await values(), await wordsOf(page, id)];
    await page.emulateMedia({ colorScheme: 'dark' });
    await page.reload();
    await figure.scrollIntoViewIfNeeded();
    await expect.poll(() => wordsOf(page, id), { timeout: 10_000 }).toBe(said);
    expect(await values()).toEqual(before);
    await figure.locator('canvas').first().waitFor();
    expect(await faults(page, id)).toEqual([]);
    await figure.getByRole('button', { name: 'Reset' }).click();
    await expect.poll(() => wordsOf(page, id), { timeout: 10_000 }).toBe(first);
    await expect.poll(() => new URL(page.url()).search).toBe('');
    expect(troubles).toEqual([]);
  });
});
