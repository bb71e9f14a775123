import { describe, expect, it } from 'vitest';
import { disc, gaussian, rasterize, type Grid } from '../../src/lib/index.ts';
import { fourierSlice, partOf, type FourierSliceResult, type FourierSliceState } from '../../src/widgets/fourier-slice/model.ts';
import { alongLine, planeOf } from '../../src/widgets/fourier-slice/plane.ts';
import { specimen, type Specimen } from '../../src/widgets/specimen/specimen.ts';

const grid: Grid = { width: 64, height: 64, pixelSize: 0.5 };
const show = (change: Partial<FourierSliceState> = {}, subject: Specimen = specimen('head')) => fourierSlice.compute({ ...fourierSlice.initial, ...change }, subject) as FourierSliceResult;

describe('planeOf(image)', () => {
  it('has the total attenuation of the picture at u = v = 0', () => {
    const image = rasterize([disc(3, -2, 6, 0.02)], grid);
    const plane = planeOf(image);
    const middle = (plane.size / 2 - 1) * plane.size + plane.size / 2;
    expect(plane.real[middle]).toBeCloseTo(image.data.reduce((sum, value) => sum + value, 0) * grid.pixelSize ** 2, 5);
    expect(plane.real[middle] / (0.02 * Math.PI * 36), 'the disc’s area, from 8 × 8 points a pixel').toBeCloseTo(1, 2);
    expect(plane.imaginary[middle]).toBeCloseTo(0, 6);
  });

  it('is the transform of a Gaussian, phase and all: A·2πσ²·exp(−2π²σ²f²)·exp(−2πi(ux₀ + vy₀))', () => {
    const [sigma, x, y] = [2, 3, -5];
    const plane = planeOf(rasterize([gaussian(x, y, sigma, 0.02)], grid));
    const column = plane.size / 2 + 3, row = plane.size / 2 - 1 - 2; // u = 3 steps, v = 2 steps
    const [u, v] = [3 * plane.step, 2 * plane.step];
    const sinc = (f: number) => Math.sin(Math.PI * f * grid.pixelSize) / (Math.PI * f * grid.pixelSize); // each pixel is a mean over its square
    const strength = 0.02 * 2 * Math.PI * sigma ** 2 * Math.exp(-2 * (Math.PI * sigma) ** 2 * (u * u + v * v)) * sinc(u) * sinc(v);
    const turn = -2 * Math.PI * (u * x + v * y);
    expect(plane.real[row * plane.size + column]).toBeCloseTo(strength * Math.cos(turn), 3);
    expect(plane.imaginary[row * plane.size + column]).toBeCloseTo(strength * Math.sin(turn), 3);
  });
});

describe('alongLine(image, theta, frequency)', () => {
  it('agrees with the whole plane on its mesh, the weakening by the square pixel divided out', () => {
    const image = rasterize([disc(-4, 2, 6, 0.02), disc(5, -3, 3, 0.05)], grid);
    const plane = planeOf(image);
    const k = 5;
    const { real, imaginary } = alongLine(image, Math.PI / 2, [k * plane.step]);
    const at = (plane.size / 2 - 1 - k) * plane.size + plane.size / 2;
    const edge = Math.PI * k * plane.step * image.pixelSize;
    expect(real[0] * (Math.sin(edge) / edge)).toBeCloseTo(plane.real[at], 8);
    expect(imaginary[0] * (Math.sin(edge) / edge)).toBeCloseTo(plane.imaginary[at], 8);
  });
});

describe('the plate fourier-slice', () => {
  it.each([0, 30, 77, 135])('finds the transform of the view at %i° on the line of the plane, to less than one per cent of the total', (angle) => {
    // Pixels of the picture and cells of the view are means and samples: both mistake the finest waves a little, the thin spring's most.
    expect(show({ angle }, specimen('head')).difference).toBeLessThan(0.0025);
    expect(show({ angle }, specimen('capsule')).difference).toBeLessThan(0.006);
  });

  it('finds a wrong line different: the theorem is not true by construction', () => {
    const { object, view, frequency } = show({ angle: 30 }, specimen('capsule'));
    const wrong = alongLine(object, (60 * Math.PI) / 180, frequency);
    const off = Math.sqrt(view.real.reduce((sum, value, k) => sum + (value - wrong.real[k]) ** 2 + (view.imaginary[k] - wrong.imaginary[k]) ** 2, 0) / frequency.length);
    expect(off / Math.abs(view.real[0])).toBeGreaterThan(0.02);
  });

  it('covers the plane inside the radius where spokes touch, and more of it with more views', () => {
    const shares = [1, 12, 60, 180].map((laid) => show({ laid }, specimen('bead')).covered);
    for (let k = 1; k < shares.length; k++) expect(shares[k]).toBeGreaterThan(shares[k - 1]);
    // One spoke is a strip of one step across a disc of 64 steps radius.
    expect(shares[0]).toBeCloseTo(128 / (Math.PI * 64 ** 2), 2);
    const { closed, nyquist } = show({ laid: 60 }, specimen('bead'));
    expect(closed / nyquist).toBeCloseTo(60 / (Math.PI * 64), 6);
  });

  it('paints what the views measured, and it looks like the transform of the picture', () => {
    const { plane, filled } = show({ laid: 180 });
    const painted = [...filled.data.keys()].filter((i) => filled.data[i] > -3 && plane.data[i] > -3);
    expect(painted.length).toBeGreaterThan(300);
    const off = painted.reduce((sum, i) => sum + Math.abs(filled.data[i] - plane.data[i]), 0) / painted.length;
    expect(off, 'mean difference in powers of ten').toBeLessThan(0.25);
  });

  it('draws strength in powers of ten and parts as shares of the total', () => {
    const line = { real: Float64Array.of(10, 0.1), imaginary: Float64Array.of(0, 0) };
    expect([...partOf(line, 'strength', 10)]).toEqual([0, -2]);
    expect([...partOf(line, 'real', 10)]).toEqual([1, 0.01]);
  });

  it('says in words which line was measured and how far the spokes touch', () => {
    const state = { ...fourierSlice.initial, angle: 45, laid: 12 };
    const words = fourierSlice.describe(state, show(state), specimen('head'));
    expect(words).toContain('45°');
    expect(words).toContain('12 views');
    expect(words).toMatch(/touch out to 0\.0\d+ cycles\/mm/);
  });
});
