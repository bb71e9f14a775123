/** A plate in the browser, as a reader uses it. */
import AxeSource from 'axe-core';
import type { Locator, Page } from 'playwright-core';
import { newPage } from './browser.ts';

/** The plate brought into view on the open page, once it is ready to be used. */
export async function plateOn(page: Page, id: string): Promise<Locator> {
  const figure = page.locator(`#plate-${id}`);
  await figure.scrollIntoViewIfNeeded();
  await figure.locator('[data-ready]').waitFor({ state: 'attached' });
  return figure;
}

/** The plate's page in a window of its own, with the plate in view and ready to be used. */
export async function open(slug: string, id: string, options: Parameters<typeof newPage>[1] = {}) {
  const opened = await newPage(`${slug}/`, options);
  return { ...opened, figure: await plateOn(opened.page, id) };
}

/** Puts the focus on the plate, and waits for its live picture. */
export async function wake(page: Page, id: string) {
  await page.locator(`#plate-${id} .plate-actions button`).first().focus();
  await page.locator(`#plate-${id} canvas`).first().waitFor();
}

/** Does something to a setting and waits for the picture that follows; gives the state that it shows. */
export async function follows(page: Page, id: string, act: () => Promise<unknown>) {
  await page.evaluate((id) => {
    Object.assign(globalThis, { drawn: undefined });
    const figure = document.getElementById(`plate-${id}`)!;
    const note = (event: Event) => {
      const { state, sketch } = (event as CustomEvent).detail;
      if (sketch) return;
      figure.removeEventListener('plate:drawn', note);
      Object.assign(globalThis, { drawn: state });
    };
    figure.addEventListener('plate:drawn', note);
  }, id);
  await act();
  const drawn = await page.waitForFunction(() => (globalThis as { drawn?: Record<string, unknown> }).drawn, undefined, { timeout: 20_000 });
  return drawn.jsonValue();
}

export const wordsOf = (page: Page, id: string) => page.locator(`#plate-${id} .plate-words`).innerText();

/** What axe finds wrong in the plate. Formulas elsewhere on the page are emptied first: axe walks through them all, which takes most of its time. */
export async function faults(page: Page, id: string): Promise<string[]> {
  await page.evaluate(`window.axe ?? (() => { ${AxeSource.source} })()`);
  return page.evaluate(async (id) => {
    for (const formula of document.querySelectorAll('.katex')) if (!formula.closest(`#plate-${id}`)) formula.replaceChildren();
    const { violations } = await (globalThis as unknown as { axe: typeof AxeSource }).axe.run(`#plate-${id}`, { resultTypes: ['violations'] });
    return violations.flatMap(({ id, nodes }) => nodes.map(({ html }) => `${id}: ${html.slice(0, 200)}`));
  }, id);
}

/** Until the newest picture is there and the timers of words (250 ms) and address (400 ms), which began before, have run, on the page's own clock. */
export async function settle(page: Page): Promise<void> {
  await page.waitForFunction(() => !document.querySelector('.plate-island[aria-busy=true]'), undefined, { timeout: 20_000 });
  await page.evaluate(() => new Promise((resolve) => setTimeout(resolve, 450)));
}
