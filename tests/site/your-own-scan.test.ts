/** "Your own scan" in a real browser: a scan in, a slice out, compared, kept, forgotten, taken away; and what bad input gets. */
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { AxeResults } from 'axe-core';
import { encode } from 'fast-png';
import type { Download, Locator, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { readNpy, readPng, readScan, readTiff, writeNpy, writePng } from '../../src/lib/index.ts';
import { hasMeasured, measuredFolder } from '../lib/support/fixtures.ts';
import { closeBrowser, newPage, openBrowser } from './support/browser.ts';

const root = join(import.meta.dirname, '../..');
const sample = join(root, 'datasets/head-parallel');
const measured = fileURLToPath(new URL('disc-01a', measuredFolder));
const axe = readFileSync(join(root, 'node_modules/axe-core/axe.min.js'), 'utf8');
const scratch = mkdtempSync(join(tmpdir(), 'own-scan-'));

beforeAll(() => openBrowser());
afterAll(async () => {
  await closeBrowser();
  rmSync(scratch, { recursive: true });
});

const sheet = async (options = {}) => {
  const watched = await newPage('your-own-scan/', { acceptDownloads: true, ...options });
  await watched.page.locator('[data-ready]').waitFor();
  return watched;
};
const inFile = (name: string, bytes: Uint8Array | string) => ({ name, mimeType: 'application/octet-stream', buffer: Buffer.from(bytes) });
const bring = (page: Page, files: Parameters<Locator['setInputFiles']>[0]) => page.getByLabel('Lay your scan here', { exact: true }).setInputFiles(files);
const layBeside = (page: Page, files: Parameters<Locator['setInputFiles']>[0]) => page.getByLabel('Lay a picture here').setInputFiles(files);
const field = (page: Page, name: string | RegExp) => page.getByRole('textbox', { name });
const make = async (page: Page, timeout = 120_000) => {
  await page.getByRole('button', { name: /^Make the slice/ }).click();
  await page.getByText(/^Made in/).waitFor({ timeout });
};
const take = async (page: Page, name: string): Promise<string> => {
  const [download] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name, exact: true }).click()]) as [Download, void];
  expect(download.suggestedFilename()).toBe(name);
  const path = join(scratch, name);
  await download.saveAs(path);
  return path;
};
const figure = async (page: Page, name: string) => parseFloat((await page.getByRole('row', { name: new RegExp(`^${name}`) }).locator('td').first().innerText()).replace('−', '-'));
const slices = (...words: string[]) => JSON.parse(execFileSync(process.execPath, [join(root, 'src/cli.ts'), ...words, '--json'], { encoding: 'utf8', stdio: ['ignore', 'pipe', 'ignore'] }));

describe.skipIf(!hasMeasured)('the measured disc', () => {
  test('with its scan file: correlation with the data set’s own reconstruction ≥ 0.9999', async () => {
    const { page, troubles, close } = await sheet();
    await bring(page, [join(measured, 'scan.json'), join(measured, 'sinogram.npy')]);
    await page.getByText('sinogram.npy with scan.json: 720 rows of 560 numbers').waitFor();
    await make(page);
    await layBeside(page, join(measured, 'reference.npy'));
    await page.getByRole('row', { name: /^correlation/ }).waitFor();
    expect(await figure(page, 'correlation'), 'correlation with reference.npy').toBeGreaterThanOrEqual(0.9999);
    expect(await page.getByRole('row', { name: /^rms difference/ }).innerText()).toMatch(/× 10⁻⁵ \/mm/);
    expect(troubles).toEqual([]);
    await close();
  }, 180_000);
});

test('a sample: picked, made, kept over a reload, forgotten', async () => {
  const { page, troubles, requests, close } = await sheet();
  await page.getByRole('button', { name: 'Head phantom' }).click();
  await page.getByText('(the sample head-parallel, invented)').waitFor();
  expect(await page.getByRole('radio', { name: /parallel beam/ }).isChecked()).toBe(true);
  await make(page);
  await field(page, 'Cut-off').fill('0.5');
  await page.getByText('Something was changed since the slice below was made.').waitFor();
  await page.waitForTimeout(600); // the sheet is put away a moment after the last change

  await page.reload();
  await page.getByText('(the sample head-parallel, invented)').waitFor();
  expect(await field(page, 'Cut-off').inputValue()).toBe('0.5');
  expect(await page.getByRole('img', { name: /^Your slice: ramp/ }).isVisible()).toBe(true);
  const kept = await page.evaluate(() => new Promise<{ title: string; image: { data: Float32Array } } | undefined>((done) => {
    const open = indexedDB.open('keyval-store');
    open.onsuccess = () => { const get = open.result.transaction('keyval').objectStore('keyval').get('own-slice'); get.onsuccess = () => done(get.result && { title: get.result.title, image: { data: get.result.image.data.length } }); };
  }));
  expect(kept?.title, 'the specimen for the plates').toBe('Head phantom');

  await page.getByRole('button', { name: 'Forget everything' }).click();
  await page.getByText('Nothing lies here yet.').waitFor();
  await page.waitForTimeout(600);
  await page.reload();
  await page.locator('[data-ready]').waitFor();
  expect(await page.getByText('Nothing lies here yet.').isVisible(), 'forgotten for good').toBe(true);
  expect(requests.filter((url) => !url.startsWith('blob:')).map((url) => new URL(url).pathname).filter((path) => !/^\/(your-own-scan\/|_astro\/|icon)/.test(path)), 'nothing is sent anywhere').toEqual([]);
  expect(troubles).toEqual([]);
  await close();
});

test('take it away: every file is what it says, and the command line makes the same slice from the scan file', async () => {
  const { page, close } = await sheet();
  // Brightness on its side, 16 bits, so that the page has to do everything that it can do with numbers.
  const { shape: [views, cells], data } = readNpy(readFileSync(join(sample, 'sinogram.npy')));
  const light = Float32Array.from({ length: views * cells }, (_, k) => 60000 * Math.exp(-data[(k % views) * cells + Math.floor(k / views)]));
  await bring(page, inFile('light.png', await writePng(views, cells, light, 16)));
  await page.getByText('each view is one of the columns of the file').waitFor();
  expect(await page.getByRole('radio', { name: /a brightness/ }).isChecked()).toBe(true);
  const scan = readScan(readFileSync(join(sample, 'scan.json'), 'utf8'));
  await field(page, 'From one cell to the next').fill(String(scan.detector.pitch));
  await field(page, 'From view to view').fill(String((scan.angles as { step: number }).step));
  await page.getByRole('radio', { name: 'a formula of my own' }).check();
  await field(page, 'Gain on the ramp').fill('1 - (f/fc)^2');
  await field(page, 'Cut-off').fill('0.9');
  await field(page, 'Pixels each way').fill('96');
  await field(page, 'Middle of the picture, x').fill('3,5');
  await make(page);

  const [npy, tiff, png, json] = [await take(page, 'slice.npy'), await take(page, 'slice.tif'), await take(page, 'slice.png'), await take(page, 'scan.json')];
  await take(page, 'sinogram.npy');
  const ours = readNpy(readFileSync(npy));
  expect(ours.shape).toEqual([96, 96]);
  expect((await readTiff(readFileSync(tiff))).pages[0]).toEqual(ours.data);
  expect(await readPng(readFileSync(png))).toMatchObject({ width: 96, height: 96, bits: 8 });
  expect(readScan(readFileSync(json, 'utf8')).reconstruction).toEqual({ method: 'fbp', window: 'formula', formula: '1 - (f/fc)^2', cutoff: 0.9, size: 96, pixelSize: expect.any(Number), centre: [3.5, 0] });

  slices('reconstruct', json, '--out', join(scratch, 'theirs.npy'));
  expect(slices('compare', npy, join(scratch, 'theirs.npy')), 'page and command line').toMatchObject({ identical: true });
  await close();
});

test('a scan file of the command line gives its slice on the page', async () => {
  const { page, close } = await sheet();
  slices('reconstruct', join(root, 'datasets/capsule-fan/scan.json'), '--out', join(scratch, 'capsule.npy'));
  await bring(page, ['scan.json', 'sinogram.npy'].map((name) => join(root, 'datasets/capsule-fan', name)));
  await page.getByText('Answered by scan.json').waitFor();
  await make(page);
  expect(slices('compare', await take(page, 'slice.npy'), join(scratch, 'capsule.npy'))).toMatchObject({ identical: true });
  await close();
});

test('by total variation: fewer keys are asked for, the scan file names the method, and the command line makes the same slice', async () => {
  const { page, troubles, close } = await sheet();
  await bring(page, ['scan.json', 'sinogram.npy'].map((name) => join(root, 'datasets/capsule-fan', name)));
  await page.getByText('Answered by scan.json').waitFor();
  await page.getByRole('radio', { name: /^total variation/ }).check();
  expect(await page.getByRole('radio', { name: /^Hann/ }).count(), 'a filter that would not be used').toBe(0);
  await field(page, 'Iterations').fill('30');
  await make(page);
  const said = await page.locator('#scan-go-said').innerText();
  expect(said).toMatch(/30 iterations at a strength of .* mm: the misfit to the views fell from .* to .* rms\. By .*WebAssembly/);
  expect(await page.getByRole('img', { name: /^Your slice: total variation, 30 iterations; 256 × 256/ }).isVisible()).toBe(true);

  const [npy, json] = [await take(page, 'slice.npy'), await take(page, 'scan.json')];
  await take(page, 'sinogram.npy');
  expect(readScan(readFileSync(json, 'utf8')).reconstruction).toMatchObject({ method: 'tv', iterations: 30 });
  slices('reconstruct', json, '--engine', 'plain', '--out', join(scratch, 'tv.npy'));
  const { rmse, range } = slices('compare', npy, join(scratch, 'tv.npy')) as { rmse: number; range: number };
  expect(rmse / range, 'page and command line, on different engines').toBeLessThan(1e-5);
  expect(troubles).toEqual([]);
  await close();
});

test('stop: the slice under way is given up, the earlier one and the answers stay', async () => {
  const { page, troubles, close } = await sheet();
  await bring(page, ['scan.json', 'sinogram.npy'].map((name) => join(sample, name)));
  await field(page, 'Pixels each way').fill('64');
  await make(page);
  await page.getByRole('radio', { name: /^SIRT/ }).check();
  await field(page, 'Iterations').fill('100000'); // for minutes, on any machine
  await page.getByRole('button', { name: 'Make the slice again' }).click();
  await expect.poll(() => page.getByRole('progressbar', { name: 'How far the slice has come' }).evaluate((bar) => (bar as HTMLProgressElement).value)).toBeGreaterThan(0);
  await page.getByRole('button', { name: 'Stop', exact: true }).click();
  await page.getByRole('button', { name: 'Make the slice again' }).waitFor({ timeout: 2000 });
  expect(await page.getByRole('img', { name: /^Your slice: (?!SIRT).*64 × 64/ }).isVisible()).toBe(true);
  expect(await field(page, 'Iterations').inputValue()).toBe('100000');
  await page.getByRole('radio', { name: /^filtered backprojection/ }).check();
  await make(page, 5000); // the worker is free again
  expect(troubles).toEqual([]);
  await close();
});

test('an earlier slice beside the new one: difference, profiles and figures', async () => {
  const { page, close } = await sheet();
  await bring(page, ['scan.json', 'sinogram.npy'].map((name) => join(sample, name)));
  await field(page, 'Pixels each way').fill('128');
  await make(page);
  await page.getByRole('button', { name: 'Keep this slice beside the next' }).click();
  await page.getByRole('row', { name: /^correlation/ }).waitFor();
  expect(await figure(page, 'correlation'), 'a slice and itself').toBe(1);
  await page.getByRole('radio', { name: /^Hann/ }).check();
  await make(page);
  await expect.poll(() => figure(page, 'correlation'), { timeout: 5000 }).toBeLessThan(1);
  expect(await figure(page, 'correlation')).toBeGreaterThan(0.8);
  expect(await page.getByRole('img', { name: /mid-grey: no difference/ }).isVisible()).toBe(true);
  await expect.poll(() => page.locator('.chart .curve-line').count()).toBe(2);
  await close();
});

test('a picture in greys beside the slice: fitted, said so, and its better way of lying offered', async () => {
  const { page, close } = await sheet();
  await bring(page, ['scan.json', 'sinogram.npy'].map((name) => join(sample, name)));
  await field(page, 'Pixels each way').fill('100');
  await make(page);
  const { data } = readNpy(readFileSync(await take(page, 'slice.npy')));
  const most = data.reduce((a, b) => Math.max(a, b));
  const turned = Float32Array.from({ length: 1e4 }, (_, k) => 100 + (100 * data[(99 - (k % 100)) * 100 + Math.floor(k / 100)]) / most); // a quarter to the right
  await layBeside(page, inFile('theirs.png', await writePng(100, 100, turned, 16)));
  await page.getByText('The straight line that brings it nearest to your slice').waitFor();
  await page.getByText('It agrees better turned a quarter to the left').waitFor();
  await page.getByRole('button', { name: 'Lay it so' }).click();
  await expect.poll(() => figure(page, 'correlation'), { timeout: 5000 }).toBeGreaterThan(0.999);
  await close();
});

test('keyboard and mouse: greys, line and the value read', async () => {
  const { page, troubles, close } = await sheet();
  await bring(page, ['scan.json', 'sinogram.npy'].map((name) => join(sample, name)));
  await field(page, 'Pixels each way').fill('100');
  await make(page);
  const number = async (name: string) => Number(await field(page, name).inputValue());

  const window = await number('Window: from black to white');
  await field(page, 'Window: from black to white').press('ArrowUp');
  await expect.poll(() => number('Window: from black to white')).toBeGreaterThan(window);
  await page.getByRole('button', { name: 'Fit to all but 1 %' }).click();
  await expect.poll(() => number('Window: from black to white')).toBe(window);

  const film = page.locator('.film-drag').first();
  /** Points of the film as shares of its width and height, wherever the page has scrolled to. */
  const point = async ([u, v]: readonly [number, number]) => {
    await film.scrollIntoViewIfNeeded();
    const box = (await film.boundingBox())!;
    return [box.x + u * box.width, box.y + v * box.height] as const;
  };
  const drag = async (from: readonly [number, number], to: readonly [number, number]) => {
    await page.mouse.move(...await point(from));
    await page.mouse.down();
    await page.mouse.move(...await point(to), { steps: 4 });
    await page.mouse.up();
  };
  await drag([0.5, 0.2], [0.8, 0.2]);
  await expect.poll(() => number('Window: from black to white'), { message: 'dragged to the right, the window is wider' }).toBeGreaterThan(1.5 * window);

  const before = await number('It ends at x');
  await drag([0.995, 0.5], [0.75, 0.25]);
  await expect.poll(async () => (await number('It ends at x')) / before, { message: 'the end of the line follows the pointer' }).toBeCloseTo(0.5, 1);
  await expect.poll(() => number('It ends at y')).toBeGreaterThan(0);
  await field(page, 'It starts at y').fill('-5');
  await page.getByRole('radio', { name: 'draws a new line' }).check();
  await drag([0.3, 0.3], [0.3, 0.7]);
  await expect.poll(async () => (await number('It starts at x')) - (await number('It ends at x'))).toBe(0);

  await page.mouse.move(...await point([0.5, 0.5]));
  await expect.poll(() => page.locator('.scan-value').innerText()).toMatch(/^At x −?0(\.\d+)? mm, y −?0(\.\d+)? mm: [−\d.]+( × 10⁻\d)? \/mm$/);
  await page.mouse.move(0, 0);
  await field(page, 'Read at x').fill('500');
  await expect.poll(() => page.locator('.scan-value').innerText()).toBe('At x 500 mm, y 0 mm: outside the picture');
  await field(page, 'Read at x').fill('five');
  await page.getByText('“five” is not a number').waitFor();

  // Typed so quickly that the sheet has drawn the number and not yet come to rest.
  const kept = await field(page, 'Read at x').evaluate(async (element) => {
    for (const typed of ['40', '4x']) {
      (element as HTMLInputElement).value = typed;
      element.dispatchEvent(new InputEvent('input', { bubbles: true }));
      for (let k = 0; k < 10; k++) await Promise.resolve();
    }
    await new Promise((resolve) => setTimeout(resolve, 300));
    return (element as HTMLInputElement).value;
  });
  expect(kept, 'what is typed quickly is overwritten').toBe('4x');
  expect(troubles).toEqual([]);
  await close();
});

describe('bad input', () => {
  const numbers = writeNpy([3, 4], Float32Array.from({ length: 12 }, (_, k) => k / 10));
  const scanText = readFileSync(join(sample, 'scan.json'), 'utf8');
  const colour = encode({ width: 8, height: 8, channels: 3, depth: 8, data: Uint8Array.from({ length: 192 }, (_, k) => (k * 37) % 256) });
  const cases: [string, { name: string; mimeType: string; buffer: Buffer }[], RegExp][] = [
    ['an empty file', [inFile('rays.npy', '')], /^rays\.npy is empty; /],
    ['a truncated NPY file', [inFile('rays.npy', numbers.slice(0, 140))], /^rays\.npy: This NPY file is cut short/],
    ['NaN', [inFile('rays.npy', writeNpy([2, 2], Float32Array.of(1, NaN, 2, 3)))], /^rays\.npy has a value that is not a number \(NaN\) in row 1, column 2/],
    ['one view', [inFile('rays.csv', '1,2,3,4\n')], /^rays\.csv holds 1 × 4 numbers; a sinogram needs at least two views/],
    ['a ragged row', [inFile('rays.csv', '1,2,3\n4,5\n')], /^rays\.csv: Line 2 has 2 cells/],
    ['a word among the numbers', [inFile('rays.csv', '1,2,3\n4,five,6\n')], /^rays\.csv: Line 2, cell 2 is "five"/],
    ['a colour photo', [inFile('photo.png', colour)], /^photo\.png: This PNG is a colour picture/],
    ['an image of 20,000²', [inFile('huge.png', hugePng())], /^huge\.png: A PNG of 20,000 × 20,000 pixels would take 1\.6 GB of memory/],
    ['an unknown key', [inFile('scan.json', scanText.replace('"pitch"', '"pich"')), inFile('sinogram.npy', numbers)], /^scan\.json: detector\.pich is not a key that is known: did you mean detector\.pitch\?/],
    ['a scan file alone', [inFile('scan.json', scanText.replace('sinogram.npy', 'rays.npy'))], /^scan\.json names rays\.npy, which was not dropped with it/],
    ['angles that do not match the rows', [inFile('scan.json', scanText), inFile('sinogram.npy', numbers)], /^scan\.json gives \d+ angles and sinogram\.npy has 3 rows/],
    ['a detector before the axis', [inFile('scan.json', scanText.replace('"parallel"', '"fan", "sourceToAxis": 100, "sourceToDetector": 90')), inFile('sinogram.npy', numbers)], /^scan\.json: The detector lies before the axis/],
  ];

  test('each gets one sentence beside the place, and the scan that lies there stays', async () => {
    const { page, troubles, close } = await sheet();
    await bring(page, ['scan.json', 'sinogram.npy'].map((name) => join(sample, name)));
    await field(page, 'Pixels each way').fill('64');
    await make(page);
    const complaint = page.locator('section', { hasText: 'What did you bring?' }).getByRole('alert');
    for (const [what, files, sentence] of cases) {
      await bring(page, files);
      await expect.poll(async () => (await complaint.allInnerTexts()).map((text) => text.replace(/^✕ /, '')).join(), { message: what }).toMatch(sentence);
      expect(await complaint.innerText(), what).toMatch(/[.]$/);
      expect(await page.getByText('sinogram.npy with scan.json').isVisible(), `${what}: the scan stays`).toBe(true);
      expect(await page.getByRole('img', { name: /^Your slice/ }).isVisible(), `${what}: the slice stays`).toBe(true);
    }
    await layBeside(page, inFile('photo.png', colour));
    await page.getByRole('alert').filter({ hasText: 'photo.png: This PNG is a colour picture' }).waitFor();
    expect(troubles).toEqual([]);
    await close();
  });

  test('answers that cannot be stand beside their fields, and no slice is made of them', async () => {
    const { page, troubles, close } = await sheet();
    await bring(page, ['scan.json', 'sinogram.npy'].map((name) => join(root, 'datasets/capsule-fan', name)));
    const chief = page.getByRole('button', { name: 'Make the slice' });
    for (const [name, value, sentence] of [
      ['From the source to the detector', '10', 'the detector must lie behind the axis'],
      ['From one cell to the next', '0', 'it must be more than 0'],
      ['Pixels each way', '20000', 'would take 1.6 GB'],
    ] as const) {
      const before = await field(page, name).inputValue();
      await field(page, name).fill(value);
      await page.locator('.scan-field', { has: field(page, name) }).getByRole('alert').filter({ hasText: sentence }).waitFor();
      expect(await chief.isDisabled(), name).toBe(true);
      await field(page, name).fill(before);
      await expect.poll(() => chief.isEnabled(), { message: name }).toBe(true);
    }
    await page.getByRole('radio', { name: 'a formula of my own' }).check();
    await field(page, 'Gain on the ramp').fill('alert(1)');
    await expect.poll(() => chief.isDisabled()).toBe(true);
    expect(troubles).toEqual([]);
    await close();
  });

  /** A small file whose header promises a large picture. */
  function hugePng(): Uint8Array {
    const bytes = Uint8Array.from(colour);
    new DataView(bytes.buffer).setUint32(16, 20000);
    new DataView(bytes.buffer).setUint32(20, 20000);
    bytes[25] = 0; // grey
    return bytes;
  }
});

test('axe finds nothing and nothing runs over the side, with everything open, from phone to desk, light and dark', async () => {
  const { page, close } = await sheet();
  await bring(page, ['scan.json', 'sinogram.npy'].map((name) => join(root, 'datasets/lost-frames-fan', name)));
  await field(page, 'Pixels each way').fill('64');
  await page.getByRole('radio', { name: 'a formula of my own' }).check();
  await field(page, 'Gain on the ramp').fill('1');
  await make(page);
  await layBeside(page, inFile('theirs.csv', Array.from({ length: 20 }, (_, row) => Array.from({ length: 20 }, (_, column) => (row + column) % 7).join(',')).join('\n')));
  await page.getByRole('row', { name: /^correlation/ }).waitFor();
  await bring(page, inFile('wrong.csv', 'a\nb'));
  await page.getByRole('alert').waitFor();
  await page.evaluate(axe);
  for (const [width, colorScheme] of [[390, 'light'], [390, 'dark'], [1024, 'dark'], [1600, 'light']] as const) {
    await page.setViewportSize({ width, height: 900 });
    await page.emulateMedia({ colorScheme });
    const { violations } = await page.evaluate(() => (window as unknown as { axe: { run(): Promise<AxeResults> } }).axe.run());
    expect(violations.flatMap(({ id, help, nodes }) => nodes.map((node) => `${id}: ${help}: ${node.html.slice(0, 160)}`)), `${width} px, ${colorScheme}`).toEqual([]);
    expect(await page.evaluate(() => document.documentElement.scrollWidth), `${width} px, ${colorScheme}`).toBeLessThanOrEqual(width);
  }
  await close();
});

test('files dropped with the mouse land like files from the button, and a chosen folder gives up its scan', async () => {
  const { page, close } = await sheet();
  const files = ['scan.json', 'sinogram.npy'].map((name) => ({ name, bytes: [...readFileSync(join(sample, name))] }));
  const transfer = await page.evaluateHandle((given) => {
    const data = new DataTransfer();
    for (const { name, bytes } of given) data.items.add(new File([new Uint8Array(bytes)], name));
    return data;
  }, files);
  await page.locator('.scan-drop').dispatchEvent('drop', { dataTransfer: transfer });
  await page.getByText('sinogram.npy with scan.json').waitFor();
  await page.getByLabel('Lay your scan here: a folder').setInputFiles(join(root, 'datasets/capsule-fan'));
  await page.getByText('capsule-fan/sinogram.npy with capsule-fan/scan.json').waitFor();
  await page.getByText('Not needed: capsule-fan/README.md.').waitFor();
  await close();
});

test('without scripts the page says what it does and how the command line does it', async () => {
  const { page, close } = await newPage('your-own-scan/', { javaScriptEnabled: false });
  const text = await page.locator('main').innerText();
  expect(text).toContain('The sheet needs scripts');
  expect(text).toContain('slices -- reconstruct path/to/scan.json --out slice.npy');
  expect(text).toContain('X-rays harm without being felt');
  expect(await page.locator('.scan-sheet').isVisible()).toBe(false);
  const example = readScan(await page.locator('pre', { hasText: '"format": "scan"' }).innerText());
  expect(example.beam.shape).toBe('fan');
  await close();
});
