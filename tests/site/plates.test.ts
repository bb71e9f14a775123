import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import AxeSource from 'axe-core';
import { parseHTML } from 'linkedom';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Locator, Page } from 'playwright-core';
import { chapters } from '../../src/widgets/book.ts';
import { closeBrowser, newPage, openBrowser } from './support/browser.ts';
import { builtPages } from './support/built.ts';

beforeAll(() => openBrowser());
afterAll(closeBrowser);

const book = chapters.flatMap(({ slug, number, plates }) => plates.map((id, i) => ({ id, slug, number: `${number}.${i + 1}` })));

/** The plate's page with the plate in view and ready to be used. */
async function open(slug: string, id: string, search = '', options: Parameters<typeof newPage>[1] = {}) {
  const opened = await newPage(`${slug}/${search}`, options);
  const figure = opened.page.locator(`#plate-${id}`);
  await figure.scrollIntoViewIfNeeded();
  await figure.locator('[data-ready]').waitFor({ state: 'attached' });
  return { ...opened, figure };
}

/** Puts the focus on the plate, and waits for its live picture. */
async function wake(page: Page, id: string) {
  await page.locator(`#plate-${id} .plate-actions button`).first().focus();
  await page.locator(`#plate-${id} canvas`).first().waitFor();
}

/** Does something to a setting and waits for the picture that follows; gives the state that it shows. */
async function follows(page: Page, id: string, act: () => Promise<unknown>) {
  await page.evaluate((id) => {
    Object.assign(globalThis, { drawn: undefined });
    document.getElementById(`plate-${id}`)!.addEventListener('plate:drawn', (event) => Object.assign(globalThis, { drawn: (event as CustomEvent).detail.state }), { once: true });
  }, id);
  await act();
  const drawn = await page.waitForFunction(() => (globalThis as { drawn?: Record<string, unknown> }).drawn, undefined, { timeout: 20_000 });
  return drawn.jsonValue();
}

const wordsOf = (page: Page, id: string) => page.locator(`#plate-${id} .plate-words`).innerText();
/** Names of the settings whose controls are shown. */
const settingsOf = (figure: Locator, id: string) => figure.locator('.plate-controls').locator('input:not([type=number]), select')
  .evaluateAll((all, from) => [...new Set(all.map((each) => (each as HTMLInputElement).name || each.id).filter(Boolean))].map((name) => name.slice(from)), id.length + 1);

/** What axe finds wrong in the plate. */
async function faults(page: Page, id: string): Promise<string[]> {
  await page.evaluate(`window.axe ?? (() => { ${AxeSource.source} })()`);
  return page.evaluate(async (id) => {
    const { violations } = await (globalThis as unknown as { axe: typeof AxeSource }).axe.run(`#plate-${id}`);
    return violations.flatMap(({ id, nodes }) => nodes.map(({ html }) => `${id}: ${html.slice(0, 200)}`));
  }, id);
}

/** Until the newest picture is there and the timers of words (250 ms) and address (400 ms) have run, on the page's own clock. */
async function settle(page: Page) {
  await page.waitForFunction(() => !document.querySelector('.plate-island[aria-busy=true]'), undefined, { timeout: 20_000 });
  await page.evaluate(() => new Promise((resolve) => setTimeout(resolve, 600)));
}

describe.each(book)('plate $number, $id', ({ id, slug, number }) => {
  let first = '';
  let names: string[] = [];
  // One page for the tests that follow one another as a reader would go: look, move, leave with a link, take away.
  let opened: Awaited<ReturnType<typeof open>> | undefined;
  const reading = async () => (opened ??= await open(slug, id));
  afterAll(() => opened?.close());

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

  test('coming alive, it shows the same picture in the same place, and axe finds nothing wrong', async () => {
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
    expect(await faults(page, id)).toEqual([]);
    expect(troubles).toEqual([]);
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
    expect(words.size, 'the words never change').toBeGreaterThan(1);
    expect(troubles).toEqual([]);
  });

  test('its address brings back the same state, and reset goes back to the first', async () => {
    const { page, figure } = await reading();
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
    await page.reload();
    await figure.scrollIntoViewIfNeeded();
    await expect.poll(() => wordsOf(page, id), { timeout: 10_000 }).toBe(said);
    expect(await values()).toEqual(before);
    await figure.getByRole('button', { name: 'Reset' }).click();
    await expect.poll(() => wordsOf(page, id), { timeout: 10_000 }).toBe(first);
    await expect.poll(() => new URL(page.url()).search).toBe('');
  });

  test('picture, numbers and code can be had, and the code is the library’s', async () => {
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
    expect(troubles).toEqual([]);
  });


  test('nonsense in the address is passed over; in the dark, axe finds nothing wrong', async () => {
    const wrong = names.map((name) => `${id}.${name}=${'9'.repeat(300)}`).join('&');
    const { page, troubles, close } = await open(slug, id, `?${wrong}`, { colorScheme: 'dark' });
    await wake(page, id);
    await settle(page);
    expect(await wordsOf(page, id)).toBe(first);
    expect(await faults(page, id)).toEqual([]);
    expect(troubles).toEqual([]);
    await close();
  });
});

describe('plate 1.1, the ray', () => {
  const offsetOf = (page: Page) => page.locator('#ray-offset').inputValue().then(Number);

  test('a mouse drags it', async () => {
    const { page, figure, close } = await open('shadows', 'ray');
    const box = (await figure.locator('.film-panel').first().boundingBox())!;
    await page.mouse.move(box.x + box.width * 0.5, box.y + box.height * 0.4);
    await figure.locator('canvas').first().waitFor();
    await page.mouse.down();
    await page.mouse.move(box.x + box.width * 0.25, box.y + box.height * 0.4, { steps: 4 });
    await page.mouse.up();
    await expect.poll(() => offsetOf(page)).toBeCloseTo(-20, 0);
    await close();
  });

  test('the finger that wakes the plate drags the ray with the same stroke', async () => {
    const { page, figure, close } = await open('shadows', 'ray', '', { hasTouch: true, viewport: { width: 390, height: 800 } });
    const panel = figure.locator('.film-panel').first();
    await panel.scrollIntoViewIfNeeded();
    const box = (await panel.boundingBox())!;
    const touch = await page.context().newCDPSession(page);
    const at = (share: number) => [{ x: box.x + box.width * share, y: box.y + box.height * 0.5 }];
    await touch.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: at(0.6) });
    await figure.locator('canvas').first().waitFor();
    await page.waitForTimeout(200);
    for (const share of [0.5, 0.4, 0.3]) await touch.send('Input.dispatchTouchEvent', { type: 'touchMove', touchPoints: at(share) });
    await touch.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] });
    await expect.poll(() => offsetOf(page)).toBeCloseTo(-16, 0);
    await close();
  });

  test('a number typed beside the slider is put in range', async () => {
    const { page, figure, close } = await open('shadows', 'ray');
    await figure.getByRole('spinbutton', { name: 'Photon energy' }).fill('500');
    await page.keyboard.press('Enter');
    await expect.poll(() => page.locator('#ray-energy').inputValue()).toBe('100');
    await close();
  });
});

test('the specimen chosen at one plate is the other plates’ too, here and on the next page', async () => {
  const { page, figure, close } = await open('filtering', 'window');
  await figure.getByLabel('Specimen').selectOption('bead');
  await page.locator('#plate-fourier-slice').scrollIntoViewIfNeeded();
  await expect.poll(() => page.locator('#plate-fourier-slice').getByLabel('Specimen').inputValue()).toBe('bead');
  await page.goto(new URL('../smearing-back/', page.url()).href);
  await page.locator('#plate-smear').scrollIntoViewIfNeeded();
  await expect.poll(() => page.locator('#plate-smear').getByLabel('Specimen').inputValue()).toBe('bead');
  await close();
});

test('a reader’s own slice becomes a specimen', async () => {
  const { page, figure, close } = await open('smearing-back', 'smear');
  expect(await figure.getByLabel('Specimen').locator('option[value=own]').count()).toBe(0);
  // What the workshop's saveOwnSlice writes: idb-keyval's default store, key 'own-slice'.
  await page.evaluate(() => new Promise<void>((resolve, reject) => {
    const request = indexedDB.open('keyval-store');
    request.onupgradeneeded = () => request.result.createObjectStore('keyval');
    request.onerror = () => reject(request.error);
    request.onsuccess = () => {
      const data = new Float32Array(64 * 64).map((_, i) => (Math.hypot((i % 64) - 31.5, Math.floor(i / 64) - 31.5) < 20 ? 0.02 : 0));
      const write = request.result.transaction('keyval', 'readwrite');
      write.objectStore('keyval').put({ title: 'My disc', image: { width: 64, height: 64, pixelSize: 0.5, data }, saved: 1 }, 'own-slice');
      write.oncomplete = () => { request.result.close(); resolve(); };
    };
  }));
  await page.evaluate(() => dispatchEvent(new CustomEvent('ownslice')));
  const picker = figure.getByLabel('Specimen');
  await expect.poll(() => picker.locator('option[value=own]').textContent()).toContain('My disc');
  const picture = () => figure.locator('canvas').last().evaluate((canvas) => (canvas as HTMLCanvasElement).toDataURL());
  await wake(page, 'smear');
  const before = await picture();
  await follows(page, 'smear', () => picker.selectOption('own'));
  expect(await picture()).not.toBe(before);
  await page.reload();
  await figure.scrollIntoViewIfNeeded();
  await expect.poll(() => picker.inputValue()).toBe('own');
  await close();
});

test('the link to this state has the settings, the specimen and the plate', async () => {
  const { page, figure, close } = await open('smearing-back', 'smear', '', { permissions: ['clipboard-read', 'clipboard-write'] });
  await wake(page, 'smear');
  await figure.getByLabel('Specimen').selectOption('capsule');
  await figure.locator('.plate-range input[type=range]').first().focus();
  await page.keyboard.press('ArrowLeft');
  const words = await settle(page).then(() => wordsOf(page, 'smear'));
  await figure.getByRole('button', { name: 'Copy link to this state' }).click();
  await figure.getByText('The link is on the clipboard.').waitFor();
  const link = new URL(await page.evaluate(() => navigator.clipboard.readText()));
  expect([link.searchParams.get('specimen'), link.hash]).toEqual(['capsule', '#plate-smear']);
  expect([...link.searchParams.keys()].filter((name) => name.startsWith('smear.'))).toHaveLength(1);
  const other = await newPage('');
  await other.page.goto(link.href);
  await expect.poll(() => wordsOf(other.page, 'smear'), { timeout: 10_000 }).toBe(words);
  await other.close();
  await close();
});

test('where the browser has no worker for the plates, the page does their work', async () => {
  const { page, figure, close } = await open('smearing-back', 'smear');
  await page.route(/worker/, (route) => route.abort());
  await wake(page, 'smear');
  const slider = figure.locator('.plate-range input[type=range]').first();
  await slider.focus();
  await follows(page, 'smear', () => page.keyboard.press('ArrowLeft'));
  await close();
});

test('a pointer that lay on the picture before its script came wakes it with its next move', async () => {
  const { figure, close } = await open('shadows', 'ray');
  await figure.locator('.plate-picture').dispatchEvent('pointermove');
  await figure.locator('canvas').first().waitFor({ timeout: 10_000 });
  await close();
});
