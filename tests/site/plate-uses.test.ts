/** What a reader does with a plate that not every plate has: drag its ray, choose a specimen, hand on a link, go without a worker. */
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { closeBrowser, newPage, openBrowser } from './support/browser.ts';
import { follows, open, settle, wake, wordsOf } from './support/plate.ts';

beforeAll(() => openBrowser());
afterAll(closeBrowser);

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
    const { page, figure, close } = await open('shadows', 'ray', { hasTouch: true, viewport: { width: 390, height: 800 } });
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
  const { page, figure, close } = await open('smearing-back', 'smear', { permissions: ['clipboard-read', 'clipboard-write'] });
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
