import { readFileSync } from 'node:fs';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { fanBeam, finish, matthews, readNpy, readScan, scanGeometry, scanSinogram, type FanBeam, type Steps } from '../../src/lib/index.ts';
import { fewOf, missing, reference, thinned, unpack } from '../../src/widgets/priors/measured.ts';
import { priors, strengthFor, type PriorsResult, type PriorsState } from '../../src/widgets/priors/model.ts';
import { specimen, type Specimen } from '../../src/widgets/specimen/specimen.ts';
import { hasMeasured, measuredFolder } from './support/fixtures.ts';

const show = async (change: Partial<PriorsState> = {}, subject: Specimen = specimen('head')) => {
  const made = await priors.compute({ ...priors.initial, ...change }, subject);
  return 'next' in made ? finish(made as Steps<PriorsResult>) : made;
};

describe('the plate priors', () => {
  // Known of the head from 30 views without noise: total variation errs less than a third of fbp (tests/outside/iterative.test.ts).
  it.each([['head', 12, 0.4], ['head', 24, 0.4], ['capsule', 12, 1 / 3], ['capsule', 24, 1 / 3], ['capsule', 45, 1 / 3], ['bead', 24, 0.2]] as const)('%s from %i views: total variation errs less than %f of fbp, SIRT between', async (id, views, share) => {
    const { scores } = await show({ views }, specimen(id));
    expect(scores.tv).toBeLessThan(share * scores.fbp);
    expect(scores.sirt).toBeLessThan(scores.fbp);
    expect(scores.tv).toBeLessThan(scores.sirt);
  });

  it('keeps the iterated pictures from below zero, and not fbp', async () => {
    const { pictures } = await show({ views: 16 });
    expect(Math.min(...pictures!.fbp.data)).toBeLessThan(0);
    expect(Math.min(...pictures!.sirt.data)).toBeGreaterThanOrEqual(0);
    expect(Math.min(...pictures!.tv.data)).toBeGreaterThanOrEqual(0);
  });

  it('errs more with noise', async () => {
    const [calm, noisy] = await Promise.all([false, true].map((noisy) => show({ noisy, views: 60 })));
    for (const method of ['fbp', 'sirt', 'tv'] as const) expect(noisy.scores[method], method).toBeGreaterThan(calm.scores[method]);
  });

  it('shows differences as picture less truth, with the same errors', async () => {
    const [plain, less] = [await show({ views: 20 }), await show({ views: 20, beside: 'differences' })];
    expect(less.scores).toEqual(plain.scores);
    for (const i of [3000, 8000, 9000]) expect(less.pictures!.tv.data[i]).toBeCloseTo(plain.pictures!.tv.data[i] - plain.pictures!.truth.data[i], 7);
  });

  it('gives the prior a strength in proportion to views and contrast, and to a pixel’s area', () => {
    expect(strengthFor(1, 10, 0.02, 0.5)).toBeCloseTo(0.05, 12);
    expect(strengthFor(1, 20, 0.02, 0.5)).toBeCloseTo(0.1, 12);
  });

  it('says the three errors in words', async () => {
    const result = await show();
    expect(priors.describe(priors.initial, result, specimen('head'))).toMatch(/^Head phantom from 24 views over half a turn, with noise of 1 %\. .* by filtered backprojection, .* by SIRT .* by total variation of strength/);
  });

  it('sketches only what has not been made whole', async () => {
    const state = { ...priors.initial, views: 37 };
    const coarse = priors.sketch!(state, specimen('capsule')) as Steps<PriorsResult>;
    const { pictures, scores } = finish(coarse);
    expect(pictures!.tv.width).toBeLessThan(64);
    expect(scores.tv).toBeLessThan(scores.fbp);
    await show({ views: 37 }, specimen('capsule'));
    expect(priors.sketch!(state, specimen('capsule'))).toBeUndefined();
  });
});

describe('thinned(sinogram, geometry, step, cells)', () => {
  const geometry = fanBeam({ views: 4, detectors: 6, pitch: 0.5, sourceToAxis: 100, sourceToDetector: 150 });
  const sinogram = { views: 4, detectors: 6, data: Float32Array.from({ length: 24 }, (_, i) => i) };

  it('takes every so-manieth view and the mean of neighbouring cells, and keeps the detector’s width', () => {
    const less = thinned(sinogram, geometry, 2, 3);
    expect(less.geometry.angles).toEqual([0, Math.PI]);
    expect([less.geometry.detectors, less.geometry.pitch]).toEqual([2, 1.5]);
    expect(Array.from(less.sinogram.data)).toEqual([1, 4, 13, 16]);
  });
  it('says what is wrong with cells that do not come out even', () => expect(() => thinned(sinogram, geometry, 1, 4)).toThrow('6 cells cannot be put together by 4'));
});

describe('the measured disc', () => {
  afterEach(() => vi.unstubAllGlobals());

  it('says in a sentence that it was not there, and shows nothing in its place', async () => {
    // The worker and the page fetch the file; here there is neither, and the answer is made up.
    vi.resetModules();
    vi.stubGlobal('self', { location: { href: 'https://example.org/book/_astro/worker.js' } });
    vi.stubGlobal('fetch', async () => new Response(JSON.stringify({ there: false })));
    const fresh = await import('../../src/widgets/priors/model.ts');
    const state = { ...fresh.priors.initial, object: 'disc' } as const;
    const result = (await fresh.priors.compute(state, specimen('head'))) as PriorsResult;
    expect(result.pictures).toBeUndefined();
    expect(fresh.priors.describe(state, result, specimen('head'))).toBe(missing);
    expect(missing).toMatch(/10\.5281\/zenodo\.7418878.*CC BY 4\.0.*Your own scan/);
    expect(fresh.priors.exports!(state, result, specimen('head'))).toEqual({});
  });

  it('says in a sentence that its file cannot be had', async () => {
    vi.resetModules();
    vi.stubGlobal('self', { location: { href: 'https://example.org/book/_astro/worker.js' } });
    vi.stubGlobal('fetch', async () => new Response('', { status: 404 }));
    const fresh = await import('../../src/widgets/priors/model.ts');
    await expect(fresh.priors.compute({ ...fresh.priors.initial, object: 'disc' }, specimen('head'))).rejects.toThrow('could not be fetched');
  });
});

if (!hasMeasured) console.warn('The plate’s measured disc was not tried: ../shared/measured is not there.');

describe.skipIf(!hasMeasured)('the measured disc itself (skipped where ../shared/measured is not there)', () => {
  const scan = hasMeasured ? readScan(readFileSync(new URL('disc-01a/scan.json', measuredFolder)).toString()) : undefined!;
  const measured = () => {
    const { shape: [rows, columns], data } = readNpy(readFileSync(new URL('disc-01a/sinogram.npy', measuredFolder)));
    const { geometry, sinogram } = thinned(scanSinogram(scan, { rows, columns, data }), scanGeometry(scan) as FanBeam, 2, 4);
    const { angles, detectors, pitch, sourceToAxis, sourceToDetector } = geometry;
    return unpack({ there: true, title: 'disc', credit: '', angles, detectors, pitch, sourceToAxis, sourceToDetector, data: Buffer.from(sinogram.data.buffer).toString('base64') })!;
  };

  it('comes through the file as it was, and from all its views looks as its makers have it', () => {
    const { picture, solid, grid } = reference(measured(), 128);
    const theirs = readNpy(readFileSync(new URL('disc-01a/segmentation.npy', measuredFolder))).data;
    // Their 512² pixels of 0.148 mm under the middles of these.
    const fine = 0.1483223173330444;
    const seen = Uint8Array.from(picture.data, (_, i) => {
      const at = (k: number) => Math.min(511, Math.max(0, Math.floor(((k + 0.5 - 64) * grid.pixelSize) / fine + 256)));
      return theirs[at(Math.floor(i / 128)) * 512 + at(i % 128)];
    });
    expect(matthews(solid, seen)).toBeGreaterThan(0.97);
  });

  it('loses little to few views with total variation: more of the disc is kept than by fbp from 12 and 20', async () => {
    const all = measured();
    expect(fewOf(all, 12).geometry.angles).toHaveLength(12);
    vi.stubGlobal('fetch', undefined);
    vi.resetModules();
    vi.stubGlobal('self', { location: { href: 'https://example.org/book/_astro/worker.js' } });
    const { angles, detectors, pitch, sourceToAxis, sourceToDetector } = all.geometry;
    vi.stubGlobal('fetch', async () => new Response(JSON.stringify({ there: true, title: 'disc', credit: 'who', angles, detectors, pitch, sourceToAxis, sourceToDetector, data: Buffer.from(all.sinogram.data.buffer).toString('base64') })));
    const fresh = await import('../../src/widgets/priors/model.ts');
    for (const views of [12, 20]) {
      const { scores, credit } = finish((await fresh.priors.compute({ ...fresh.priors.initial, object: 'disc', views }, specimen('head'))) as Steps<PriorsResult>);
      expect(scores.tv, `${views} views`).toBeGreaterThan(scores.fbp);
      expect(scores.tv).toBeGreaterThan(0.98);
      expect(credit).toBe('who');
    }
    vi.unstubAllGlobals();
  });
});
