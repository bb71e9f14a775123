import { describe, expect, test } from 'vitest';
import fc from 'fast-check';
import {
  addGlare, averageFrames, binFrame, blur, divideByFlat, estimateFlat, evenExposure, fillColumns, findBadPixels, findDeadColumns, findSpots, glareFromOpaque, hardeningCurve, levelTogether,
  linearAttenuation, manyEnergies, mendPixels, openRegion, removeGlare, removeSpots, straightened, subtractDark, suggestedBin, suppressRings, suppressRingsOf, takeLogarithm, workingSize,
  type Light, type Projections,
} from '../../src/lib/index.ts';
import { refusal } from './support/bad-input.ts';
import { random } from './support/simulated-photographs.ts';

const lightOf = (width: number, height: number, value: (x: number, y: number) => number): Light => ({ width, height, data: Float32Array.from({ length: width * height }, (_, i) => value(i % width, Math.floor(i / width))) });
const mean = (data: ArrayLike<number>) => Array.from(data).reduce((sum, value) => sum + value, 0) / data.length;
const next = random(21);
const normal = () => Math.sqrt(-2 * Math.log(1 - next())) * Math.cos(2 * Math.PI * next());
const smallLight = fc.tuple(fc.integer({ min: 1, max: 12 }), fc.integer({ min: 1, max: 12 })).chain(([width, height]) => fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { minLength: width * height, maxLength: width * height }).map((values) => ({ width, height, data: Float32Array.from(values) })));

describe('averageFrames(what)', () => {
  test('is the mean of every pixel', () => {
    const frames = averageFrames('The flat frames');
    for (const shift of [0, 3, 6]) frames.add(lightOf(4, 3, (x, y) => x + 10 * y + shift));
    expect([...frames.mean().light.data]).toEqual([...lightOf(4, 3, (x, y) => x + 10 * y + 3).data]);
  });

  test('leaves a spot in one frame out, and nothing else: the mean stays that of the noise', () => {
    const frames = averageFrames('The dark frames');
    for (let k = 0; k < 4; k++) {
      const frame = lightOf(60, 50, () => 0.1 + 0.01 * normal());
      frame.data[700 + k] += 0.5;
      frames.add(frame);
    }
    const { light, outliers, frames: count } = frames.mean();
    expect(count).toBe(4);
    expect(outliers).toBeGreaterThanOrEqual(4);
    expect(outliers, 'pixels of mere noise that were taken for spots').toBeLessThan(8);
    for (let k = 0; k < 4; k++) expect(light.data[700 + k], 'the spot is gone').toBeLessThan(0.14);
    expect(mean(light.data), 'leaving the brightest of four out everywhere would give 0.0966').toBeCloseTo(0.1, 3);
  });

  test('frames of two sizes, and none at all, are refused', async () => {
    const frames = averageFrames('The dark frames');
    expect(await refusal(() => frames.mean())).toBe('The dark frames are missing.');
    frames.add(lightOf(2, 2, () => 1));
    expect(await refusal(() => frames.add(lightOf(3, 2, () => 1)))).toContain('3 × 2 pixels and 2 × 2');
  });
});

test('subtractDark takes the dark off and leaves what falls below zero', () => {
  const light = lightOf(3, 1, (x) => x);
  subtractDark(light, lightOf(3, 1, () => 1));
  expect([...light.data]).toEqual([-1, 0, 1]);
});

describe('bad pixels', () => {
  test('hot ones are found in the dark frame, dead and blind ones and a dead column in the flat', () => {
    const dark = lightOf(40, 30, () => 0.005 + 0.0005 * normal());
    const flat = lightOf(40, 30, (x, y) => 0.6 + 0.002 * x - 0.001 * y + 0.006 * normal());
    dark.data[5 * 40 + 7] = 0.2;
    flat.data[12 * 40 + 20] = 0.1;
    flat.data[0] = 0;
    for (let y = 0; y < 30; y++) flat.data[y * 40 + 33] = 0.05;
    const { hot, dead } = findBadPixels(dark, flat);
    expect(hot).toEqual([5 * 40 + 7]);
    expect(new Set(dead)).toEqual(new Set([12 * 40 + 20, 0, ...Array.from({ length: 30 }, (_, y) => y * 40 + 33)]));
  });

  test('noise and vignetting are no bad pixels; without frames there are none', () => {
    expect(findBadPixels(undefined, lightOf(50, 50, (x, y) => 0.5 - 0.0001 * ((x - 25) ** 2 + (y - 25) ** 2) + 0.02 * normal()))).toEqual({ hot: [], dead: [] });
    expect(findBadPixels(undefined, undefined)).toEqual({ hot: [], dead: [] });
  });

  test('mendPixels puts the median of the good ones around, of bad blocks too', () => {
    const light = lightOf(9, 9, (x) => x);
    const bad = [30, 31, 39, 40, 41, 49].concat(0);
    for (const i of bad) light.data[i] = 1000;
    mendPixels(light, bad);
    for (const i of bad) expect(Math.abs(light.data[i] - (i % 9)), `pixel ${i}`).toBeLessThanOrEqual(1);
    for (let i = 0; i < 81; i++) if (!bad.includes(i)) expect(light.data[i]).toBe(i % 9);
  });

  test('a picture of nothing but bad pixels stays as it is', () => {
    const light = lightOf(3, 3, () => 7);
    mendPixels(light, [0, 1, 2, 3, 4, 5, 6, 7, 8]);
    expect([...light.data]).toEqual(Array(9).fill(7));
  });
});

describe('spots', () => {
  const scene = (seed: number) => {
    const draw = random(seed);
    const noise = () => Math.sqrt(-2 * Math.log(1 - draw())) * Math.cos(2 * Math.PI * draw());
    return lightOf(80, 60, (x, y) => {
      const inside = (x - 40) ** 2 + (y - 30) ** 2 < 400;
      const wire = Math.abs(x - 38) < 1.5 || Math.abs(x - 42) < 1.5; // a slit of one pixel between two wires
      return (inside ? (wire ? 0.1 : 0.3) : 0.8) + 0.006 * noise();
    });
  };

  test('are found wherever a photon hit, in shadow or beside it, and the object is left alone', () => {
    const light = scene(5), clean = scene(5);
    const hits = [[10, 10], [36, 20], [45, 40], [70, 50], [30, 33], [79, 0], [0, 59]];
    for (const [x, y] of hits) light.data[y * 80 + x] += 0.3;
    const changed = removeSpots(light);
    for (const [x, y] of hits) expect(Math.abs(light.data[y * 80 + x] - clean.data[y * 80 + x]), `spot in column ${x}, row ${y}`).toBeLessThan(0.04);
    expect(changed).toBeLessThan(40);
    const harmed = clean.data.filter((value, i) => Math.abs(value - light.data[i]) > 0.05).length;
    expect(harmed, 'pixels of the object that were changed by more than 0.05').toBe(0);
  });

  test('a small hole that is in the next view too is no spot; alone, it looks like one', () => {
    const hole = (at: number) => lightOf(60, 40, (x, y) => (x === at && y === 20 ? 0.6 : 0.2) + 0.002 * normal());
    expect(findSpots(hole(30))).toContain(20 * 60 + 30);
    expect(findSpots(hole(30), { neighbours: [hole(28), hole(32)], reach: 4 })).toEqual([]);
    expect(findSpots(hole(30), { neighbours: [hole(28), hole(10)], reach: 4 }), 'a spot of the neighbour’s does not excuse ours').toContain(20 * 60 + 30);
  });

  test('noise alone has hardly any: fewer than one pixel in ten thousand', () => {
    expect(findSpots(lightOf(300, 200, () => 0.5 + 0.02 * normal())).length).toBeLessThan(6);
  });
});

describe('binFrame(light, factor)', () => {
  test('averages squares and drops what is left over', () => {
    expect(binFrame(lightOf(5, 4, (x, y) => x + 10 * y), 2)).toEqual({ width: 2, height: 2, data: Float32Array.of(5.5, 7.5, 25.5, 27.5) });
  });

  test('keeps the mean where nothing is left over', () => {
    fc.assert(fc.property(fc.integer({ min: 1, max: 5 }), fc.integer({ min: 1, max: 6 }), (factor, cells) => {
      const light = lightOf(factor * cells, factor * 2, (x, y) => Math.sin(3 * x + y));
      expect(mean(binFrame(light, factor).data)).toBeCloseTo(mean(light.data), 5);
    }), { seed: 2 });
  });

  test('a factor that leaves nothing, or is no whole number, is refused', async () => {
    expect(await refusal(() => binFrame(lightOf(5, 4, () => 1), 6))).toContain('Binning by 6');
    expect(await refusal(() => binFrame(lightOf(5, 4, () => 1), 1.5))).toContain('a whole number');
  });

  test('workingSize states the memory and refuses with the figure', async () => {
    expect(workingSize(4000, 3000, 90, 8)).toEqual({ columns: 500, rows: 375, bytes: 4 * 90 * 500 * 375 });
    expect(await refusal(() => workingSize(4000, 3000, 2000, 1))).toContain('2,000 frames of 4,000 × 3,000 pixels would take 96 GB of memory and at most 500 MB');
    expect(suggestedBin(4000, 3000, 90)).toBe(8);
    expect(suggestedBin(256, 192, 45)).toBe(1);
    const many = suggestedBin(4000, 3000, 2000);
    expect(workingSize(4000, 3000, 2000, many).bytes).toBeLessThanOrEqual(250e6);
  });
});

describe('glare', () => {
  test('the blur keeps the mean and a flat field, at any width', () => {
    fc.assert(fc.property(smallLight, fc.double({ min: 0.3, max: 40, noNaN: true }), (light, sigma) => {
      expect(Math.abs(mean(blur({ ...light, data: new Float32Array(light.data.length).fill(0.7) }, sigma).data) - 0.7)).toBeLessThan(1e-5);
      if (sigma < 8) expect(Math.abs(mean(blur(light, sigma).data) - mean(light.data)), 'no light is lost at the edges').toBeLessThan(1e-5);
    }), { seed: 3, numRuns: 60 });
  });

  test.each([{ share: 0.08 }, { share: 0.08, sigma: 12 }, { share: 0.2, sigma: 30 }, { share: 0.3, sigma: 3 }])('removeGlare undoes addGlare: %o', (glare) => {
    const light = lightOf(90, 70, (x, y) => ((x - 45) ** 2 + (y - 35) ** 2 < 500 ? 0.02 : 0.8));
    const back = removeGlare(addGlare(light, glare), glare);
    expect(Math.max(...back.data.map((value, i) => Math.abs(value - light.data[i])))).toBeLessThan(2e-4);
  });

  test('the share is found behind something opaque', () => {
    const light = lightOf(90, 70, (x, y) => (x > 20 && x < 40 && y > 20 && y < 50 ? 0 : 0.3 + 0.005 * x));
    for (const glare of [{ share: 0.06 }, { share: 0.06, sigma: 25 }]) {
      const found = glareFromOpaque(addGlare(light, glare), { left: 25, top: 25, width: 10, height: 20 }, glare.sigma);
      expect(found.share, JSON.stringify(glare)).toBeCloseTo(0.06, 3);
    }
  });

  test.each([
    ['a share of one half', () => removeGlare(lightOf(2, 2, () => 1), { share: 0.5 }), '0 to 0.4'],
    ['a width of 0', () => removeGlare(lightOf(2, 2, () => 1), { share: 0.1, sigma: 0 }), 'above 0'],
    ['a part that is not opaque', () => glareFromOpaque(lightOf(9, 9, () => 1), { left: 2, top: 2, width: 3, height: 3 }), 'something shines through'],
    ['a part beside the frame', () => glareFromOpaque(lightOf(9, 9, () => 1), { left: 8, top: 2, width: 3, height: 3 }), 'does not lie within'],
  ])('%s is refused', async (_, act, words) => {
    expect(await refusal(act)).toContain(words);
  });
});

/** Frames of a disc of shadow that moves to and fro, of transmissions 1 beside it. */
function shadows({ views = 12, rows = 40, columns = 60, noise = 0.01, exposure, shape }: { views?: number; rows?: number; columns?: number; noise?: number; exposure?: (view: number) => number; shape?: (x: number, y: number) => number } = {}): Projections {
  const data = new Float32Array(views * rows * columns);
  for (let view = 0; view < views; view++) {
    const middle = columns / 2 + 6 * Math.sin(view);
    for (let y = 0; y < rows; y++) {
      for (let x = 0; x < columns; x++) {
        const inside = (x - middle) ** 2 + (y - rows / 2) ** 2 < 100;
        data[(view * rows + y) * columns + x] = (exposure?.(view) ?? 1) * (shape?.(x, y) ?? 1) * ((inside ? 0.3 : 1) + noise * normal());
      }
    }
  }
  return { views, rows, columns, data };
}

describe('the open region and the exposure', () => {
  test('the region is what no shadow crosses, with a margin, whatever each view’s exposure', () => {
    const frames = shadows({ exposure: (view) => 0.5 + 0.1 * view });
    const { mask, share } = openRegion(frames);
    expect(share).toBeGreaterThan(0.4);
    for (let y = 0; y < 40; y++) for (let x = 0; x < 60; x++) if (mask[y * 60 + x]) expect((Math.max(0, Math.abs(x - 30) - 6)) ** 2 + (y - 20) ** 2, `column ${x}, row ${y} is open`).toBeGreaterThan(95);
    expect(mask[0] + mask[59] + mask[39 * 60], 'the corners are open').toBe(3);
  });

  test('an object that fills the frame leaves none', () => {
    expect(openRegion({ views: 8, rows: 20, columns: 20, data: Float32Array.from({ length: 3200 }, (_, i) => 0.5 + 0.3 * Math.sin((i % 20) / 3 + Math.floor(i / 400))) }).share).toBe(0);
  });

  test('evenExposure divides a drift out and says what it was', () => {
    const exposure = (view: number) => 1 + 0.3 * Math.sin(view);
    const frames = shadows({ exposure, noise: 0.005 });
    const levels = evenExposure(frames, openRegion(frames));
    levels.forEach((level, view) => expect(level / exposure(view), `view ${view}`).toBeCloseTo(1, 2));
    expect(mean(frames.data.subarray(0, 60 * 5)), 'beside the object').toBeCloseTo(1, 2);
  });

  test('levelTogether keeps the differences', () => {
    const frames = shadows({ exposure: (view) => (view === 3 ? 4 : 2), noise: 0 });
    const region = openRegion(frames);
    expect(levelTogether(frames, region)).toBeCloseTo((11 * 2 + 4) / 12, 5);
    expect(frames.data[0] * 2, 'view 3 is still twice as bright').toBeCloseTo(frames.data[3 * 2400], 5);
  });
});

describe('the flat', () => {
  test('divideByFlat gives transmissions; where the flat has no light it borrows and counts', () => {
    const frames: Projections = { views: 2, rows: 1, columns: 3, data: Float32Array.of(1, 2, 3, 2, 4, 6) };
    expect(divideByFlat(frames, Float32Array.of(2, 4, 0))).toBe(1);
    expect([...frames.data]).toEqual([0.5, 0.5, 0.75, 1, 1, 1.5]);
  });

  test('without a flat frame a smooth surface through the free border is within 1 % across the object', () => {
    const shape = (x: number, y: number) => Math.exp(-0.0002 * (x - 25) ** 2 - 0.0003 * (y - 18) ** 2);
    const frames = shadows({ shape, exposure: (view) => 1 + 0.02 * view });
    const { flat, misfit, region } = estimateFlat(frames);
    const scale = flat[20 * 60 + 30] / shape(30, 20);
    for (let y = 0; y < 40; y += 3) for (let x = 0; x < 60; x += 3) expect(flat[y * 60 + x] / shape(x, y) / scale, `column ${x}, row ${y}`).toBeCloseTo(1, 1.7);
    expect(misfit).toBeLessThan(0.01);
    expect(region.share).toBeGreaterThan(0.3);
  });

  test('an object that covers one whole side cannot be helped so', async () => {
    const half = shadows({ noise: 0.002 });
    for (let i = 0; i < half.data.length; i++) if (i % 60 > 24) half.data[i] = 0.2 + 0.05 * Math.sin(i);
    expect(await refusal(() => estimateFlat(half))).toContain('photograph the screen once without the object');
  });
});

describe('takeLogarithm(transmission, floor)', () => {
  test('is minus the logarithm, with a floor, and counts what it held', () => {
    const values = Float32Array.of(1, Math.exp(-2), 0.0005, 0, -3, NaN, 1.1);
    expect(takeLogarithm(values)).toBe(4);
    [0, 2, 6.9077553, 6.9077553, 6.9077553, 6.9077553, -0.0953102].forEach((expected, i) => expect(values[i]).toBeCloseTo(expected, 5));
  });

  test('a floor of 0 is a mistake of ours', () => {
    expect(() => takeLogarithm(new Float32Array(1), 0)).toThrow(RangeError);
  });
});

/** Line integrals of a ball that goes round. */
function ball({ views = 45, rows = 20, columns = 64, noise = 0 } = {}): Projections {
  const data = new Float32Array(views * rows * columns);
  for (let view = 0; view < views; view++) {
    const s = 32 + 9 * Math.cos((2 * Math.PI * view) / views);
    for (let y = 0; y < rows; y++) for (let x = 0; x < columns; x++) data[(view * rows + y) * columns + x] = 0.1 * Math.sqrt(Math.max(0, 120 - (x - s) ** 2 - (y - 10) ** 2)) + noise * normal();
  }
  return { views, rows, columns, data };
}

describe('columns and rings', () => {
  test('a dead column is found and filled, and none is found where there is none', () => {
    const good = ball({ noise: 0.01 });
    expect(findDeadColumns(good)).toEqual([]);
    const spoilt = { ...good, data: good.data.slice() };
    for (let i = 0; i < spoilt.data.length; i++) if (i % 64 === 30 || i % 64 === 63) spoilt.data[i] = 1.7;
    expect(findDeadColumns(spoilt)).toEqual([30, 63]);
    fillColumns(spoilt, [30, 63]);
    const filled = [...spoilt.data.keys()].filter((i) => i % 64 === 30 || i % 64 === 63);
    expect(Math.sqrt(mean(filled.map((i) => (spoilt.data[i] - good.data[i]) ** 2))), 'rms error of the filled columns; the ball itself is 1.1 thick').toBeLessThan(0.05);
    expect(spoilt.data.filter((value, i) => value !== good.data[i] && !filled.includes(i)).length, 'other columns').toBe(0);
  });

  test('errors of gain in all cells are halved: the median of four neighbours wanders itself by 0.55 of their spread', () => {
    const exact = ball();
    const spoilt = ball({ noise: 0.01 });
    const offsets = Float32Array.from({ length: 20 * 64 }, () => 0.03 * normal());
    for (let i = 0; i < spoilt.data.length; i++) spoilt.data[i] += offsets[i % (20 * 64)];
    const meanError = ({ data }: Projections) => {
      let sum = 0;
      for (let cell = 0; cell < 20 * 64; cell++) {
        let average = 0;
        for (let view = 0; view < 45; view++) average += (data[view * 1280 + cell] - exact.data[view * 1280 + cell]) / 45;
        sum += average ** 2;
      }
      return Math.sqrt(sum / (20 * 64));
    };
    const before = meanError(spoilt);
    const { changed, moved } = suppressRings(spoilt, { limit: 0.2 });
    expect(changed).toBeGreaterThan(500);
    expect(moved).toBeGreaterThan(0.02);
    // The mean of the middle two of four normal numbers has a standard deviation of 0.546 of theirs (order statistics, numerically).
    expect(meanError(spoilt) / before).toBeLessThan(0.65);
  });

  test('a single bad cell loses its ring nearly wholly, and an object without rings is hardly touched', () => {
    const exact = ball(), spoilt = ball();
    for (let view = 0; view < 45; view++) spoilt.data[(view * 20 + 10) * 64 + 28] += 0.08;
    suppressRings(spoilt);
    expect(Math.max(...spoilt.data.map((value, i) => Math.abs(value - exact.data[i])))).toBeLessThan(0.01);
    const row = { views: 45, detectors: 64, data: exact.data.filter((_, i) => Math.floor(i / 64) % 20 === 10) };
    const touched = { ...row, data: row.data.slice() };
    suppressRingsOf(touched);
    expect(Math.sqrt(mean(touched.data.map((value, i) => (value - row.data[i]) ** 2))), 'rms change of a slice without rings').toBeLessThan(0.003);
  });

  test('what stands dense on the axis is left alone', () => {
    const rod = ball();
    for (let i = 0; i < rod.data.length; i++) if (i % 64 === 32) rod.data[i] += 0.5;
    const before = rod.data[10 * 64 + 32];
    suppressRings(rod);
    expect(rod.data[10 * 64 + 32]).toBe(before);
  });
});

describe('beam hardening', () => {
  const spectrum = [30, 40, 50, 60, 70, 80, 90].map((keV) => ({ keV, share: (100 - keV) * Math.exp(-3 * linearAttenuation('aluminium', keV)) }));

  test('one energy needs no straightening', () => {
    const curve = hardeningCurve({ spectrum: [{ keV: 60, share: 2 }] });
    expect(curve.energy).toBeCloseTo(60, 3);
    for (const p of [0.1, 1, 3, 5]) expect(straightened(p, curve)).toBeCloseTo(p, 4);
  });

  test('in its own material it is right within 0.3 % of the line integral, and goes on straight beyond', () => {
    const curve = hardeningCurve({ spectrum, material: 'water', longest: 4 });
    for (const t of [1, 5, 20, 60, 120, 180]) {
      const right = linearAttenuation('water', curve.energy) * t;
      const p = manyEnergies(spectrum, 'water', t);
      expect(p, 'the beam hardens').toBeLessThan(right);
      if (p < 4) expect(straightened(p, curve) / right, `${t} mm`).toBeCloseTo(1, 2.2);
    }
    const slope = straightened(5, curve) - straightened(4.5, curve);
    expect(straightened(6, curve) - straightened(5.5, curve)).toBeCloseTo(slope, 9);
  });

  test('line integrals of many energies are those of the table: 20 mm of water at 60 keV, µ = 0.02059/mm (NIST)', () => {
    expect(manyEnergies([{ keV: 60, share: 1 }], 'water', 20)).toBeCloseTo(0.4118, 3);
  });

  test('a spectrum without light is refused', async () => {
    expect(await refusal(() => hardeningCurve({ spectrum: [] }))).toContain('A spectrum needs a share');
    expect(await refusal(() => hardeningCurve({ spectrum: [{ keV: 50, share: -1 }] }))).toContain('A spectrum needs a share');
  });
});
