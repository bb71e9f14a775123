import { detectorIndex, detectorPosition } from '../geometry/detector-position.ts';
import { rayOf } from '../geometry/ray-of.ts';
import { profile } from '../measure/profile.ts';
import { projectPhantom } from '../phantom/project-phantom.ts';
import { gaussian, type Phantom } from '../phantom/shapes.ts';
import { sheppLogan } from '../phantom/shepp-logan.ts';
import { backproject } from '../reconstruct/backproject.ts';
import { fbp } from '../reconstruct/fbp.ts';
import type { Grid, Image } from '../types.ts';
import type { Check, LoadFixture } from './check.ts';
import { fixtureArray } from './fixture.ts';
import { differences, laidPicture, named, numpyHann, octavePicture, octaveScan, sampledRamp, scikitScan, type Scan, type WindowFor } from './peers.ts';

/**
 * The same sinograms reconstructed, and the same pictures projected, by scikit-image and by Octave: check values E16 to E24. Their
 * conventions are put right (see peers.ts) and the tolerances left alone. Both of them halve an unfiltered backprojection.
 */

const largest = (values: readonly number[]) => values.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
const rootMeanSquare = (values: readonly number[]) => Math.sqrt(mean(values.map((value) => value * value)));

async function againstScikit(load: LoadFixture, object: string, n: number, views: number, filter: string, window: WindowFor, factor = 1): Promise<number[]> {
  const { sinogram, geometry, grid, axis } = await scikitScan(load, object, n, views);
  const theirs = await fixtureArray(load, `skimage_iradon_${object}_${n}_${views}_${filter}`);
  return differences(fbp(sinogram, geometry, { window: window(geometry.detectors), grid }), theirs.data, axis, Math.floor(n / 2), factor);
}

async function againstOctave(load: LoadFixture, n: number, views: number, filter: string, window: WindowFor, factor = 1): Promise<number[]> {
  const scan = await octaveScan(load, 'toft', n, views);
  const theirs = await fixtureArray(load, `octave_iradon_toft_${n}_${views}_${filter}`);
  const ours = fbp(scan.sinogram, scan.geometry, { window: window(scan.geometry.detectors), grid: octavePicture(scan) });
  return differences(ours, theirs.data, scan.axis, Math.floor(n / 2) - 2, factor);
}

/** rms difference between our reconstruction of their sinogram and the picture that it was made from. */
async function againstPicture(load: LoadFixture, object: string, n: number, views: number, window: 'ramp' | 'hann'): Promise<number> {
  const { sinogram, geometry, grid, axis } = await scikitScan(load, object, n, views);
  const picture = await fixtureArray(load, `image_${object}_${n}`);
  return rootMeanSquare(differences(fbp(sinogram, geometry, { window, grid }), picture.data, axis, Math.floor(n / 2) - 1 - 1e-9));
}

/** The fixtures' objects on a square −1…1 of n pixels, moved so that the axis pixel is at (0, 0). */
function phantomOn(object: 'toft' | 'blobs', { centre = [0, 0], width: n }: Grid): Phantom {
  const [x, y] = centre;
  const blobs = [[1, 0.3, 0.25, 0.16], [0.6, -0.4, 0.1, 0.1], [0.8, 0.05, -0.45, 0.12]] as const;
  const shapes = object === 'toft' ? sheppLogan({ variant: 'high-contrast', size: n, scale: 1 })
    : blobs.map(([value, cx, cy, sigma]) => gaussian((cx * n) / 2, (cy * n) / 2, (sigma * n) / 2, value));
  return shapes.map((shape) => ({ ...shape, x: shape.x + x, y: shape.y + y }));
}

/** How far their sinogram lies from the exact one, averaged over the cells: rms difference over rms value. */
async function fromExact(scan: Promise<Scan>, object: 'toft' | 'blobs', cells: number): Promise<number> {
  const { sinogram, geometry, grid } = await scan;
  const exact = projectPhantom(phantomOn(object, grid), geometry, { cell: 'average' });
  const within = Array.from(exact.data, (_, i) => i).filter((i) => {
    const s = detectorPosition(geometry, i % sinogram.detectors);
    return s >= -Math.floor(cells / 2) - 1e-6 && s <= Math.ceil(cells / 2) - 1 + 1e-6;
  });
  return rootMeanSquare(within.map((i) => sinogram.data[i] - exact.data[i])) / rootMeanSquare(within.map((i) => exact.data[i]));
}

/** scikit-image's radon at one cell and view: the picture, read between its pixels at unit steps along our ray, and summed. */
async function alongRay(load: LoadFixture, cell: number, view: number): Promise<number> {
  const { geometry, grid, axis } = await scikitScan(load, 'toft', 64, 90);
  const picture: Image = { ...grid, data: (await fixtureArray(load, 'image_toft_64')).data };
  const { s, theta } = rayOf(geometry, view, detectorIndex(geometry, cell - axis[0]));
  const at = (t: number): [number, number] => [s * Math.cos(theta) - t * Math.sin(theta), s * Math.sin(theta) + t * Math.cos(theta)];
  const reach = Math.floor(Math.sqrt(31 ** 2 - s ** 2)); // beyond, the picture is 0
  return profile(picture, at(-reach), at(reach), 2 * reach + 1).value.reduce((sum, value) => sum + value, 0);
}

/**
 * Octave's radon at one cell and view: each pixel in four, each quarter shared between its two nearest cells. That is the transpose of
 * backprojection with linear interpolation, so it is the picture times the backprojection of a 1 in that cell.
 */
async function spread(load: LoadFixture, row: number, view: number): Promise<number> {
  const { sinogram, geometry, grid, axis } = await octaveScan(load, 'toft', 64, 90);
  const picture = await fixtureArray(load, 'image_toft_64');
  const data = new Float32Array(sinogram.data.length);
  data[view * sinogram.detectors + row - 34 + (sinogram.detectors - 1) / 2] = 1;
  const n = grid.width;
  const quarters = backproject({ ...sinogram, data }, geometry, { ...laidPicture(n, axis), width: 2 * n, height: 2 * n, pixelSize: 0.5 });
  let sum = 0;
  quarters.data.forEach((weight, i) => {
    const pixel = Math.floor(i / (4 * n)) * n + Math.floor((i % (2 * n)) / 2);
    sum += (weight * picture.data[pixel]) / 4;
  });
  return sum;
}

async function pixelOf(load: LoadFixture, row: number, column: number): Promise<number> {
  const { sinogram, geometry, grid } = await scikitScan(load, 'toft', 64, 90);
  return fbp(sinogram, geometry, { window: 'ramp', grid }).data[row * 64 + column];
}

const scikitImage = 'scikit-image 0.19.3';
const octave = 'GNU Octave 7.3.0, image 2.14.0';
const exactly = (radon: string) => `${radon}, against the mean of 256 exact rays a cell in NumPy 1.24.2`;

function check(id: string, what: string, expected: number, tolerance: number, source: string, ours: Check['ours'], kind: Check['kind'] = 'absolute'): Check {
  return { id, what, expected, tolerance, kind, source, ours };
}

/** object, size, views; the first is the one that the check value names. */
const scans: readonly ScanName[] = [
  ['toft', 64, 180], ['toft', 64, 90], ['toft', 64, 45], ['toft', 65, 180], ['toft', 65, 90], ['toft', 65, 45], ['toft', 128, 90], ['blobs', 65, 90],
];
type ScanName = readonly [object: string, n: number, views: number];
const inWords = ([object, n, views]: ScanName) => `${object === 'toft' ? 'the head' : 'three blobs'}, ${n}², ${views} views`;

export const parityChecks: readonly Check[] = [
  ...scans.map((scan, i) => check(`E16.${i + 1}`, `largest difference from iradon, ramp, anywhere in the circle: ${inWords(scan)}`, 0, 1e-6, scikitImage,
    async (load) => largest(await againstScikit(load, ...scan, 'ramp', named('ramp'))))),
  ...scans.map((scan, i) => check(`E17.${i + 1}`, `largest difference from iradon, hann, with their window, which is half a step of frequency aside: ${inWords(scan)}`, 0, 1e-6, scikitImage,
    async (load) => largest(await againstScikit(load, ...scan, 'hann', numpyHann)))),
  check('E17.9', `largest difference from iradon, hann, with our own window: ${inWords(scans[0])}`, 0, 1.3e-3, scikitImage, async (load) => largest(await againstScikit(load, ...scans[0], 'hann', named('hann')))),
  ...scans.slice(0, 6).map((scan, i) => check(`E18.${i + 1}`, `largest difference from iradon without a filter, halved as theirs is: ${inWords(scan)}`, 0, 2e-6, scikitImage,
    async (load) => largest(await againstScikit(load, ...scan, 'none', named('none'), 0.5)))),
  check('E19.1', 'mean by which iradon of Octave, |f| sampled, lies below ours: the head, 64², 90 views', 4.11e-3, 5e-6, octave, async (load) => mean(await againstOctave(load, 64, 90, 'ram-lak', named('ramp')))),
  check('E19.2', 'most by which iradon of Octave, |f| sampled, lies below ours: the head, 64², 90 views', 4.14e-3, 5e-6, octave, async (load) => largest(await againstOctave(load, 64, 90, 'ram-lak', named('ramp')))),
  check('E19.3', 'largest difference from iradon of Octave with |f| sampled in ours too: the head, 64², 90 views', 0, 1e-6, octave, async (load) => largest(await againstOctave(load, 64, 90, 'ram-lak', sampledRamp))),
  check('E19.4', 'largest difference from iradon of Octave with |f| sampled in ours too: the head, 65², 90 views', 0, 1e-6, octave, async (load) => largest(await againstOctave(load, 65, 90, 'ram-lak', sampledRamp))),
  check('E19.5', 'largest difference from iradon of Octave without a filter, halved as theirs is: the head, 64², 90 views', 0, 2e-6, octave, async (load) => largest(await againstOctave(load, 64, 90, 'none', named('none'), 0.5))),
  check('E20.1', 'how far radon lies from our exact sinogram, rms over rms: the head, 64², 90 views', 0.030263, 1e-3, exactly(scikitImage), (load) => fromExact(scikitScan(load, 'toft', 64, 90), 'toft', 64), 'relative'),
  check('E20.2', 'how far radon lies from our exact sinogram, rms over rms: the head, 128², 90 views', 0.014543, 1e-3, exactly(scikitImage), (load) => fromExact(scikitScan(load, 'toft', 128, 90), 'toft', 128), 'relative'),
  check('E20.3', 'how far radon lies from our exact sinogram, rms over rms: three blobs, 65², 90 views', 0.00163937, 1e-3, exactly(scikitImage), (load) => fromExact(scikitScan(load, 'blobs', 65, 90), 'blobs', 65), 'relative'),
  check('E20.4', 'how far radon of Octave lies from our exact sinogram: the head, 64², 90 views', 0.0370637, 1e-3, exactly(octave), (load) => fromExact(octaveScan(load, 'toft', 64, 90), 'toft', Infinity), 'relative'),
  check('E20.5', 'how far radon of Octave lies from our exact sinogram: three blobs, 65², 90 views', 0.00285789, 1e-3, exactly(octave), (load) => fromExact(octaveScan(load, 'blobs', 65, 90), 'blobs', Infinity), 'relative'),
  ...([
    ['toft', 64, 45, 0.06082, 0.10014], ['toft', 64, 90, 0.0592, 0.1], ['toft', 64, 180, 0.05911, 0.10001], ['toft', 128, 90, 0.04143, 0.07228], ['blobs', 65, 90, 0.00251, 0.00622],
  ] as const).flatMap(([object, n, views, ramp, hann], i) => (['ramp', 'hann'] as const).map((window, j) =>
    check(`E21.${2 * i + j + 1}`, `rms error of the reconstruction in the circle, ${window}: ${inWords([object, n, views])}`, window === 'ramp' ? ramp : hann, 0.02, scikitImage,
      (load) => againstPicture(load, object, n, views, window), 'relative'))),
  ...([[32, 45, 6.646875], [21, 22, 8.615799], [42, 30, 10.966004], [16, 67, 9.371966]] as const).map(([cell, view, expected], i) =>
    check(`E22.${i + 1}`, `radon of the head, 64², 90 views, at cell ${cell}, view ${view}: the picture summed along our ray`, expected, 1e-5, scikitImage, (load) => alongRay(load, cell, view))),
  ...([[32, 32, 0.203663], [21, 16, 0.195947], [42, 21, 0.203215], [16, 48, 0.297642]] as const).map(([row, column, expected], i) =>
    check(`E23.${i + 1}`, `iradon of the head, 64², 90 views, ramp, at row ${row}, column ${column}`, expected, 1e-5, scikitImage, (load) => pixelOf(load, row, column))),
  ...([[34, 45, 6.769531], [23, 22, 8.662458], [46, 30, 11.274958]] as const).map(([cell, view, expected], i) =>
    check(`E24.${i + 1}`, `radon of the head, 64², 90 views, at cell ${cell}, view ${view}: the picture times our backprojection of a 1 there`, expected, 1e-5, octave, (load) => spread(load, cell, view))),
];
