/** Frames out of films in a real browser: films of numbered frames are made there, picked from, and read back by their numbers and greys. */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { build } from 'vite';
import { serve } from '../../scripts/serve.mjs';
import { readPhotograph, type Photograph } from '../../src/lib/index.ts';
import type { Film, PickedFrame } from '../../src/workshop/photographs/video.ts';
import { closeBrowser, newPage, openBrowser, type Watched } from './support/browser.ts';
import { filmHeight, filmWidth, greyOf, wedge, type FilmOrder } from './support/film-maker.ts';

const root = join(import.meta.dirname, '../..');
const folder = mkdtempSync(join(tmpdir(), 'films-'));
let served: { address: string; close: () => Promise<unknown> };
let watched: Watched;

beforeAll(async () => {
  const entry = { video: 'src/workshop/photographs/video.ts', element: 'src/workshop/photographs/video-element.ts', maker: 'tests/site/support/film-maker.ts' };
  await build({
    configFile: false, root, publicDir: false, logLevel: 'error',
    build: { outDir: folder, emptyOutDir: true, minify: false, lib: { entry: Object.fromEntries(Object.entries(entry).map(([name, path]) => [name, join(root, path)])), formats: ['es'] } },
  });
  writeFileSync(join(folder, 'index.html'), `<!doctype html><title>Films</title><link rel="icon" href="data:,"><script type="module">
    import * as video from './video.js';
    import * as element from './element.js';
    import * as maker from './maker.js';
    Object.assign(window, { video, element, maker, films: {} });
  </script>`);
  writeFileSync(join(folder, 'worker.js'), `
    import { openFilm } from './video.js';
    addEventListener('message', async ({ data: { file, name, choice, bare } }) => {
      if (bare) self.VideoDecoder = undefined;
      try {
        const film = await openFilm(file, name);
        const frames = [];
        for await (const frame of film.pick(choice, {})) frames.push(frame);
        postMessage({ frames });
      } catch (error) { postMessage({ name: error.name, sentence: error.message }); }
    });
    postMessage('ready');`);
  served = await serve(folder);
  await openBrowser();
  watched = await newPage();
  await watched.page.goto(served.address);
  await watched.page.waitForFunction(() => 'films' in window);
});

afterAll(async () => {
  await closeBrowser();
  await served?.close();
  rmSync(folder, { recursive: true });
});

/** What the page's own scripts have put on its window. */
interface Page {
  video: typeof import('../../src/workshop/photographs/video.ts');
  element: typeof import('../../src/workshop/photographs/video-element.ts');
  maker: typeof import('./support/film-maker.ts');
  films: Record<string, Blob>;
}
declare const window: Page & { VideoDecoder?: unknown };
type Way = 'decoder' | 'element' | 'worker';
interface Picked { readonly name: string; readonly at: number; readonly bytes: number[] }
type Facts = Pick<Film, 'width' | 'height' | 'seconds' | 'rate' | 'uneven'>;

const make = (name: string, order: FilmOrder) => watched.page.evaluate(async ({ name, order }) => { window.films[name] = await window.maker.makeFilm(order); }, { name, order });

/** The film's facts, and what is picked from it. */
function pick(name: string, choice: { from: number; to: number; count: number }, way: Exclude<Way, 'worker'> = 'decoder'): Promise<{ facts: Facts; frames: Picked[]; progress: number[] }> {
  return watched.page.evaluate(async ({ name, choice, way }) => {
    const film = await (way === 'element' ? window.element.openFilmByElement : window.video.openFilm)(window.films[name], name);
    const progress: number[] = [];
    const frames: Picked[] = [];
    for await (const { name, at, bytes } of film.pick(choice, { progress: (fraction) => progress.push(fraction) })) frames.push({ name, at, bytes: Array.from(bytes) });
    film.close();
    const { width, height, seconds, rate, uneven } = film;
    return { facts: { width, height, seconds, rate, uneven }, frames, progress };
  }, { name, choice, way });
}

/** What is picked from a film in a worker; rejects with the sentence. bare: one without WebCodecs. */
function inWorker(name: string, choice: { from: number; to: number; count: number }, bare = false): Promise<Picked[]> {
  return watched.page.evaluate(({ name, choice, bare }) => new Promise<Picked[]>((resolve, reject) => {
    const worker = new Worker('/worker.js', { type: 'module' });
    worker.onerror = (event) => reject(new Error(event.message));
    worker.onmessage = ({ data }) => {
      if (data === 'ready') return worker.postMessage({ file: window.films[name], name, choice, bare });
      worker.terminate();
      return data.frames ? resolve(data.frames.map((frame: PickedFrame) => ({ ...frame, bytes: Array.from(frame.bytes) }))) : reject(new Error(data.sentence));
    };
  }), { name, choice, bare });
}

const photographOf = ({ bytes, name }: Pick<Picked, 'bytes' | 'name'>) => readPhotograph(Uint8Array.from(bytes), name);

/** The mean grey, 0 … 255, around a point of the frame as it was painted, in a photograph that was turned clockwise by `rotation`. */
function greyAt({ width, data }: Photograph, x: number, y: number, rotation = 0): number {
  let sum = 0;
  for (let dy = -4; dy < 4; dy++) for (let dx = -4; dx < 4; dx++) {
    const [u, v] = [x + dx, y + dy];
    const [column, row] = rotation === 90 ? [filmHeight - 1 - v, u] : rotation === 270 ? [v, filmWidth - 1 - u] : [u, v];
    sum += 255 * data[row * width + column];
  }
  return sum / 64;
}

function numberOf(photograph: Photograph, rotation = 0): number {
  let number = 0;
  for (let bit = 0; bit < 9; bit++) number = 2 * number + (greyAt(photograph, bit * 28 + 14, 24, rotation) > 127 ? 1 : 0);
  return number;
}

/** The frame nearest to each time, found by looking at all of them. */
const nearest = (times: readonly number[], wanted: readonly number[]) => wanted.map((time) => times.reduce((best, other, k) => (Math.abs(other - time) < Math.abs(times[best] - time) ? k : best), 0));

const even = Array.from({ length: 100 }, (_, k) => k / 25);
/** 20 to 70 ms from frame to frame, in whole milliseconds, as a phone films in poor light; the first stamp is not 0. */
const uneven = Array.from({ length: 100 }, (_, k) => k).reduce<number[]>((times, k) => [...times, k === 0 ? 0.2 : Math.round(1000 * times[k - 1] + 45 + 25 * Math.sin(k / 9)) / 1000], []);

describe('an even film', () => {
  beforeAll(() => make('even.webm', { times: even, format: 'webm', codec: 'vp9', keys: 2 }));

  test.each(['decoder', 'element'] as const)('45 views of 3.6 s: every second frame, the greys as they were painted, by %s', async (way) => {
    const { facts, frames, progress } = await pick('even.webm', { from: 0.2, to: 3.8, count: 45 }, way);
    expect(facts.uneven).toBeUndefined();
    expect([facts.width, facts.height]).toEqual([filmWidth, filmHeight]);
    expect(facts.seconds).toBeCloseTo(4, 2);
    expect(facts.rate).toBeCloseTo(25, 2);
    expect(progress).toEqual(Array.from({ length: 46 }, (_, k) => k / 45));
    expect(frames.map(({ name }) => name)).toEqual(Array.from({ length: 45 }, (_, k) => `even-${String(k + 1).padStart(3, '0')}.png`));

    let worst = 0;
    for (const [k, frame] of frames.entries()) {
      const photograph = await photographOf(frame);
      expect(numberOf(photograph), `view ${k + 1} shows frame`).toBe(5 + 2 * k);
      expect(frame.at, `view ${k + 1} says it was taken at`).toBeCloseTo(even[5 + 2 * k], 3);
      for (const [i, grey] of wedge.entries()) worst = Math.max(worst, Math.abs(greyAt(photograph, i * 32 + 16, 72) - grey));
      worst = Math.max(worst, Math.abs(greyAt(photograph, 128, 120) - greyOf(5 + 2 * k)));
    }
    // A canvas is filmed in full range, where every grey has a code of its own; flat patches lose next to nothing at 4 Mbit/s.
    expect(worst, 'the largest error of a patch’s mean grey, of 255').toBeLessThan(1.5);
  });

  test('it stops when told to, or when no more frames are fetched, and can be picked from again', async () => {
    const seen = await watched.page.evaluate(async () => {
      const film = await window.video.openFilm(window.films['even.webm'], 'even.webm');
      const choice = { from: 0, to: 4, count: 50 };
      const control = new AbortController();
      let before = 0;
      let reason: unknown;
      try {
        for await (const frame of film.pick(choice, { signal: control.signal })) if (frame && ++before === 3) control.abort('enough');
      } catch (error) { reason = error; }
      let fetched = 0;
      for await (const frame of film.pick(choice, {})) if (frame && ++fetched === 2) break;
      let all = 0;
      for await (const frame of film.pick(choice, {})) if (frame) all++;
      film.close();
      return { before, reason, fetched, all };
    });
    expect(seen).toEqual({ before: 3, reason: 'enough', fetched: 2, all: 50 });
  });

  test('no more frames lie decoded than fit into the memory that is allowed for', async () => {
    const memory = 4.5 * 1.5 * filmWidth * filmHeight;
    const held = await watched.page.evaluate(async (memory) => {
      const film = await window.video.openFilm(window.films['even.webm'], 'even.webm', { memory });
      const Decoder = window.VideoDecoder as typeof VideoDecoder;
      let open = 0;
      let most = 0;
      window.VideoDecoder = class extends Decoder {
        constructor({ output, error }: VideoDecoderInit) {
          super({ error, output: (frame) => {
            most = Math.max(most, ++open);
            const close = frame.close.bind(frame);
            frame.close = () => { open--; close(); };
            output(frame);
          } });
        }
      };
      for await (const frame of film.pick({ from: 0, to: 4, count: 50 }, {})) if (frame.at > 1e9) break;
      window.VideoDecoder = Decoder;
      film.close();
      return { most, open };
    }, memory);
    expect(held.open, 'frames that were decoded and never let go').toBe(0);
    expect(held.most, 'the count of frames works').toBeGreaterThan(0);
    // Four wait; a fifth may have come out of the decoder, not asked for, and be let go at once.
    expect(held.most, 'decoded frames at once').toBeLessThanOrEqual(5);
  });
});

test.each(['decoder', 'element'] as const)('the stored 16 … 235 of a camera become 0 … 255, 220 greys on a straight line, by %s', async (way) => {
  // ITU-R BT.709-6: black is stored as 16 and white as 235, from memory. The line is straight: no tone curve is put in or taken out.
  await watched.page.evaluate(async () => { window.films['stored.webm'] ??= await window.maker.makeStoredGreys(); });
  const every = way === 'decoder' ? 1 : 8; // an element seeks every frame by itself
  const { frames } = await pick('stored.webm', { from: 0, to: 10.24, count: 256 / every }, way);
  const greys: number[] = [];
  for (const frame of frames) {
    const { data } = await photographOf(frame);
    greys.push(Math.round(255 * data[32 * 64 + 32]));
  }
  if (every === 1) expect(new Set(greys).size, 'different greys').toBe(220);
  greys.forEach((grey, k) => expect(Math.abs(grey - Math.min(255, Math.max(0, ((every * k - 16) * 255) / 219))), `stored ${every * k} became ${grey}`).toBeLessThan(0.6));
});

test.each(['decoder', 'worker', 'element'] as const)('an uneven film is picked by time, by %s', async (way) => {
  if (way === 'decoder') await make('uneven.webm', { times: uneven, format: 'webm', codec: 'vp8', keys: 1 });
  const film = uneven.map((time) => time - uneven[0]);
  const choice = { from: 0.3, to: 4.1, count: 40 };
  const expected = nearest(film, Array.from({ length: 40 }, (_, k) => 0.3 + (k * 3.8) / 40));
  let frames: readonly Picked[];
  if (way === 'worker') {
    frames = await inWorker('uneven.webm', choice);
  } else {
    const picked = await pick('uneven.webm', choice, way);
    frames = picked.frames;
    expect(picked.facts.uneven?.shortest).toBeCloseTo(0.02, 3);
    expect(picked.facts.uneven?.longest).toBeCloseTo(0.07, 3);
    expect(picked.facts.rate).toBeCloseTo(99 / (uneven[99] - uneven[0]), 2);
  }
  const numbers = [];
  for (const frame of frames) numbers.push(numberOf(await photographOf(frame)));
  expect(numbers, 'the frames that were nearest in time').toEqual(expected);
  frames.forEach(({ at }, k) => expect(at, `view ${k + 1} says it was taken at`).toBeCloseTo(film[expected[k]], 3));
  const index = expected.map((_, k) => Math.round(expected[0] + (k * (expected[39] - expected[0])) / 39));
  expect(index, 'counting frames would have gone wrong').not.toEqual(expected);
});

describe.each([90, 270] as const)('a film that is to be shown turned by %i°', (rotation) => {
  test.each(['decoder', 'element'] as const)('is picked upright by %s', async (way) => {
    const name = `turned-${rotation}.mp4`;
    if (way === 'decoder') await make(name, { times: even.slice(0, 20), format: 'mp4', codec: 'vp9', rotation });
    const { facts, frames } = await pick(name, { from: 0.08, to: 0.72, count: 8 }, way);
    expect([facts.width, facts.height]).toEqual([filmHeight, filmWidth]);
    for (const [k, frame] of frames.entries()) {
      const photograph = await photographOf(frame);
      expect([photograph.width, photograph.height]).toEqual([facts.width, facts.height]);
      expect(numberOf(photograph, rotation), `view ${k + 1} shows frame`).toBe(2 + 2 * k);
      expect(Math.abs(greyAt(photograph, 6 * 32 + 16, 72, rotation) - wedge[6]), 'the seventh patch of the wedge').toBeLessThan(1.5);
    }
    const preview = await watched.page.evaluate(async ({ name, way }) => {
      const film = await (way === 'element' ? window.element.openFilmByElement : window.video.openFilm)(window.films[name], name);
      const [small, whole] = [await film.frameAt(0.4, 64), await film.frameAt(99)];
      film.close();
      const { width, height } = await createImageBitmap(small);
      return { types: [small.type, whole.type], size: [width, height], whole: Array.from(new Uint8Array(await whole.arrayBuffer())) };
    }, { name, way });
    expect(preview.types).toEqual(['image/jpeg', 'image/jpeg']);
    expect(preview.size).toEqual([36, 64]);
    expect(numberOf(await photographOf({ name: 'preview.jpg', bytes: preview.whole }), rotation), 'behind the end, the last frame').toBe(19);
  });
});

describe('bad input gets one sentence', () => {
  /** The sentence that a film gets when it is opened and picked from. */
  const sentence = (name: string, choice = { from: 0, to: 0.64, count: 8 }) => watched.page.evaluate(async ({ name, choice }) => {
    try {
      const film = await window.video.openFilm(window.films[name], name);
      for await (const frame of film.pick(choice, {})) if (frame.at > 1e9) break;
      film.close();
      return 'no complaint';
    } catch (error) { return `${(error as Error).name} ${(error as Error).message}`; }
  }, { name, choice });

  beforeAll(async () => {
    await make('short.mp4', { times: even.slice(0, 20), format: 'mp4', codec: 'vp9' });
    await make('short.webm', { times: even.slice(0, 20), format: 'webm', codec: 'vp8' });
    await watched.page.evaluate(async () => {
      const bytes = new Uint8Array(await window.films['short.mp4'].arrayBuffer());
      /** The film with a word of its structure replaced, and with bytes spoilt from a place on. */
      const changed = (from: string, to: string) => {
        const copy = bytes.slice();
        for (let i = 0; i + 4 <= copy.length; i++) if (String.fromCharCode(...copy.subarray(i, i + 4)) === from) copy.set([...to].map((letter) => letter.charCodeAt(0)), i);
        return new Blob([copy]);
      };
      const spoilt = bytes.slice();
      const media = spoilt.findIndex((_, i) => String.fromCharCode(...spoilt.subarray(i, i + 4)) === 'mdat');
      spoilt.fill(0xa5, media + 8, media + 2000);
      const webm = window.films['short.webm'];
      Object.assign(window.films, {
        'empty.mp4': new Blob([]), 'letter.mp4': new Blob(['Dear reader, this is a letter and no film.']),
        'prores.mov': changed('vp09', 'apcn'), 'old.mov': changed('vp09', 'mp4v'), 'strange.mp4': changed('vp09', 'q\u00e4 9'), 'sound.mp4': changed('vide', 'soun'),
        'cut.mp4': new Blob([bytes.subarray(0, 40)]), 'spoilt.mp4': new Blob([spoilt]), 'head.webm': webm.slice(0, 300),
      });
    });
  });

  test.each([
    ['empty.mp4', /^BadInput empty\.mp4: This file is empty \(0 bytes\)\.$/],
    ['letter.mp4', /^BadInput letter\.mp4: This is not a film that can be read: MP4, MOV, WebM, Matroska and MPEG transport streams can\.$/],
    ['prores.mov', /^BadInput prores\.mov: This browser cannot decode the film’s ProRes: export its frames as PNG or JPEG, or save it anew as H\.264 in MP4 or as VP9 in WebM\.$/],
    ['old.mov', /^BadInput old\.mov: This browser cannot decode the film’s MPEG-4 part 2: export/],
    ['strange.mp4', /^BadInput strange\.mp4: This browser cannot decode the film’s /],
    ['sound.mp4', /^BadInput sound\.mp4: There is no picture track in this file: it holds sound alone or is cut short\.$/],
    ['cut.mp4', /^BadInput cut\.mp4: There is no picture track in this file: it holds sound alone or is cut short\.$/],
    ['head.webm', /^BadInput head\.webm: There are no frames in this film; a film of the whole turn is needed\.$/],
    ['spoilt.mp4', /^BadInput spoilt\.mp4: The film could not be decoded at 0\.00 s \(.+\): export it again from its source\.$/],
  ])('%s', async (name, wanted) => {
    expect(await sentence(name)).toMatch(wanted);
  });

  test('a choice that cannot be', async () => {
    expect(await sentence('short.mp4', { from: 0.5, to: 0.5, count: 45 })).toBe('BadInput short.mp4: The start mark (0.50 s) must lie before the end mark (0.50 s).');
    expect(await sentence('short.mp4', { from: 0, to: 0.8, count: 45 })).toMatch(/^BadInput short\.mp4: There are 20 frames between 0\.00 s and 0\.80 s, and 45 views are wanted/);
  });

  test('a browser that alters the pixels it hands out', async () => {
    await watched.page.evaluate(() => {
      const own = OffscreenCanvasRenderingContext2D.prototype.getImageData;
      OffscreenCanvasRenderingContext2D.prototype.getImageData = function (...area) {
        const image = own.apply(this, area as Parameters<typeof own>);
        image.data[4000] ^= 1;
        return image;
      };
      Object.assign(window, { mend: () => { OffscreenCanvasRenderingContext2D.prototype.getImageData = own; } });
    });
    expect(await sentence('short.mp4')).toMatch(/^BadInput short\.mp4: This browser alters pixels before they are read, /);
    await watched.page.evaluate(() => (window as unknown as { mend: () => void }).mend());
    expect(await sentence('short.mp4')).toBe('no complaint');
  });

  test('without WebCodecs the page takes a video element, and a worker says what to do', async () => {
    await watched.page.evaluate(() => Object.assign(window, { kept: window.VideoDecoder, VideoDecoder: undefined }));
    const { frames } = await pick('short.mp4', { from: 0, to: 0.64, count: 8 });
    const numbers = [];
    for (const frame of frames) numbers.push(numberOf(await photographOf(frame)));
    expect(numbers).toEqual([0, 2, 4, 6, 8, 10, 12, 14]);
    await expect(inWorker('short.mp4', { from: 0, to: 0.64, count: 8 }, true)).rejects.toThrow('short.mp4: This browser cannot decode the film’s VP9: export its frames');
    await watched.page.evaluate(() => Object.assign(window, { VideoDecoder: (window as unknown as { kept: unknown }).kept }));
  });
});

test('nothing went wrong on the way, and nothing was asked of any other host', () => {
  const address = new URL(served.address).origin;
  expect(watched.troubles.filter((trouble) => !trouble.startsWith(`left the book: ${address}`) && !trouble.startsWith('left the book: blob:'))).toEqual([]);
  expect(watched.requests.filter((request) => !request.startsWith(address) && !/^(blob|data):/.test(request))).toEqual([]);
});
