import { decode } from 'fast-png';
import { describe, expect, test } from 'vitest';
import { develop, fullWindow } from '../../src/widgets/film/grey.ts';
import { barLength, short } from '../../src/widgets/film/numbers.ts';
import { still } from '../../src/widgets/film/still.ts';

const ramp = { width: 5, height: 1, data: Float32Array.of(-1, 0, 0.5, 1, 7) };
const levels = (picture: typeof ramp, window: [number, number], map: 'grey' | 'cividis' = 'grey') => {
  const pixels = new Uint8ClampedArray(picture.width * picture.height * 4);
  develop(picture, window, map, pixels);
  return pixels;
};

describe('develop(picture, window, map, pixels)', () => {
  test('shows the window from black to white and what lies outside it as its ends', () => {
    expect([...levels(ramp, [0, 1])].filter((_, i) => i % 4 === 0)).toEqual([0, 0, 128, 255, 255]);
    expect([...levels(ramp, [0, 1])].filter((_, i) => i % 4 === 3)).toEqual([255, 255, 255, 255, 255]);
  });
  test('turned round, the window gives the negative', () => {
    expect([...levels(ramp, [1, 0])].filter((_, i) => i % 4 === 0)).toEqual([255, 255, 128, 0, 0]);
  });
  test('shows what is no number as black', () => {
    expect([...levels({ width: 2, height: 1, data: Float32Array.of(NaN, 1) }, [0, 1])].slice(0, 4)).toEqual([0, 0, 0, 255]);
  });
  // Ends of the map in matplotlib 3.6.3: (0, 34, 78) and (254, 232, 56). The package fits it by polynomials, which end within 3 and 13 of these.
  test('cividis runs from dark blue to yellow', () => {
    const pixels = levels(ramp, [0, 1], 'cividis');
    [0, 34, 78].forEach((value, i) => expect(Math.abs(pixels[i] - value), `channel ${i}`).toBeLessThanOrEqual(3));
    [254, 232, 56].forEach((value, i) => expect(Math.abs(pixels[16 + i] - value), `channel ${i}`).toBeLessThanOrEqual(13));
  });
});

test('fullWindow(data) passes over what is no finite number, and never has no width', () => {
  expect(fullWindow([3, NaN, -2, Infinity, -Infinity])).toEqual([-2, 3]);
  expect(fullWindow([4, 4])).toEqual([3.5, 4.5]);
  expect(fullWindow([])).toEqual([0, 1]);
});

test('still(picture, window, map) is a PNG of the same greys', () => {
  const png = decode(Buffer.from(still(ramp, [0, 1], 'grey').split(',')[1], 'base64'));
  expect([png.width, png.height, png.channels, [...png.data]]).toEqual([5, 1, 1, [0, 0, 128, 255, 255]]);
});

test('short(value) keeps three figures and a true minus', () => {
  expect([0, 0.0229, -12.345, 1234.5, 1e-6, -3.2e7].map((value) => short(value))).toEqual(['0', '0.0229', '−12.3', '1230', '1·10⁻⁶', '−3.2·10⁷']);
});

test('barLength(width) is the roundest length up to a quarter', () => {
  expect([80, 200, 3, 7.9, 0.05].map(barLength)).toEqual([20, 50, 0.5, 1, 0.01]);
});
