/** Exercises in the page: marked at once, kept in this browser, forgotten when asked, sent nowhere. */
import { afterAll, beforeAll, expect, test } from 'vitest';
import { exercisesOf } from '../../src/widgets/exercise/all.ts';
import { addressOf, closeBrowser, newPage, openBrowser } from './support/browser.ts';

beforeAll(() => openBrowser());
afterAll(closeBrowser);

const [exercise] = await exercisesOf('shadows');

test('right, mistaken and wrong answers are told apart, from the keyboard', async () => {
  const { page, troubles, requests, close } = await newPage('shadows/');
  await page.waitForLoadState('networkidle');
  const asked = requests.length; // from here on a font for a new sign or the page's icon may come, and nothing else
  const box = page.locator(`#exercise-${exercise.id}`);
  const input = box.getByRole('textbox');
  const says = box.getByRole('status');
  await input.fill(String(exercise.answer).replace('.', ','));
  await input.press('Enter');
  expect(await says.textContent()).toBe('Right.');
  await input.fill(String(exercise.wrong[0].value));
  expect(await says.textContent(), 'a changed answer is an unmarked one').toBe('');
  await input.press('Enter');
  expect(await says.textContent()).toMatch(/^Not yet\. /);
  expect((await says.textContent())!.length).toBeGreaterThan(30);
  await input.fill(String(exercise.answer * 1.37));
  await box.getByRole('button', { name: 'Check' }).click();
  expect(await says.textContent()).toBe('Not yet. The hint below shows a way in.');
  await input.fill('a lot');
  await input.press('Enter');
  expect(await says.textContent()).toMatch(/cannot be read as a number/);
  expect(await input.getAttribute('aria-invalid')).toBe('true');
  expect(requests.slice(asked).filter((url) => !/\.(woff2|svg)$/.test(url)), 'an answer is sent nowhere').toEqual([]);
  expect(troubles).toEqual([]);
  await close();
});

test('an answer is there again after the page is opened anew, until it is forgotten', async () => {
  const { page, close } = await newPage('shadows/');
  const box = page.locator(`#exercise-${exercise.id}`);
  await box.getByRole('textbox').fill(String(exercise.answer));
  await box.getByRole('textbox').press('Enter');
  await page.reload();
  expect(await box.getByRole('textbox').inputValue()).toBe(String(exercise.answer));
  expect(await box.getByRole('status').textContent()).toBe('Right.');
  await page.getByRole('button', { name: 'Forget my answers' }).click();
  expect(await box.getByRole('textbox').inputValue()).toBe('');
  await page.reload();
  expect(await box.getByRole('textbox').inputValue()).toBe('');
  await close();
});

test('exercises still mark where storage is refused', async () => {
  const { page, troubles, close } = await newPage();
  await page.addInitScript(() => Object.defineProperty(window, 'localStorage', { get() { throw new DOMException('refused', 'SecurityError'); } }));
  await page.goto(addressOf('shadows/'));
  const box = page.locator(`#exercise-${exercise.id}`);
  await box.getByRole('textbox').fill(String(exercise.answer));
  await box.getByRole('textbox').press('Enter');
  expect(await box.getByRole('status').textContent()).toBe('Right.');
  expect(troubles.filter((trouble) => !/refused/.test(trouble))).toEqual([]);
  await close();
});
