/** The bench in a real browser: a plan made, rehearsed, compared, worked backwards, printed and taken away; and what bad input gets. */
import { readFileSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { AxeResults } from 'axe-core';
import type { Download, Page } from 'playwright-core';
import { extractText, getDocumentProxy } from 'unpdf';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { controllerListing, readNrrd, readPlan, readScan, runSheet, stepTableCsv, writeNrrd, xrayPlan, type XrayPlan } from '../../src/lib/index.ts';
import { closeBrowser, newPage, openBrowser } from './support/browser.ts';

const root = join(import.meta.dirname, '../..');
const axe = readFileSync(join(root, 'node_modules/axe-core/axe.min.js'), 'utf8');
const capsule = xrayPlan(readPlan(readFileSync(join(root, 'datasets/capsule/plan.json'), 'utf8')));
const scratch = mkdtempSync(join(tmpdir(), 'bench-'));

beforeAll(() => openBrowser());
afterAll(async () => {
  await closeBrowser();
  rmSync(scratch, { recursive: true });
});

const bench = async (options = {}) => {
  const watched = await newPage('rehearse-your-scan/bench/', { acceptDownloads: true, ...options });
  await watched.page.locator('.bench-page[data-ready]').waitFor();
  return watched;
};
const field = (page: Page, name: string) => page.getByRole('textbox', { name, exact: true });
const rowOf = (page: Page, label: string) => page.locator('.bench-derived tr').filter({ has: page.getByRole('rowheader', { name: label, exact: true }) });
const figureOf = async (page: Page, label: string) => Number.parseFloat((await rowOf(page, label).locator('td').first().innerText()).replace('−', '-'));
const complaint = (page: Page) => page.locator('.scan-complaint').first().innerText().then((text) => text.replace('✕', '').trim());
const question = (page: Page, title: string) => page.locator('.scan-question').filter({ has: page.getByRole('heading', { name: new RegExp(title) }) });
const take = async (page: Page, name: RegExp | string): Promise<string> => {
  const [download] = await Promise.all([page.waitForEvent('download', { timeout: 30_000 }), page.getByRole('button', { name, exact: typeof name === 'string' }).click()]) as [Download, void];
  const path = join(scratch, download.suggestedFilename());
  await download.saveAs(path);
  return path;
};
const laid = async (page: Page, plan: object, name = 'plan.json') => {
  const path = join(scratch, name);
  writeFileSync(path, JSON.stringify(plan));
  await page.getByLabel('Lay a plan file here', { exact: true }).setInputFiles(path);
};

/** A block with a pin: small, quick to rehearse. */
const block: XrayPlan = {
  ...capsule, title: 'A block',
  object: { kind: 'solids', solids: [{ name: 'block', material: 'acrylic', form: { kind: 'box', centre: [0, 0, 0], size: [24, 24, 24] } }, { name: 'hole', form: { kind: 'cylinder', from: [0, 0, -12], to: [0, 0, 12], radius: 5 } }] },
  views: { count: 40 },
};

test('a plan is typed with units, figures follow, undo takes back, and it is found again after a reload', async () => {
  const { page, troubles, close } = await bench();
  await expect.poll(() => figureOf(page, 'Magnification')).toBeCloseTo(500 / 350, 2);
  await field(page, 'From the source to the screen').fill('2 ft');
  await expect.poll(() => figureOf(page, 'Magnification'), { message: '609.6 mm over 350 mm' }).toBeCloseTo(609.6 / 350, 2);
  await field(page, 'From the source to the screen').blur();
  expect(await field(page, 'From the source to the screen').inputValue(), 'in the unit beside the field').toBe('609.6');
  await field(page, 'Each exposure lasts').fill('1/60 s');
  await expect.poll(async () => (await rowOf(page, 'Electrons, open beam').innerText()).match(/[\d.]+/)![0]).not.toBe('18300');
  await page.getByRole('button', { name: 'Undo', exact: true }).click();
  await expect.poll(() => field(page, 'Each exposure lasts').inputValue()).toBe('1');
  await page.getByRole('button', { name: 'Redo', exact: true }).click();
  await expect.poll(() => field(page, 'Each exposure lasts').inputValue()).toBe('0.0166666667');
  await page.keyboard.press('Control+z');
  await page.keyboard.press('Control+z');
  await expect.poll(() => field(page, 'From the source to the screen').inputValue()).toBe('500');
  await field(page, 'Views').press('ArrowUp');
  await expect.poll(() => field(page, 'Views').inputValue()).toBe('46');
  await page.waitForTimeout(400); // the plan is put away a tenth of a second after it was changed
  await page.reload();
  await page.locator('.bench-page[data-ready]').waitFor();
  expect(await field(page, 'Views').inputValue(), 'after the page was loaded again').toBe('46');
  expect(troubles).toEqual([]);
  await close();
}, 120_000);

test('a figure that is out of its range says which knob mends it, and turning that knob does', async () => {
  const { page, close } = await bench();
  await field(page, 'Each exposure lasts').fill('10 s');
  await rowOf(page, 'Grey value of the open beam').getByText('cannot be so').waitFor();
  expect(await rowOf(page, 'Grey value of the open beam').innerText()).toContain('What mends it: “Each exposure lasts” (Exposure), less');
  await page.getByRole('status').filter({ hasText: 'Out of their good range: ' }).filter({ hasText: 'grey value of the open beam' }).waitFor();
  await field(page, 'Each exposure lasts').fill('1 s');
  await rowOf(page, 'Grey value of the open beam').getByText('in its range').waitFor();
  // Nothing on the page calls anything safe.
  const text = await page.locator('main').innerText();
  const verdicts = (text.match(/[^.\n]*\bsafe\b[^.\n]*/gi) ?? []).filter((sentence) => !/\b(none|nothing|never|no|not)\b/i.test(sentence));
  expect(verdicts, 'a sentence that calls something safe').toEqual([]);
  expect(text).toContain('none of its figures says that anything is safe: measure it');
  await close();
}, 60_000);

test('rehearsed: photographs, cuts, and measured figures near the predicted ones; compared with another plan', async () => {
  const { page, troubles, close } = await bench();
  await laid(page, block);
  await expect.poll(() => field(page, 'Views').inputValue()).toBe('40');
  await page.getByRole('radio', { name: '96', exact: true }).check();
  await page.getByRole('button', { name: 'Rehearse', exact: true }).click();
  await page.getByRole('status').filter({ hasText: /rehearsed in [\d.]+ s/ }).waitFor({ timeout: 60_000 });
  expect(await page.locator('.bench-shown .film canvas').count(), 'two photographs and three cuts').toBe(5);
  const numbers = async (label: string) => (await page.locator('.bench-shown tr').filter({ has: page.getByRole('rowheader', { name: label, exact: true }) }).locator('td').allInnerTexts()).map(Number.parseFloat);
  const [noise, measuredNoise] = await numbers('Noise of a voxel');
  expect(Math.abs(measuredNoise / noise - 1), 'noise of a voxel, measured over predicted').toBeLessThan(0.1);
  const [spread, measuredSpread] = await numbers('An edge is spread over (full width at half its slope)');
  expect(Math.abs(measuredSpread / spread - 1), 'an edge, measured over predicted').toBeLessThan(0.1);
  const volume = await readNrrd(readFileSync(await take(page, 'Take the volume away (NRRD)')));
  expect([volume.width, volume.height]).toEqual([96, 96]);

  // Beside a plan with four times the exposure in frames: half the noise, twice the contrast to noise.
  await page.getByRole('button', { name: 'Keep this plan to compare with' }).click();
  await field(page, 'Exposures averaged for a view').fill('4');
  await page.getByText('The plan has been changed since this rehearsal.').waitFor();
  const compared = question(page, 'Compare two plans');
  await compared.getByRole('row', { name: /^Noise of a slice/ }).locator('strong').first().waitFor();
  await compared.getByRole('button', { name: 'Rehearse both' }).click();
  await compared.getByText('measured, the other').waitFor({ timeout: 60_000 });
  const both = (await compared.locator('tr').filter({ has: page.getByRole('rowheader', { name: 'Noise of a voxel', exact: true }) }).locator('td').allInnerTexts()).map(Number.parseFloat);
  expect(both[2] / both[0], 'predicted noise of one frame over that of four').toBeCloseTo(2, 1);
  // Taking off what would become rings adds a little noise of its own, which more light does not lower.
  expect(both[3] / both[1], 'measured').toBeGreaterThan(1.6);
  expect(both[3] / both[1]).toBeLessThan(2.2);
  await compared.getByRole('button', { name: 'Exchange the two' }).click();
  await expect.poll(() => field(page, 'Exposures averaged for a view').inputValue()).toBe('');
  expect(troubles).toEqual([]);
  await close();
}, 180_000);

test('long work is stopped, and what was there stays; the page answers meanwhile', async () => {
  const { page, troubles, close } = await bench();
  await page.getByRole('radio', { name: '200', exact: true }).check();
  await page.getByRole('button', { name: 'Rehearse', exact: true }).click();
  await page.locator('progress').waitFor();
  const longest = await page.evaluate(() => new Promise<number>((resolve) => {
    let [last, most] = [performance.now(), 0];
    const tick = () => { const now = performance.now(); most = Math.max(most, now - last); last = now; if (now - start < 1500) requestAnimationFrame(tick); else resolve(most); };
    const start = last;
    requestAnimationFrame(tick);
  }));
  expect(longest, 'ms between two frames while it rehearses').toBeLessThan(250);
  await page.getByRole('button', { name: 'Stop' }).click();
  await page.locator('progress').waitFor({ state: 'detached' });
  expect(await page.locator('.bench-shown').count()).toBe(0);
  expect(await page.getByRole('button', { name: 'Rehearse', exact: true }).isEnabled()).toBe(true);
  expect(troubles).toEqual([]);
  await close();
}, 60_000);

test('what would be enough is found and taken as the plan, or it says why nothing is', async () => {
  const { page, troubles, close } = await bench();
  const enough = question(page, 'What would be enough');
  await field(page, 'The smallest detail').fill('1 mm');
  await enough.getByRole('button', { name: 'Look for the least that is enough' }).click();
  await enough.getByText(/are enough: a detail of 1 mm stands out by/).waitFor({ timeout: 60_000 });
  const views = (await enough.locator('[role=status]').innerText()).match(/^(\d+) views/)![1];
  await enough.getByRole('button', { name: 'Take it as the plan' }).click();
  await expect.poll(() => field(page, 'Views').inputValue()).toBe(views);
  await field(page, 'The smallest detail').fill('0.05');
  await enough.getByRole('button', { name: 'Look for the least that is enough' }).click();
  await enough.getByText(/^None is enough: the sharpest slice spreads a thin wall to [\d.]+ mm, and 0\.05 mm are asked for/).waitFor({ timeout: 60_000 });
  await page.getByRole('button', { name: 'Undo', exact: true }).click();
  await expect.poll(() => field(page, 'Views').inputValue()).toBe('45');
  expect(troubles).toEqual([]);
  await close();
}, 120_000);

test('taken away: plan, scan file, steps and listing as the library makes them; the run sheet on paper, read back', async () => {
  const { page, troubles, close } = await bench();
  expect(readPlan(readFileSync(await take(page, 'plan.json'), 'utf8'))).toEqual(capsule);
  const scan = readScan(readFileSync(await take(page, 'scan.json'), 'utf8'));
  expect(scan.beam).toEqual({ shape: 'cone', ...capsule.distances });
  expect(readFileSync(await take(page, /-steps\.csv$/), 'utf8')).toBe(stepTableCsv(capsule));
  expect(readFileSync(await take(page, /-controller\.cpp$/), 'utf8')).toBe(controllerListing(capsule));

  // Printing is held back, so that the sheet stays in the page and can be printed into a file.
  await page.evaluate(() => { window.print = () => {}; });
  await page.getByRole('button', { name: 'Print the run sheet…' }).click();
  await page.locator('.bench-run-sheet').waitFor({ state: 'attached' });
  await page.waitForTimeout(300);
  const pdf = await page.pdf({ preferCSSPageSize: true });
  const { totalPages, text } = await extractText(await getDocumentProxy(new Uint8Array(pdf)), { mergePages: true });
  // The font gives an apostrophe and the µ as letters that only look the same.
  const flat = (sentence: string) => sentence.replace(/\s+/g, ' ').replace(/ʼ/g, '’').replace(/μ/g, 'µ');
  const words = flat(text);
  expect(totalPages).toBeGreaterThan(2);
  const sheet = runSheet(capsule);
  for (const sentence of [...sheet.cautions, ...sheet.checks.flatMap(({ lines }) => lines), ...sheet.resume]) expect(words, 'a line of the sheet that is not on the paper').toContain(flat(sentence));
  const views = sheet.frames.filter(({ kind }) => kind === 'view');
  for (const { number, name, position } of [views[0], views[22], views[44]]) expect(words, `frame ${number}`).toMatch(new RegExp(`${number} ${name} .*?° ${position}\\b`));
  expect(words).not.toContain('Metal of the target'); // the page itself stays off the paper
  await page.evaluate(() => dispatchEvent(new Event('afterprint')));
  await page.locator('.bench-run-sheet').waitFor({ state: 'detached' });
  expect(troubles).toEqual([]);
  await close();
}, 120_000);

test('visible light: opened by its address, rehearsed, printed with its own cautions; undo and the choice bring X-rays back', async () => {
  const lamp = readPlan(readFileSync(join(root, 'datasets/light-practice/plan.json'), 'utf8'));
  const { page, troubles, close } = await newPage('rehearse-your-scan/bench/?plan=light');
  await page.locator('.bench-page[data-ready]').waitFor();
  expect(await field(page, 'From the lens to the axis').inputValue()).toBe('1393');
  expect(await field(page, 'Opening of the lens').inputValue()).toBe('4.55');
  for (const name of ['Peak voltage', 'Phosphor on it (Gd₂O₂S)', 'Width of the focal spot', 'Photons of light that become electrons']) expect(await field(page, name).count(), name).toBe(0);
  expect(await page.getByText('Estimate what may reach a person').count()).toBe(0);
  await expect.poll(() => figureOf(page, 'Electrons, open light')).toBe(56_000);
  expect(await page.locator('.bench-derived').innerText()).not.toMatch(/X-rays absorbed|Heat of the tube|Dose in/);
  expect(new URL(page.url()).search, 'loading again is to find what was made of the plan').toBe('');

  const rehearsal = question(page, 'Rehearse it');
  await rehearsal.getByRole('radio', { name: '96' }).check();
  await rehearsal.getByRole('button', { name: 'Rehearse', exact: true }).click();
  await rehearsal.locator('.bench-shown').waitFor({ timeout: 90_000 });
  expect(await rehearsal.locator('.bench-figures').innerText()).toContain('cylinder against liquid');

  await page.evaluate(() => { window.print = () => {}; });
  await page.getByRole('button', { name: 'Print the run sheet…' }).click();
  const paper = page.locator('.bench-run-sheet');
  await paper.waitFor({ state: 'attached' });
  const words = (await paper.evaluate((sheet) => sheet.textContent ?? '')).replace(/\s+/g, ' ');
  const sheet = runSheet(lamp);
  for (const sentence of [...sheet.cautions, ...sheet.checks.flatMap(({ lines }) => lines)]) expect(words).toContain(sentence);
  expect(words).not.toMatch(/tube|interlock|dosimeter/i);
  await page.evaluate(() => dispatchEvent(new Event('afterprint')));
  await paper.waitFor({ state: 'detached' });

  await page.getByRole('radio', { name: 'X-rays', exact: true }).check();
  await expect.poll(() => field(page, 'Peak voltage').count()).toBe(1);
  expect(await field(page, 'Opening of the lens').count()).toBe(0);
  await page.getByRole('button', { name: 'Undo', exact: true }).click();
  await expect.poll(() => field(page, 'Opening of the lens').count()).toBe(1);
  await page.getByRole('button', { name: 'Undo', exact: true }).click(); // what lay there before the address asked
  await expect.poll(() => page.getByRole('radio', { name: 'the sealed capsule of the book (invented)' }).isChecked()).toBe(true);
  expect(troubles).toEqual([]);
  await close();
}, 120_000);

describe('bad input gets a sentence beside it, and nothing is lost', () => {
  test('in the fields', async () => {
    const { page, close } = await bench();
    const tries: readonly [string, string, RegExp][] = [
      ['Peak voltage', '60 mm', /mm is no unit of a voltage/],
      ['Peak voltage', '500', /at most 120 kV/],
      ['Width of the focal spot', 'tiny', /not a quantity/],
      ['From the source to the axis', '0', /above 0 mm/],
      ['From the source to the axis', '-3 cm', /above 0 mm/],
      ['From the source to the axis', '', /is empty/],
      ['Views', '45.5', /whole number/],
      ['Pixels in a row', '60,000', /two ways/],
    ];
    for (const [label, typed, sentence] of tries) {
      const before = await field(page, label).inputValue();
      await field(page, label).fill(typed);
      await expect.poll(() => complaint(page), { message: `${label}: ${typed}` }).toMatch(sentence);
      expect(await page.locator('main').innerText(), 'a NaN on the screen').not.toMatch(/\bNaN\b/);
      await field(page, label).fill(before);
      await expect.poll(() => page.locator('.scan-complaint').count(), { message: `${label} put right` }).toBe(0);
    }
    // Distances that cross: beside the field, and in the way of everything that follows.
    await field(page, 'From the source to the screen').fill('300');
    await page.locator('.scan-complaint').filter({ hasText: 'The screen lies before the axis' }).first().waitFor();
    expect(await page.getByRole('button', { name: 'Rehearse', exact: true }).isDisabled()).toBe(true);
    await field(page, 'From the source to the screen').fill('500');
    await page.getByRole('button', { name: 'Rehearse', exact: true }).and(page.locator(':enabled')).waitFor();
    // A heat budget that no rest can meet, and a motor whose steps the views do not divide, in words.
    await field(page, 'Heat that it may hold').fill('4 J');
    await page.getByText(/No rest between exposures is enough/).first().waitFor();
    await field(page, 'Heat that it may hold').fill('2000');
    expect(await rowOf(page, 'Microsteps from view to view').innerText()).toMatch(/40 or 50 views would come out even/);
    await close();
  }, 120_000);

  test('as a plan file, and as a volume', async () => {
    const { page, close } = await bench();
    for (const [plan, sentence] of [
      [{ ...capsule, tube: { ...capsule.tube, colour: 'red' } }, /plan\.json: .*tube\.colour/],
      [{ ...capsule, filters: [{ material: 'unobtainium', thickness: 1 }] }, /unobtainium/],
      [{ format: 'scan', version: 1 }, /plan\.json: /],
    ] as const) {
      await laid(page, plan);
      await expect.poll(() => question(page, 'Take it away').locator('.scan-complaint').innerText()).toMatch(sentence);
    }
    expect(await field(page, 'Views').inputValue(), 'the plan that was there').toBe('45');
    await page.getByRole('radio', { name: 'a volume of your own' }).check();
    await page.locator('.scan-complaint').filter({ hasText: 'The volume of your own is not here yet' }).first().waitFor();
    const brought = page.getByLabel('Lay a volume here', { exact: true });
    writeFileSync(join(scratch, 'broken.nrrd'), 'NRRD0004\nnothing more');
    await brought.setInputFiles(join(scratch, 'broken.nrrd'));
    await page.locator('.scan-complaint').filter({ hasText: 'broken.nrrd' }).first().waitFor();
    const size = 24;
    const data = Float32Array.from({ length: size ** 3 }, (_, i) => (Math.hypot((i % size) - 11.5, (Math.floor(i / size) % size) - 11.5) < 8 ? 0.02 : 0));
    writeFileSync(join(scratch, 'rod.nrrd'), writeNrrd({ width: size, height: size, depth: size, voxelSize: 1, data }));
    await brought.setInputFiles(join(scratch, 'rod.nrrd'));
    await page.getByText('rod.nrrd: 24 × 24 × 24 voxels of 1 mm.').waitFor();
    await page.getByRole('radio', { name: '96', exact: true }).check();
    await page.getByRole('button', { name: 'Rehearse', exact: true }).click();
    await page.getByRole('status').filter({ hasText: /rehearsed in [\d.]+ s/ }).waitFor({ timeout: 60_000 });
    await close();
  }, 120_000);
});

test('axe finds nothing wrong, light and dark; nothing is wider than a phone', async () => {
  const { page, troubles, close } = await bench({ viewport: { width: 390, height: 800 } });
  await page.getByRole('radio', { name: 'simple solids' }).check();
  await page.getByRole('button', { name: 'Keep this plan to compare with' }).click();
  await expect.poll(() => page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(390);
  await page.evaluate(axe);
  for (const colorScheme of ['light', 'dark'] as const) {
    await page.emulateMedia({ colorScheme });
    const { violations } = await page.evaluate(() => (globalThis as unknown as { axe: { run(): Promise<AxeResults> } }).axe.run());
    expect(violations.flatMap(({ id, nodes }) => nodes.map(({ html }) => `${id}: ${html.slice(0, 160)}`)), colorScheme).toEqual([]);
  }
  expect(troubles).toEqual([]);
  await close();
}, 120_000);
