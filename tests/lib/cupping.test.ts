import { describe, expect, it } from 'vitest';
import { lightToSrgb } from '../../src/lib/index.ts';
import { curve, hardened, longest, spectrum, straightenWater } from '../../src/widgets/cupping/hardening.ts';
import { cupping, open, takenAlong, type CuppingResult, type CuppingState, type Fault } from '../../src/widgets/cupping/model.ts';
import { linearAttenuation, manyEnergies } from '../../src/lib/index.ts';

const show = (change: Partial<CuppingState> = {}) => cupping.compute({ ...cupping.initial, ...change }, undefined as never) as CuppingResult;
const bend = ({ middle, rim }: CuppingResult) => middle / rim - 1;
const words = (change: Partial<CuppingState> = {}) => cupping.describe({ ...cupping.initial, ...change }, show(change), undefined as never);
const faults: Fault[] = ['curve', 'haze', 'energies', 'logarithm', 'column'];

describe('plate cupping', () => {
  it.each(faults)('%s, put right: the disc has its attenuation in the middle and near the rim', (fault) => {
    for (const through of [1, 2, 4]) {
      const made = show({ fault, mended: true, through });
      expect(Math.abs(made.middle / (through / 40) - 1), `middle, p = ${through}`).toBeLessThan(0.005);
      expect(Math.abs(made.rim / (through / 40) - 1), `rim, p = ${through}`).toBeLessThan(0.01);
    }
  });

  it('haze, many energies and no logarithm make a cup, deeper behind more', () => {
    for (const fault of ['haze', 'energies', 'logarithm'] as const) {
      expect(bend(show({ fault, through: 2 })), fault).toBeLessThan(-0.02);
      expect(bend(show({ fault, through: 4 })), fault).toBeLessThan(bend(show({ fault, through: 2 })));
    }
  });

  it('the curve of sRGB makes a dome, and no power changes it', () => {
    expect(bend(show({ power: 1 }))).toBeGreaterThan(0.02);
    expect(bend(show({ power: 2.2 }))).toBeCloseTo(bend(show({ power: 1 })), 5);
    expect(show({ power: 2 }).middle).toBeCloseTo(2 * show({ power: 1 }).middle, 5);
  });

  it('a column that reads too much leaves a ring around the axis, at its own distance', () => {
    const { picture } = show({ fault: 'column', gain: 4 });
    const right = show({ fault: 'column', gain: 0 }).picture;
    const around = (r: number) => {
      let sum = 0;
      for (let k = 0; k < 360; k++) {
        const at = Math.floor(64 - (r * Math.sin(k)) / picture.pixelSize) * 128 + Math.floor(64 + (r * Math.cos(k)) / picture.pixelSize);
        sum += (picture.data[at] - right.data[at]) / 360;
      }
      return sum;
    };
    const radii = Array.from({ length: 50 }, (_, k) => (k + 1) * 0.5);
    const deepest = radii.reduce((best, r) => (Math.abs(around(r)) > Math.abs(around(best)) ? r : best));
    expect(Math.abs(deepest - (92 - 63.5) * picture.pixelSize)).toBeLessThan(0.6);
    expect(around(deepest), 'too much light is too little attenuation').toBeLessThan(0);
  });

  it('takes line integrals as the arithmetic of each fault has them', () => {
    const state = cupping.initial;
    expect(takenAlong(1, { ...state, fault: 'curve', power: 1 })).toBeCloseTo(Math.log(lightToSrgb(open) / lightToSrgb(open / Math.E)), 12);
    expect(takenAlong(3, { ...state, fault: 'haze', haze: 4 })).toBeCloseTo(Math.log(1.04 / (Math.exp(-3) + 0.04)), 12);
    expect(takenAlong(2, { ...state, fault: 'logarithm' })).toBeCloseTo(1 - Math.exp(-2), 12);
    for (const fault of faults) expect(takenAlong(0, { ...state, fault }), fault).toBeCloseTo(0, 12);
  });

  it('its table of many energies is that of the library between its points too, and is straightened within 0.3 %', () => {
    const mu = linearAttenuation('water', curve.energy);
    for (const p of [0.003, 0.517, 2.2222, 3.999]) {
      expect(hardened(p)).toBeCloseTo(manyEnergies(spectrum, 'water', p / mu), 4);
      expect(hardened(p)).toBeLessThan(p);
      expect(Math.abs(straightenWater(hardened(p)) - p)).toBeLessThan(0.003 * longest);
    }
  });

  it('says whether it is a cup or a dome, and what it should be', () => {
    expect(words()).toMatch(/^The camera’s curve is not undone\. The disc should have 0\.050\/mm.*It is a dome: the middle lies 2\.5 % above the rim\.$/);
    expect(words({ fault: 'haze' })).toMatch(/It is a cup: the middle lies 7\.5 % below the rim\.$/);
    expect(words({ fault: 'haze', mended: true })).toContain('It is level');
    expect(words({ fault: 'column' })).toContain('runs a ring');
  });
});
