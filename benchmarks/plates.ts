/**
 * How soon a plate's picture follows a control, in Chromium. Every plate of src/widgets/book.ts, every control that is shown, moved through its
 * range one value at a time; the clock runs from the control's event to the moment the new picture is in its canvas, which the screen
 * shows with its next refresh; where a plate has a sketch (coarser, while a control moves) that is the picture it runs to. Plates start at 128²;
 * those that offer 256² (a control named pixels, set by the page's address) are timed there, too. Other work on the machine counts: run it on an
 * idle one. To reach: median 16 ms at 128², 50 ms at 256².
 *
 *   node benchmarks/plates.ts <address of the built book>
 */
import { pathToFileURL } from 'node:url';
import { chromium, type Browser, type Page } from 'playwright-core';
import { chapters } from '../src/widgets/book.ts';

export interface PlateTiming {
  readonly plate: string;
  /** 'all' for the whole plate. */
  readonly control: string;
  /** Along an edge, of plates that let it be chosen. */
  readonly pixels?: number;
  readonly moves: number;
  readonly median: number;
  readonly p95: number;
  readonly worst: number;
}

const flags = ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'];

export function launch(): Promise<Browser> {
  return chromium.launch({ executablePath: process.env.CHROME_PATH || '/usr/bin/chromium', headless: true, args: flags });
}

/** quick: of each chapter only the first plate, of every control only its ends and its middle, and nothing at 256². */
export async function benchmarkPlates(browser: Browser, address: string, quick = false): Promise<PlateTiming[]> {
  const timings: PlateTiming[] = [];
  for (const { slug, plates } of chapters) {
    for (const plate of quick ? plates.slice(0, 1) : plates) {
      let offers = false; // the choice of 256²
      for (const larger of [false, true]) {
        if (larger && (quick || !offers)) break;
        const page = await browser.newPage({ viewport: { width: 1280, height: 1000 } });
        const answer = await page.goto(new URL(`${slug}/${larger ? `?${plate}.pixels=256` : ''}`, address).href);
        offers = (await page.locator(`#plate-${plate} [name="${plate}-pixels"], #${plate}-pixels`).count()) > 0;
        if (answer?.ok() && (await page.locator(`#plate-${plate}`).count()) > 0) {
          timings.push(...(await timePlate(page, plate, quick ? 3 : 40)).map((row) => (offers ? { ...row, pixels: larger ? 256 : 128 } : row)));
        }
        await page.close();
      }
    }
  }
  return timings;
}

async function timePlate(page: Page, plate: string, values: number): Promise<PlateTiming[]> {
  const figure = page.locator(`#plate-${plate}`);
  await figure.scrollIntoViewIfNeeded();
  await figure.locator('[data-ready]').waitFor({ state: 'attached' });
  await figure.locator('.plate-picture').hover();
  await figure.locator('canvas').first().waitFor();
  await page.waitForTimeout(500);
  const byControl = await page.evaluate(moveEverything, { plate, most: values });
  const rows = Object.entries(byControl).map(([control, times]) => summary(plate, control, times));
  return [summary(plate, 'all', Object.values(byControl).flat()), ...rows];
}

/** In the page: sets one control after the other and waits for the drawing that has its value. */
async function moveEverything({ plate, most }: { plate: string; most: number }): Promise<Record<string, number[]>> {
  const figure = document.getElementById(`plate-${plate}`)!;
  const rest = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms));
  let seed = 1;
  const random = () => (seed = (seed * 16807) % 2147483647) / 2147483647;
  const setValue = (element: HTMLInputElement | HTMLSelectElement, value: string) => Object.getOwnPropertyDescriptor(Object.getPrototypeOf(element), 'value')!.set!.call(element, value);

  const move = (name: string, value: string, act: () => void) => new Promise<number | undefined>((resolve) => {
    const start = performance.now();
    const drawn = (event: Event) => {
      const state = (event as CustomEvent<{ state: Record<string, unknown> }>).detail.state;
      if (String(state[name]) !== value) return;
      figure.removeEventListener('plate:drawn', drawn);
      resolve(performance.now() - start);
    };
    figure.addEventListener('plate:drawn', drawn);
    setTimeout(() => { figure.removeEventListener('plate:drawn', drawn); resolve(undefined); }, 3000);
    act();
  });

  const times: Record<string, number[]> = {};
  const note = async (name: string, value: string, act: () => void) => {
    const time = await move(name, value, act);
    if (time === undefined) throw new Error(`Plate ${plate}: no picture within 3 s of ${name} = ${value}.`);
    (times[name] ??= []).push(time);
    await rest(20 + 40 * random());
  };

  for (const slider of figure.querySelectorAll<HTMLInputElement>('.plate-range input[type=range]')) {
    const name = slider.id.slice(plate.length + 1);
    const [min, max, step, at] = [Number(slider.min), Number(slider.max), Number(slider.step), Number(slider.value)];
    const count = Math.min(most, Math.round((max - min) / step) + 1);
    const values = Array.from({ length: count }, (_, i) => min + step * Math.round(((max - min) * i) / Math.max(1, count - 1) / step));
    let last = at;
    for (const wish of [...values, at]) {
      setValue(slider, String(wish));
      const value = slider.valueAsNumber;
      if (value === last) continue;
      last = value;
      await note(name, String(value), () => slider.dispatchEvent(new InputEvent('input', { bubbles: true })));
    }
  }
  for (const radio of figure.querySelectorAll<HTMLInputElement>('.plate-choice input')) {
    const name = radio.name.slice(plate.length + 1);
    const first = figure.querySelector<HTMLInputElement>(`input[name="${radio.name}"]:checked`)!;
    if (radio === first || name === 'pixels') continue;
    await note(name, radio.value, () => radio.click());
    await note(name, first.value, () => first.click());
  }
  for (const list of figure.querySelectorAll<HTMLSelectElement>('.plate-control:not(.plate-specimen) select')) {
    const name = list.id.slice(plate.length + 1);
    const first = list.value;
    if (name === 'pixels') continue;
    for (const option of [...list.options].map(({ value }) => value).filter((value) => value !== first).concat(first)) {
      await note(name, option, () => { setValue(list, option); list.dispatchEvent(new Event('change', { bubbles: true })); });
    }
  }
  for (const box of figure.querySelectorAll<HTMLInputElement>('.plate-toggle input')) {
    const name = box.id.slice(plate.length + 1);
    for (let i = 0; i < 4; i++) await note(name, String(!box.checked), () => box.click());
  }
  return times;
}

function summary(plate: string, control: string, times: number[]): PlateTiming {
  const sorted = times.toSorted((a, b) => a - b);
  const at = (share: number) => Math.round(10 * sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))]) / 10;
  return { plate, control, moves: sorted.length, median: at(0.5), p95: at(0.95), worst: at(1) };
}

if (import.meta.url === pathToFileURL(process.argv[1] ?? '').href) {
  const browser = await launch();
  console.table(await benchmarkPlates(browser, process.argv[2]!));
  await browser.close();
}
