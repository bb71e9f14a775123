/** A real browser for a test file: openBrowser in beforeAll, closeBrowser in afterAll; newPage for each test, or visitor for page after page. */
import { existsSync } from 'node:fs';
import { chromium, type Browser, type BrowserContextOptions, type Page } from 'playwright-core';
import { inject } from 'vitest';

const places = [process.env.CHROME_PATH, '/usr/bin/chromium-headless-shell', '/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome', '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome'];
const flags = ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'];

const desk = { width: 1280, height: 900 };

let browser: Browser | undefined;

export async function openBrowser(): Promise<Browser> {
  const executablePath = places.find((path) => path && existsSync(path));
  if (!executablePath) throw new Error('The tests need a browser: install Chromium or Chrome, or set CHROME_PATH to the program.');
  return (browser = await chromium.launch({ executablePath, headless: true, args: flags }));
}

export async function closeBrowser(): Promise<void> {
  await browser?.close();
  browser = undefined;
}

/** A page that went wrong: an error thrown, a line on the console, a request that failed or left the book's own host. */
export interface Watched {
  readonly page: Page;
  /** Sentences, in the order in which they happened. A test of good behaviour ends with expect(troubles).toEqual([]). */
  readonly troubles: string[];
  /** Every address asked for. */
  readonly requests: string[];
  close(): Promise<void>;
}

/** A page in a context of its own (empty storage), 1280 × 900 unless said otherwise. `path` is below the book's root: 'turning/'. */
export async function newPage(path?: string, options: BrowserContextOptions = {}): Promise<Watched> {
  if (!browser) throw new Error('Call openBrowser() in beforeAll first.');
  const context = await browser.newContext({ viewport: desk, reducedMotion: 'reduce', ...options });
  const page = await context.newPage();
  const troubles: string[] = [];
  const requests: string[] = [];
  const home = new URL(inject('address')).origin;
  page.on('pageerror', (error) => troubles.push(`error: ${error.message}`));
  page.on('console', (message) => { if (message.type() === 'error' || message.type() === 'warning') troubles.push(`console: ${message.text()} (${message.location().url})`); });
  page.on('requestfailed', (request) => { if (request.failure()?.errorText !== 'net::ERR_ABORTED') troubles.push(`failed: ${request.url()} ${request.failure()?.errorText}`); });
  page.on('response', (response) => { if (response.status() >= 400) troubles.push(`${response.status()}: ${response.url()}`); });
  context.on('request', (request) => {
    requests.push(request.url());
    if (/^https?:/.test(request.url()) && new URL(request.url()).origin !== home) troubles.push(`left the book: ${request.url()}`);
  });
  if (path !== undefined) await page.goto(addressOf(path), { waitUntil: 'load' });
  return { page, troubles, requests, close: () => context.close() };
}

/**
 * For tests that look at page after page: one window, which goes to each path as a reader would who has never been here (empty storage, no
 * troubles, no requests yet). To open a window for every page takes longer than most of what is looked at there. closeBrowser closes it.
 *   const visit = visitor({ javaScriptEnabled: false }); … const { page, troubles } = await visit('turning/');
 */
export function visitor(options: BrowserContextOptions = {}): (path: string) => Promise<Omit<Watched, 'close'>> {
  let watched: Watched | undefined;
  let forget = async () => {};
  return async (path) => {
    if (!watched) {
      watched = await newPage(undefined, options);
      const devtools = await watched.page.context().newCDPSession(watched.page);
      forget = async () => void await devtools.send('Storage.clearDataForOrigin', { origin: new URL(inject('address')).origin, storageTypes: 'all' });
    }
    const { page, troubles, requests } = watched;
    await page.goto('about:blank');
    await forget();
    troubles.length = requests.length = 0;
    await page.emulateMedia({ media: null, colorScheme: options.colorScheme ?? 'light' });
    await page.setViewportSize(options.viewport ?? desk);
    await page.goto(addressOf(path), { waitUntil: 'load' });
    return watched;
  };
}

export function addressOf(path: string): string {
  return new URL(path.replace(/^\//, ''), inject('address')).href;
}
