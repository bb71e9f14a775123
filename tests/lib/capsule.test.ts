import { describe, expect, test } from 'vitest';
import { attenuationOf, capsule, chord, coneBeam, box, insideSolid, linearAttenuation, pathLengths, projectLight, projectSolids, solidAt, union, volumeOf, type Solid, type Vector } from '../../src/lib/index.ts';

const solids = capsule();
const part = (name: string) => solids.find((solid) => solid.name === name)!;

describe('the capsule', () => {
  test('holds what it should, of the materials of the table', () => {
    expect(solids.map(({ name, material }) => [name, material])).toEqual([
      ['shell', 'polyethylene'], ['air', undefined], ['nut', 'aluminium'], ['marble', 'sodaLime'], ['spring', 'iron'], ['bead', 'wood'],
      ['vial', 'borosilicate'], ['head space', undefined], ['oil', 'polyethylene'],
    ]);
    expect(attenuationOf(part('oil'), 60)).toBeCloseTo(linearAttenuation('polyethylene', 60) * (0.87 / 0.93), 9);
    expect(attenuationOf(part('air'), 60)).toBe(0);
  });

  // The formulas beside the figures, worked out by hand; volumeOf is tested against chords in solids.test.ts.
  test.each([
    ['shell', (2 / 3) * Math.PI * 28 * 28 * (39 + 33)],
    ['air', (2 / 3) * Math.PI * 25 * 25 * (36 + 30)],
    ['nut', (Math.sqrt(3) / 2) * 18 * 18 * 10 - Math.PI * 5.25 ** 2 * 10],
    ['marble', (4 / 3) * Math.PI * 8 ** 3],
    ['bead', (4 / 3) * Math.PI * (49 - 4) ** 1.5],
    ['head space', Math.PI * 5.3 ** 2 * 25.6],
    ['oil', Math.PI * 5.3 ** 2 * 12.8],
  ])('%s has its volume: half of the vial is oil, the nut is hollow', (name, expected) => {
    expect(volumeOf(part(name))).toBeCloseTo(expected, 6);
  });

  test('stands 72 mm high, from z = −36 to 36, and within 30 mm of the rotation axis', () => {
    expect(chord(part('shell'), [1.5, -1, -100], [0, 0, 1])).toBeCloseTo(72, 9);
    expect(insideSolid(part('shell'), [1.5, -1, 35.999])).toBe(true);
    expect(insideSolid(part('shell'), [1.5, -1, 36.001])).toBe(false);
    for (let k = 0; k < 36; k++) {
      const angle = (k * Math.PI) / 18;
      expect(chord(part('shell'), [30 * Math.cos(angle), 30 * Math.sin(angle), -100], [0, 0, 1])).toBe(0);
    }
  });

  test('nothing in it touches anything else or the shell', () => {
    const contents = ['nut', 'marble', 'spring', 'bead', 'vial'].map(part);
    const cavity = part('air');
    for (let n = 0; n < 6000; n++) {
      // an even spread of directions and places over the egg
      const [p, q, r, s] = [0.6180339887, 0.7548776662, 0.5698402910, 0.8191725134].map((step) => (n * step) % 1);
      const up = 2 * p - 1;
      const flat = Math.sqrt(1 - up * up);
      const direction: Vector = [flat * Math.cos(2 * Math.PI * q), flat * Math.sin(2 * Math.PI * q), up];
      const origin = [1.5 + 50 * (r - 0.5), -1 + 50 * (s - 0.5), 60 * (((n * 0.3819660113) % 1) - 0.5)].map((x, i) => x - 100 * direction[i]) as unknown as Vector;
      const shared = contents.reduce((total, each) => total + chord(each, origin, direction), 0) - pathLengths(contents, origin, direction).reduce((total, each) => total + each, 0);
      expect(shared).toBeLessThan(1e-9);
      expect(chord(union(cavity, ...contents), origin, direction) - chord(cavity, origin, direction)).toBeLessThan(1e-9);
    }
  });

  test('has its things where they should be', () => {
    const at = (point: Vector) => solids[solidAt(solids, point)]?.name;
    expect(at([1.5, -1, 34.5])).toBe('shell');
    expect(at([10.5, -10, -5])).toBe('marble');
    expect(at([-0.5, 2, -17.5])).toBe('air'); // the hole of the nut
    expect(at([-7.5, -7, 2])).toBe('oil');
    expect(at([-7.5, -7, 15])).toBe('head space');
    expect(at([40, 0, 0])).toBeUndefined();
  });
});

describe('projectLight', () => {
  const beam = coneBeam({ angles: [0.3, 2], detectors: 32, rows: 24, pitch: 4, sourceToAxis: 350, sourceToDetector: 500 });

  test('of one energy, point to point, is exp(−line integral)', () => {
    const light = projectLight(solids, beam, [{ keV: 60, share: 3 }]);
    const integrals = projectSolids(solids, beam, { keV: 60 });
    light.data.forEach((value, k) => expect(value).toBeCloseTo(Math.exp(-integrals.data[k]), 6));
  });

  test('of several energies is the mean of the light, so that thick metal looks thinner than it is', () => {
    const thickness = 20;
    const plate: Solid[] = [{ ...box([0, 0, 0], [200, thickness, 200]), material: 'aluminium' }];
    const straight = coneBeam({ angles: [0], detectors: 1, rows: 1, pitch: 0.1, sourceToAxis: 350, sourceToDetector: 500 });
    const [value] = projectLight(plate, straight, [{ keV: 40, share: 2 }, { keV: 80, share: 1 }]).data;
    const [soft, hard] = [40, 80].map((keV) => linearAttenuation('aluminium', keV) * thickness);
    expect(value).toBeCloseTo((2 * Math.exp(-soft) + Math.exp(-hard)) / 3, 6);
    expect(-Math.log(value)).toBeLessThan((2 * soft + hard) / 3);
  });

  test('a wide spot blurs an edge on the axis by spot·(D − R)/R on the screen', () => {
    const edge: Solid[] = [{ ...box([-100, 0, 0], [200, 0.01, 50]), attenuation: 1e5 }];
    const fine = coneBeam({ angles: [0], detectors: 400, rows: 1, pitch: 0.02, sourceToAxis: 200, sourceToDetector: 500 });
    const { data } = projectLight(edge, fine, [{ keV: 60, share: 1 }], { samples: 25, spot: 0.4 });
    const steps = Array.from(data.slice(1), (value, k) => value - data[k]);
    const middle = steps.reduce((total, step, k) => total + step * (k + 1 - 200) * 0.02, 0);
    const spread = Math.sqrt(steps.reduce((total, step, k) => total + step * ((k + 1 - 200) * 0.02 - middle) ** 2, 0));
    expect(middle).toBeCloseTo(0, 2);
    // 25 points, each in the middle of its part, spread a little less than the Gaussian they stand for: 2.6 %
    expect(spread / ((0.4 * 300) / 200)).toBeGreaterThan(0.96);
    expect(spread / ((0.4 * 300) / 200)).toBeLessThan(1);
    expect(projectLight(edge, fine, [{ keV: 60, share: 1 }]).data.filter((value) => value > 0 && value < 1).length, 'half-lit cells of a point source').toBeLessThan(2);
  });

  test('averages the light over a cell, not the line integrals', () => {
    const half: Solid[] = [{ ...box([-100, 0, 0], [200, 10, 50]), attenuation: 0.3 }];
    const one = coneBeam({ angles: [0], detectors: 1, rows: 1, pitch: 1, sourceToAxis: 5e6, sourceToDetector: 5e6 + 100 });
    expect(projectLight(half, one, [{ keV: 60, share: 1 }], { samples: 4 }).data[0]).toBeCloseTo((1 + Math.exp(-3)) / 2, 4);
  });

  test.each([
    [{ samples: 0 }, 'samples is 0'],
    [{ spot: -1 }, 'focal spot'],
  ])('refuses %o', (wrong, says) => {
    expect(() => projectLight(solids, beam, [{ keV: 60, share: 1 }], wrong)).toThrow(says);
  });

  test('refuses a beam without energies', () => {
    expect(() => projectLight(solids, beam, [])).toThrow('no energies');
  });
});
