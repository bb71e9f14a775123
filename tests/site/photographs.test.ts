/** "Your own photographs" in a real browser: the capsule by one click, a folder, a ZIP, a video, a reload in the middle, measuring, taking away; and what bad input gets. */
import { execFileSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { AxeResults } from 'axe-core';
import { zipSync } from 'fflate';
import type { Download, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { attenuationOf, readNrrd, readScan, readStl, watertight, type Volume } from '../../src/lib/index.ts';
import { addressOf, closeBrowser, newPage, openBrowser } from './support/browser.ts';
import { beadScan, photo, small, smallScan, type Photo } from './support/small-scan.ts';

const root = join(import.meta.dirname, '../..');
const capsule = join(root, 'datasets/capsule');
const axe = readFileSync(join(root, 'node_modules/axe-core/axe.min.js'), 'utf8');
const scratch = mkdtempSync(join(tmpdir(), 'photographs-'));

beforeAll(() => openBrowser());
afterAll(async () => {
  await closeBrowser();
  rmSync(scratch, { recursive: true });
});

type Sheet = Awaited<ReturnType<typeof newPage>>;
const sheet = async (options = {}): Promise<Sheet> => {
  const watched = await newPage('your-own-scan/photographs/', { acceptDownloads: true, ...options });
  await watched.page.locator('[data-ready]').first().waitFor();
  return watched;
};
const bring = (page: Page, files: Photo[] | string[]) => page.getByLabel(/^Lay (your|more) photographs here$/).first().setInputFiles(files as string[]);
const described = (page: Page, words: string | RegExp) => page.locator('.scan-row[role=status]').filter({ hasText: words }).first().waitFor({ timeout: 60_000 });
const opened = async (page: Page, words: string | RegExp) => { await described(page, words); await page.locator('.work-progress').waitFor({ state: 'detached', timeout: 60_000 }); };
const complaint = (page: Page) => page.locator('.scan-complaint').first().innerText().then((text) => text.replace('✕', '').trim());
const field = (page: Page, name: string) => page.getByRole('textbox', { name });
const made = (page: Page) => page.getByText(/Made in [\d.]+ s/).waitFor({ timeout: 120_000 });
const make = async (page: Page) => { await page.getByRole('button', { name: /^Make the volume/ }).click(); await made(page); };
const take = async (page: Page, name: string): Promise<string> => {
  const [download] = await Promise.all([page.waitForEvent('download', { timeout: 60_000 }), page.getByRole('button', { name, exact: true }).click()]) as [Download, void];
  const path = join(scratch, name);
  await download.saveAs(path);
  return path;
};
/** Mean of a ball, mm from the axis. */
function meanAround({ width, height, depth, voxelSize, data }: Volume, [x, y, z]: readonly [number, number, number], reach: number): number {
  let sum = 0, count = 0;
  for (let slice = 0; slice < depth; slice++) for (let row = 0; row < height; row++) for (let column = 0; column < width; column++) {
    const from = Math.hypot((column - (width - 1) / 2) * voxelSize - x, ((height - 1) / 2 - row) * voxelSize - y, (slice - (depth - 1) / 2) * voxelSize - z);
    if (from <= reach) { sum += data[(slice * height + row) * width + column]; count++; }
  }
  return sum / count;
}
const answers = async (page: Page) => {
  await field(page, 'From the source to the axis').fill(String(small.sourceToAxis));
  await field(page, 'From the source to the screen').fill(String(small.sourceToDetector));
  await field(page, 'Width of a photograph’s pixel, on the screen').fill(String(small.pitch));
  await field(page, 'Voxels along x and y').fill('48');
};

test('the capsule by one click: a volume, kept over a reload, measured, taken away, the same as the command line’s', async () => {
  const { page, troubles, close } = await sheet();
  await page.getByRole('button', { name: 'Sealed capsule, 45 photographs' }).click();
  await made(page);
  await page.getByText('45 views, 3 dark, 3 flat of 512 × 384 pixels').waitFor();
  expect(await page.getByText(/^It falls 0\.9\d+ mm \(3\.\d+ pixels\) to the right/).innerText(), 'the axis of the demo is 3.2 pixels beside the middle and leans by 0.7°').toMatch(/\(3\.[12]\d* pixels\).*leans by 0\.7\d*°/);
  await page.locator('.volume-sheet[data-ready]').waitFor({ timeout: 30_000 });

  // The marble: at (10.5, −10, −5) mm by datasets/capsule/truth.json, of soda-lime glass, seen with 30 to 90 keV.
  for (const [axis, at] of [['x', '10.5'], ['y', '-10'], ['z', '-5']] as const) await page.getByRole('textbox', { name: `Cross-hair at ${axis}` }).fill(at);
  await page.getByRole('radio', { name: /a region/ }).check();
  await field(page, 'Radius of the region').fill('4');
  await page.getByRole('button', { name: 'Mark this point' }).click();
  const value = parseFloat(await page.locator('.volume-measures .volume-figure').first().innerText());
  expect(value, 'the marble, 1/mm').toBeGreaterThan(attenuationOf({ material: 'sodaLime' }, 80));
  expect(value, 'the marble, 1/mm').toBeLessThan(attenuationOf({ material: 'sodaLime' }, 45));

  await page.waitForTimeout(800); // the view is put away a moment after the last change
  await page.reload();
  await made(page);
  await page.locator('.volume-measures .volume-figure').first().waitFor({ timeout: 30_000 });
  expect(parseFloat(await page.locator('.volume-measures .volume-figure').first().innerText()), 'what was measured is still there').toBe(value);
  await page.locator('.volume-sheet[data-ready]').waitFor();

  const here = await readNrrd(readFileSync(await take(page, 'sealed-capsule-45-photographs.nrrd')));
  const { positions, triangles } = readStl(readFileSync(await take(page, 'sealed-capsule-45-photographs.stl')));
  expect(triangles.length).toBeGreaterThan(1000);
  expect(watertight({ positions, triangles }).watertight, 'the surface is closed').toBe(true);

  const folder = join(scratch, 'again');
  mkdirSync(folder);
  for (const part of ['views', 'dark', 'flat']) symlinkSync(join(capsule, part), join(folder, part));
  writeFileSync(join(folder, 'scan.json'), readFileSync(await take(page, 'scan.json')));
  execFileSync(process.execPath, [join(root, 'src/cli.ts'), 'reconstruct', join(folder, 'scan.json'), '--out', join(folder, 'c.nrrd')], { stdio: 'ignore' });
  const there = await readNrrd(readFileSync(join(folder, 'c.nrrd')));
  expect([there.width, there.height, there.depth, there.voxelSize]).toEqual([here.width, here.height, here.depth, here.voxelSize]);
  let squares = 0, all = 0;
  for (let i = 0; i < here.data.length; i++) { squares += (here.data[i] - there.data[i]) ** 2; all += there.data[i] ** 2; }
  expect(Math.sqrt(squares / all), 'the command line makes another volume of the same scan file').toBeLessThan(1e-5);
  expect(troubles).toEqual([]);

  await page.getByRole('button', { name: 'Print the report…' }).scrollIntoViewIfNeeded();
  await page.evaluate(() => { window.print = () => { Object.assign(window, { printed: document.querySelector('.photo-report')!.textContent, pictures: document.querySelectorAll('.photo-report img').length }); dispatchEvent(new Event('afterprint')); }; });
  await page.getByRole('button', { name: 'Print the report…' }).click();
  const report = await page.waitForFunction(() => (window as unknown as { printed?: string }).printed);
  expect(await report.jsonValue()).toMatch(/Sealed capsule, 45 photographs.*source to axis 350 mm.*0\.957 mm from the middle.*Region 1.*\/mm/s);
  expect(await page.evaluate(() => (window as unknown as { pictures: number }).pictures)).toBe(3);
  await page.locator('.photo-report').waitFor({ state: 'detached' });
  await close();
}, 240_000);

test('photographs missing: which steps they were is found, and the views put there', async () => {
  const { page, troubles, close } = await sheet();
  const scan = readScan(readFileSync(join(capsule, 'lost-frames.scan.json'), 'utf8'));
  if (scan.frames.kind !== 'photographs') throw new Error('the capsule is a set of photographs');
  await bring(page, [...scan.frames.files, ...scan.frames.dark!, ...scan.frames.flat!, 'lost-frames.scan.json'].map((name) => join(capsule, name)));
  await opened(page, '40 views, 3 dark, 3 flat');
  await page.getByText('40 views in steps of 8° are 5 short of a whole turn').waitFor();
  await page.getByRole('button', { name: 'Find which steps are missing' }).click();
  const truth = JSON.parse(readFileSync(join(capsule, 'truth.json'), 'utf8'));
  await page.getByText(/5 steps of 45 without a view: 6, 17, 18, 29 and 40/).waitFor({ timeout: 120_000 });
  expect(JSON.stringify(truth)).toContain('[6,17,18,29,40]');
  await page.getByRole('button', { name: 'Put the views at these steps' }).click();
  await expect.poll(() => page.getByRole('option', { name: /^capsule-07\.jpg/ }).textContent(), { message: 'the seventh photograph stands at step 7' }).toContain('56°');
  await page.getByRole('button', { name: 'Compare each view with the others' }).click();
  await page.getByText('No view stands out').waitFor({ timeout: 120_000 });
  // One photograph too early: the comparison says which, and by how much.
  await page.getByText('Say where a view stands').click();
  await page.locator('.photo-align select').selectOption({ label: '17: capsule-17.jpg' });
  await field(page, 'was taken at step (counted from 0)').fill('18');
  await page.getByRole('button', { name: 'Put it there' }).click();
  await expect.poll(() => page.getByRole('option', { name: /^capsule-17\.jpg/ }).textContent()).toContain('144°');
  await page.getByRole('button', { name: 'Compare each view with the others' }).click();
  await page.getByText(/capsule-17\.jpg \(it lies 1\.\d steps after its place\)/).waitFor({ timeout: 120_000 });
  await page.getByRole('button', { name: 'Undo', exact: true }).first().click();
  await page.getByRole('button', { name: 'Undo', exact: true }).first().click();
  await expect.poll(() => page.getByRole('option', { name: /^capsule-07\.jpg/ }).textContent()).toContain('48°');
  expect(troubles).toEqual([]);
  await close();
}, 240_000);

describe('a small scan', () => {
  test('from a folder: put in order and left out with keys, undone, made, true in 1/mm', async () => {
    const { page, troubles, close } = await sheet();
    const folder = join(scratch, 'rods');
    mkdirSync(join(folder, 'dark'), { recursive: true });
    for (const { name, buffer } of smallScan()) writeFileSync(join(folder, name.startsWith('dark') ? `dark/${name}` : name), buffer);
    writeFileSync(join(folder, 'notes.txt'), 'two rods');
    await page.getByLabel('Lay your photographs here: a folder').setInputFiles(folder);
    await opened(page, '12 views, 1 dark, 1 flat of 96 × 64 pixels');
    await page.getByText('Not needed: rods/notes.txt.').waitFor();
    await answers(page);

    const tiles = page.getByRole('listbox', { name: /^Views/ }).getByRole('option');
    const labels = () => tiles.evaluateAll((all) => all.map((tile) => tile.textContent!.replaceAll(/[…\s]+/g, ' ').trim()));
    await tiles.nth(0).focus();
    await page.keyboard.press('ArrowRight');
    await page.keyboard.press('Alt+ArrowRight');
    await expect.poll(async () => (await labels()).slice(0, 4)).toEqual(['view-01.png 0°', 'view-03.png 30°', 'view-02.png 60°', 'view-04.png 90°']);
    await page.keyboard.press('Delete');
    await expect.poll(async () => (await labels())[2]).toBe('view-02.png left out');
    await page.keyboard.press('Control+z');
    await page.keyboard.press('Control+z');
    await expect.poll(async () => (await labels()).slice(0, 3)).toEqual(['view-01.png 0°', 'view-02.png 30°', 'view-03.png 60°']);
    await tiles.nth(0).dragTo(tiles.nth(3), { targetPosition: { x: 2, y: 30 } });
    await expect.poll(async () => (await labels()).slice(0, 3), { message: 'dragged before the fourth' }).toEqual(['view-02.png 0°', 'view-03.png 30°', 'view-01.png 60°']);
    await page.getByRole('button', { name: 'Undo', exact: true }).first().click();

    await make(page);
    await page.locator('.volume-sheet[data-ready]').waitFor({ timeout: 30_000 });
    const volume = await readNrrd(readFileSync(await take(page, 'rods.nrrd')));
    expect(meanAround(volume, [8, 3, 0], 2.5), 'the rod of 0.06 /mm').toBeCloseTo(0.06, 2);
    expect(meanAround(volume, [-9, -3, 0], 3), 'the body of 0.02 /mm').toBeCloseTo(0.02, 2);

    // A camera that writes light as its square root: its curve is measured from four exposures of a wedge of greys.
    await page.getByRole('radio', { name: /along a curve that I measure/ }).check();
    await page.getByText('The curve has to be measured first').first().waitFor();
    const wedge = (seconds: number) => photo(`wedge-${1000 * seconds}.png`, Uint8Array.from({ length: small.width * small.height }, (_, i) => Math.min(255, Math.round(255 * Math.sqrt(seconds * 10 * ((i % small.width) / small.width) ** 2)))));
    await page.getByLabel('Lay the exposures here', { exact: true }).setInputFiles([0.01, 0.02, 0.04, 0.08].map(wedge));
    await page.getByRole('button', { name: 'Measure the curve' }).click();
    await page.getByText(/^Measured from \d+ pixels/).waitFor({ timeout: 30_000 });
    await page.getByLabel(/^Straightened as for/).selectOption('water');
    await page.getByText(/^Values then belong to \d+\.?\d* keV/).waitFor();
    const { frames } = readScan(readFileSync(await take(page, 'scan.json'), 'utf8'));
    if (frames.kind !== 'photographs' || !frames.curve) throw new Error('the scan file has no measured curve');
    const { stored, light } = frames.curve;
    const lightAt = (value: number) => light[stored.findIndex((each) => each >= value)];
    expect(lightAt(0.7) / lightAt(0.35), 'twice what a camera stores that writes the square root is four times the light').toBeCloseTo(4, 0);
    expect(frames.hardening!.coefficients.length).toBe(3);
    await page.getByRole('radio', { name: /pictures for the eye/ }).check();
    await page.getByLabel(/^Straightened as for/).selectOption('none');

    // A distance that was measured wrongly, put right by a ball that goes round.
    const toScreen = page.getByLabel('From the source to the screen', { exact: true });
    await toScreen.fill('380');
    await page.getByText('Or find them from a bead').click();
    const beads = page.getByLabel('Lay the photographs of the bead here', { exact: true });
    await beads.setInputFiles(beadScan().slice(0, 3));
    await page.getByText('At least 6 photographs are needed; here are 3.').waitFor();
    await beads.setInputFiles(smallScan().slice(0, 12));
    await page.getByRole('button', { name: 'Follow the bead' }).click();
    await page.getByText(/Frame 0 \(counted from 0\) shows no bead/).waitFor({ timeout: 30_000 });
    await beads.setInputFiles(beadScan());
    await page.getByRole('button', { name: 'Follow the bead' }).click();
    await page.getByText(/^The shadow is 1\.33\d? times as large as the object/).waitFor({ timeout: 30_000 });
    await page.getByRole('button', { name: 'Use these' }).click();
    await expect.poll(async () => Math.abs(Number(await toScreen.inputValue()) - 400), { message: 'mm from the source to the screen' }).toBeLessThan(4);
    const aligned = readScan(readFileSync(await take(page, 'scan.json'), 'utf8')).detector;
    expect(aligned.axisOffset, 'mm').toBeCloseTo(2.4, 1);
    expect(Math.abs(aligned.tilt!), 'degrees').toBeLessThan(0.3);
    await page.getByRole('button', { name: 'Undo', exact: true }).first().click();
    await toScreen.fill('400');

    // A step switched off shows what it does.
    await page.getByRole('checkbox', { name: 'Undo the camera’s curve' }).uncheck();
    await page.getByText('Something was changed since the volume below was made.').waitFor();
    await page.getByRole('button', { name: 'Turn the light into line integrals again' }).click();
    await page.getByRole('row', { name: /Undo the camera’s curve/ }).getByText('Switched off.').waitFor({ timeout: 60_000 });
    expect(troubles).toEqual([]);
    await close();
  }, 120_000);

  test('from a ZIP dropped with the mouse; the list of scans opens and deletes', async () => {
    const { page, troubles, close } = await sheet();
    const zip = zipSync(Object.fromEntries(smallScan().map(({ name, buffer }) => [`my rods/${name}`, buffer])));
    const transfer = await page.evaluateHandle((bytes) => { const data = new DataTransfer(); data.items.add(new File([new Uint8Array(bytes)], 'rods.zip')); return data; }, [...zip]);
    await page.locator('.scan-drop').dispatchEvent('drop', { dataTransfer: transfer });
    await opened(page, '12 views, 1 dark, 1 flat');
    await expect.poll(() => field(page, 'What is it of?').inputValue()).toBe('my rods');
    await page.getByText(/1 scan kept in this browser/).click();
    await page.getByRole('button', { name: 'Begin another scan' }).click();
    await described(page, 'Nothing lies here yet.');
    await page.getByRole('button', { name: 'Open my rods' }).click();
    await opened(page, '12 views, 1 dark, 1 flat');
    await page.getByText(/1 scan kept in this browser/).click();
    await page.getByRole('button', { name: 'Delete… my rods' }).click();
    await page.getByRole('button', { name: 'Yes, delete for good' }).click();
    await described(page, 'Nothing lies here yet.');
    await page.getByText(/\d scans? kept/).waitFor({ state: 'detached' });
    await page.reload();
    await page.locator('[data-ready]').first().waitFor();
    expect(await page.getByText(/\d scans? kept/).count(), 'deleted for good').toBe(0);
    expect(troubles).toEqual([]);
    await close();
  }, 120_000);

  test('the page closed in the middle: photographs, answers and what was made are found again', async () => {
    const { page, close } = await sheet();
    await bring(page, smallScan());
    await opened(page, '12 views');
    await answers(page);
    await field(page, 'Voxels along x and y').fill('400');
    await page.getByRole('button', { name: 'Make the volume' }).click();
    await page.getByRole('button', { name: 'Stop' }).waitFor();
    await page.reload();
    await opened(page, '12 views, 1 dark, 1 flat');
    await expect.poll(() => field(page, 'From the source to the axis').inputValue()).toBe(String(small.sourceToAxis));
    await field(page, 'Voxels along x and y').fill('32');
    await make(page);
    await page.getByRole('button', { name: /^Make the volume/ }).waitFor();
    await close();
  }, 120_000);

  test('long work is stopped, and what was there stays', async () => {
    const { page, troubles, close } = await sheet();
    await bring(page, smallScan());
    await opened(page, '12 views');
    await answers(page);
    await make(page);
    await field(page, 'Voxels along x and y').fill('480');
    await page.getByRole('button', { name: 'Make the volume again' }).click();
    await page.getByRole('button', { name: 'Stop' }).click();
    await page.getByRole('button', { name: 'Make the volume again' }).waitFor();
    expect(await page.locator('.volume-sheet').count(), 'the volume that was there').toBe(1);
    expect(troubles).toEqual([]);
    await close();
  }, 120_000);

  test('a video: marked, and views taken evenly from it', async () => {
    const { page, troubles, close } = await sheet();
    // Filmed by the browser itself: a bar that moves across.
    const bytes = await page.evaluate(async () => {
      const canvas = Object.assign(document.createElement('canvas'), { width: 160, height: 120 });
      const context = canvas.getContext('2d')!;
      const recorder = new MediaRecorder(canvas.captureStream(), { mimeType: 'video/webm;codecs=vp8', videoBitsPerSecond: 2e6 });
      const parts: Blob[] = [];
      recorder.addEventListener('dataavailable', ({ data }) => parts.push(data));
      const ended = new Promise((resolve) => recorder.addEventListener('stop', resolve));
      recorder.start();
      for (let k = 0; k < 60; k++) {
        context.fillStyle = '#888';
        context.fillRect(0, 0, 160, 120);
        context.fillStyle = '#fff';
        context.fillRect(2 * k, 40, 30, 40);
        await new Promise((resolve) => setTimeout(resolve, 40));
      }
      recorder.stop();
      await ended;
      return [...new Uint8Array(await new Blob(parts).arrayBuffer())];
    });
    await bring(page, [{ name: 'turn.webm', mimeType: 'video/webm', buffer: Buffer.from(bytes) }]);
    await page.getByText(/frames a second, 160 × 120 pixels/).waitFor({ timeout: 30_000 });
    await field(page, 'Views to take').fill('10');
    await field(page, 'The turn begins at').fill('0.2');
    await page.getByRole('button', { name: 'Take the views' }).click();
    await opened(page, '10 views, 0 dark, 0 flat of 160 × 120 pixels');
    await expect.poll(() => field(page, 'From view to view').inputValue()).toBe('36');
    const names = await page.getByRole('listbox', { name: /^Views/ }).getByRole('option').allInnerTexts();
    expect(names[0]).toContain('turn-');
    expect(troubles).toEqual([]);
    await close();
  }, 120_000);
});

describe('bad input gets a sentence, and nothing is lost', () => {
  const grey = (level: number, width = small.width, height = small.height) => new Uint8Array(width * height).fill(level);
  const renamed = (name: string, { buffer, mimeType }: Photo): Photo => ({ name, mimeType, buffer });

  test('as the photographs come in', async () => {
    const { page, troubles, close } = await sheet();
    const scan = smallScan();
    await bring(page, scan.slice(0, 5));
    await opened(page, '5 views');
    await page.getByText('there are 5 views, and at least 8 are needed').first().waitFor();
    await bring(page, scan.slice(5));
    await opened(page, '12 views, 1 dark, 1 flat');

    for (const [files, sentence] of [
      [[photo('view-99.png', grey(100, 48, 64), 48, 64)], /^view-99\.png has 48 × 64 pixels and the others 96 × 64/],
      [[{ name: 'view-98.jpg', mimeType: 'image/jpeg', buffer: Buffer.from('no picture at all') }], /^view-98\.jpg: This is not a photograph that can be read/],
      [[{ name: 'IMG_1.heic', mimeType: 'image/heic', buffer: Buffer.concat([Buffer.from([0, 0, 0, 24]), Buffer.from('ftypheic'), Buffer.alloc(64)]) }], /^IMG_1\.heic: This is a HEIC photograph.*export it as JPEG/],
      [[{ name: 'bomb.zip', mimeType: 'application/zip', buffer: bomb() }], /^bomb\.zip: .* would take 4\.\d+ GB/],
      [[{ name: 'broken.zip', mimeType: 'application/zip', buffer: Buffer.from(zipSync({ 'a.png': scan[0].buffer })).subarray(0, 60) }], /^broken\.zip: This ZIP is cut short/],
      [[{ name: 'letter.txt', mimeType: 'text/plain', buffer: Buffer.from('Dear reader') }], /^letter\.txt is not a photograph/],
    ] as const) {
      await bring(page, [...files] as Photo[]);
      await page.locator('.scan-complaint').filter({ hasText: files[0].name }).first().waitFor({ timeout: 30_000 });
      expect(await complaint(page)).toMatch(sentence);
      expect(await page.getByRole('option', { name: /^view-01\.png/ }).count(), `the photographs, after ${files[0].name}`).toBeGreaterThan(0);
    }
    expect(troubles).toEqual([]);
    await close();
  }, 120_000);

  test('in the light: dark and flat exchanged, saturated, two the same, an object that leaves the frame', async () => {
    const { page, close } = await sheet();
    const scan = smallScan();
    const views = scan.slice(0, 12);
    await bring(page, [...views, renamed('dark-1.png', scan[13]), renamed('flat-1.png', scan[12])]);
    await opened(page, '12 views, 1 dark, 1 flat');
    await page.getByRole('button', { name: 'Turn the light into line integrals' }).click();
    await page.locator('.scan-complaint').waitFor({ timeout: 60_000 });
    expect(await complaint(page)).toMatch(/^The dark frames are brighter than the flat ones .* they may have changed places/);

    await page.getByText(/1 scan kept in this browser/).click();
    await page.getByRole('button', { name: 'Begin another scan' }).click();
    await bring(page, [...smallScan({ level: 1.1 }).slice(0, 10), renamed('view-11.png', smallScan({ level: 1.1 })[9]), scan[12], scan[13]]);
    await opened(page, '11 views');
    await field(page, 'Width of a photograph’s pixel, on the screen').fill('0.8');
    await page.getByRole('button', { name: 'Turn the light into line integrals' }).click();
    await page.locator('[data-kind=same]').waitFor({ timeout: 60_000 });
    expect(await page.locator('[data-kind=same]').innerText()).toMatch(/view-10\.png and view-11\.png are the same/);
    expect(await page.locator('[data-kind=saturated]').first().innerText()).toMatch(/view-01\.png/);

    await page.getByText(/2 scans kept/).click();
    await page.getByRole('button', { name: 'Begin another scan' }).click();
    await bring(page, scan);
    await opened(page, '12 views');
    await page.getByRole('radio', { name: 'the part that is kept of all photographs' }).check();
    const film = page.locator('.photo-view .film-panel').first();
    await film.scrollIntoViewIfNeeded();
    const box = (await film.boundingBox())!;
    await page.mouse.move(box.x + 0.3 * box.width, box.y + 0.1 * box.height);
    await page.mouse.down();
    await page.mouse.move(box.x + 0.98 * box.width, box.y + 0.9 * box.height, { steps: 4 });
    await page.mouse.up();
    await page.getByText('Kept of each photograph').waitFor();
    await page.getByRole('button', { name: 'Turn the light into line integrals' }).click();
    await page.locator('[data-kind=truncated]').waitFor({ timeout: 60_000 });
    expect(await page.locator('[data-kind=truncated]').innerText()).toMatch(/left/);
    await close();
  }, 180_000);

  test('a volume beyond the memory, and a browser without room', async () => {
    const { page, close } = await sheet();
    await page.evaluate(() => {
      const put = IDBObjectStore.prototype.put;
      IDBObjectStore.prototype.put = function (this: IDBObjectStore, value: unknown, key?: IDBValidKey) {
        if (Array.isArray(key) && key[0] === 'file' && (key[2] as number) > 6) throw new DOMException('no room', 'QuotaExceededError');
        return put.call(this, value, key);
      };
    });
    await bring(page, smallScan());
    await opened(page, '12 views');
    await page.getByText('This browser has no more room for this page').waitFor({ timeout: 30_000 });
    await answers(page);
    await field(page, 'Voxels along x and y').fill('1500');
    expect(await page.getByText(/^Not yet: A volume of 1,500 × .* would take .* of memory .* would fit/).count()).toBeGreaterThan(0);
    await field(page, 'Voxels along x and y').fill('32');
    await make(page);
    await close();
  }, 120_000);

  /** A few bytes that say they are 4.29 GB. */
  function bomb(): Buffer {
    const zip = Buffer.from(zipSync({ 'view-1.png': Buffer.alloc(1000) }));
    const directory = zip.lastIndexOf(Buffer.from([0x50, 0x4b, 1, 2]));
    zip.writeUInt32LE(0xfffffff0, directory + 24);
    return zip;
  }
});

test('a press that comes before the sheet is ready is not lost: the sheet takes none until then', async () => {
  const { page, close } = await newPage();
  await page.goto(addressOf('your-own-scan/photographs/'), { waitUntil: 'commit' });
  await page.getByText('Show me round').click();
  await page.getByText('Tour 1 of 7: question 1').waitFor();
  await close();
});

test('the tour goes through the seven questions by keyboard; axe finds nothing wrong; nothing is wider than a phone', async () => {
  const { page, troubles, close } = await sheet();
  await bring(page, smallScan());
  await opened(page, '12 views');
  await answers(page);
  await make(page);
  await page.locator('.volume-sheet[data-ready]').waitFor({ timeout: 30_000 });
  await page.getByRole('button', { name: 'Show me round' }).click();
  for (let stop = 1; stop <= 7; stop++) {
    await page.getByText(`Tour ${stop} of 7: question ${stop}`).waitFor();
    if (stop < 7) { await page.getByRole('button', { name: 'Next' }).focus(); await page.keyboard.press('Enter'); }
  }
  await page.keyboard.press('Escape');
  expect(await page.getByRole('complementary', { name: 'Guided tour' }).count()).toBe(0);
  for (const [width, colorScheme] of [[1280, 'light'], [390, 'dark']] as const) {
    await page.setViewportSize({ width, height: 900 });
    await page.emulateMedia({ colorScheme });
    await page.evaluate(`window.axe ?? (() => { ${axe} })()`);
    const { violations } = await page.evaluate(() => (window as unknown as { axe: { run: (at: string) => Promise<AxeResults> } }).axe.run('main'));
    expect(violations.flatMap(({ id, help, nodes }) => nodes.map((node) => `${id}: ${help}: ${node.html.slice(0, 160)}`)), `${width} px, ${colorScheme}`).toEqual([]);
    expect(await page.evaluate(() => document.documentElement.scrollWidth), `${width} px, ${colorScheme}`).toBeLessThanOrEqual(width);
  }
  expect(troubles).toEqual([]);
  await close();
}, 120_000);
