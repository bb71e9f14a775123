import { describe, expect, it } from 'vitest';
import { specimen } from '../../src/widgets/specimen/specimen.ts';
import { margin, rotated, turningPlate, type TurningResult } from '../../src/widgets/turning/model.ts';

const bead = specimen('bead');
const capsule = specimen('capsule');
/** Nothing in it is thinner than a pixel of the film, as the capsule's spring is. */
const head = specimen('head');
const result = (change: Partial<typeof turningPlate.initial>, subject = bead) => turningPlate.compute({ ...turningPlate.initial, ...change }, subject) as TurningResult;

describe('turning plate', () => {
  it.each([[0, 3], [30, 4.598076], [90, 4], [180, -3]])('the marked point (3, 4) falls at the sinusoid’s place at %d° (check value B12)', (angle, s) => {
    const { point } = result({ angle, x: (100 * 3) / bead.radius, y: (100 * 4) / bead.radius });
    expect(point.s).toBeCloseTo(s, 5);
  });

  it.each([0, 37, 90, 200, 333])('the shadow drawn under the turned object is the shadow of what the film shows, at %d°', (angle) => {
    const { picture, shadow, position } = result({ angle, turns: 'object' }, head);
    // Columns of the film summed, against the exact shadow read at the columns' places: both see the same object, up to pixels.
    let difference = 0;
    let size = 0;
    for (let column = 0; column < picture.width; column++) {
      const s = (column - (picture.width - 1) / 2) * picture.pixelSize;
      if (Math.abs(s) > head.radius * 0.95) continue;
      let sum = 0;
      for (let row = 0; row < picture.height; row++) sum += picture.data[row * picture.width + column] * picture.pixelSize;
      const at = (s - position[0]) / (position[1] - position[0]);
      const cell = Math.floor(at);
      difference += (sum - (shadow[cell] * (1 - at + cell) + shadow[cell + 1] * (at - cell))) ** 2;
      size += sum ** 2;
    }
    expect(Math.sqrt(difference / size), 'relative rms between film and shadow').toBeLessThan(0.06);
  });

  it('rows of the sinogram after the present view are not there yet', () => {
    const { sinogram, shadow } = result({ angle: 100 }, capsule);
    expect(Array.from(sinogram.data.subarray(100 * 128, 101 * 128))).toEqual(Array.from(shadow));
    expect(sinogram.data.subarray(101 * 128).every((value) => value === 0)).toBe(true);
  });

  it('a quarter turn counter-clockwise moves a pixel on the right to the top', () => {
    const image = { width: 9, height: 9, pixelSize: margin, data: new Float32Array(81) };
    image.data[4 * 9 + 7] = 1;
    const turned = rotated(image, Math.PI / 2);
    expect(turned.data.indexOf(Math.max(...turned.data))).toBe(1 * 9 + 4);
  });

  it('says in words where the deepest shadow and the marked point are', () => {
    const state = { ...turningPlate.initial, angle: 0, x: 50, y: 0 };
    const said = turningPlate.describe(state, turningPlate.compute(state, bead) as TurningResult, bead);
    expect(said).toContain('View at 0°');
    expect(said).toContain('falls at s = 16.0 mm');
  });
});
