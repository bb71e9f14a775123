/** The page that measures the reader's own machine and lets them choose who does the workshop's work. */
import { afterAll, beforeAll, expect, test } from 'vitest';
import { closeBrowser, newPage, openBrowser } from './support/browser.ts';

beforeAll(openBrowser);
afterAll(closeBrowser);

test('the machine is measured, the engines agree, and the choice is still there after coming back', async () => {
  const { page, troubles, close } = await newPage('how-fast/');
  const part = page.locator('.engine-part');
  await part.getByRole('button', { name: 'Measure this machine' }).click();
  await part.getByRole('row', { name: /^simd/ }).waitFor({ timeout: 60_000 });
  const speedOf = async (name: string) => Number((await part.getByRole('row', { name: new RegExp(`^${name}`) }).getByRole('cell').nth(1).innerText()).replace(/[^\d.]/g, ''));
  expect(await speedOf('plain'), 'volumes by the plain engine, million updates a second').toBeGreaterThan(1);
  expect(await speedOf('simd'), 'volumes by WebAssembly, million updates a second').toBeGreaterThan(1);
  expect(await part.getByRole('row', { name: /^gpu/ }).innerText(), 'no card, and one sentence on it').toMatch(/WebGPU/);

  await part.getByRole('button', { name: 'See whether they agree here' }).click();
  await part.getByRole('columnheader', { name: 'Off the plain one, at most' }).waitFor({ timeout: 60_000 });
  const off = await part.getByRole('row', { name: /^simd/ }).getByRole('cell').last().innerText();
  expect(Number(off.replace('−', '-').replace(/\s*[·×]\s*10/, 'e').replace(/[⁻⁰¹²³⁴-⁹]/g, (digit) => '-0123456789'['⁻⁰¹²³⁴⁵⁶⁷⁸⁹'.indexOf(digit)])), `simd off plain: ${off}`).toBeLessThan(1e-5);

  await part.getByRole('radio', { name: /^plain/ }).check();
  await part.getByText('Kept in this browser.').waitFor();
  await page.reload();
  await expect.poll(() => part.getByRole('radio', { name: /^plain/ }).isChecked()).toBe(true);
  expect(troubles).toEqual([]);
  await close();
});
