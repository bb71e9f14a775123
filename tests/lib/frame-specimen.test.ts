import { describe, expect, test } from 'vitest';
import { mass, parallelBeam, type Image } from '../../src/lib/index.ts';
import { gridFor, ownSpecimen, pictureOf, shadowsOf, specimen } from '../../src/widgets/specimen/specimen.ts';

const sum = (data: ArrayLike<number>) => Array.from(data).reduce((total, value) => total + value, 0);
const massOf = (image: Image) => sum(image.data) * image.pixelSize ** 2;

describe.each(['head', 'capsule', 'bead'] as const)('specimen %s', (id) => {
  const subject = specimen(id);
  const grid = gridFor(subject);

  test('lies within its radius: no mass is lost on its grid', () => {
    expect(massOf(pictureOf(subject, grid)) / mass(subject.phantom!)).toBeCloseTo(1, 2);
  });

  test('has no negative attenuation, and white is near its greatest', () => {
    const { data } = pictureOf(subject, gridFor(subject, 256));
    expect(Math.min(...data)).toBeGreaterThan(-1e-6);
    const white = Array.from(data).filter((value) => value > 1.02 * subject.white).length;
    expect(white / data.length, 'share of the picture that is whiter than white').toBeLessThan(0.001);
    expect(Math.max(...data)).toBeGreaterThan(0.85 * subject.white);
  });

  test('known only as a picture, it throws the same shadows', () => {
    const own = ownSpecimen(pictureOf(subject, gridFor(subject, 256)));
    const beam = parallelBeam({ views: 6, detectors: 64, pitch: (2 * subject.radius) / 64 });
    const [exact, joseph] = [shadowsOf(subject, beam).data, shadowsOf(own, beam).data];
    const rms = Math.sqrt(sum(exact.map((p, i) => (p - joseph[i]) ** 2)) / exact.length);
    expect(rms / Math.max(...exact), 'rms difference as a share of the darkest ray').toBeLessThan(0.03);
  });
});

describe('ownSpecimen(image)', () => {
  const data = Float32Array.from({ length: 100 * 60 }, (_, i) => 0.01 + 0.01 * Math.sin(i / 40));
  const own = ownSpecimen({ width: 100, height: 60, pixelSize: 0.4, data });

  test('is held by a square grid, and its pixels by area', () => {
    expect(own.radius).toBe(20);
    const image = pictureOf(own, gridFor(own, 50));
    expect(massOf(image) / (sum(data) * 0.16)).toBeCloseTo(1, 2);
    expect(image.data[0]).toBe(0);
  });

  test('on a grid like its own, it is itself', () => {
    const image = pictureOf(own, { width: 100, height: 60, pixelSize: 0.4 });
    image.data.forEach((value, i) => expect(value).toBeCloseTo(data[i], 6));
  });
});
