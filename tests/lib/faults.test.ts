/** The bench of faults: what each fault does is what theory says, and each cure takes back what it claims. */
import { describe, expect, it } from 'vitest';
import { discMask, disc, equalAngles, fbp, finish, gaussian, interpolated, linearAttenuation, parallelBeam, projectPhantom, rmse, type Steps } from '../../src/lib/index.ts';
import { darkPlaces, faultNames, faults, openScreen } from '../../src/widgets/faults/bench.ts';
import { faultsPlate, type FaultsResult, type FaultsState } from '../../src/widgets/faults/model.ts';
import { curveLeft, darkColumns, hardened, lostFrames, movedAt, narrowed, noisy, seenOffset, spectrumAround, tiltedBeam, veiled, withoutViews, wobbleAt } from '../../src/widgets/faults/simulate.ts';
import { steadied, trackOf } from '../../src/widgets/faults/track.ts';
import { gridFor, shadowsOf, specimen, type Specimen } from '../../src/widgets/specimen/specimen.ts';

const subjects = (['head', 'capsule', 'bead'] as const).map((id) => specimen(id));
const show = (change: Partial<FaultsState>, subject: Specimen = specimen('head')) => finish(faultsPlate.compute({ ...faultsPlate.initial, ...change }, subject) as Steps<FaultsResult>);
const turn = 2 * Math.PI;
const bench = (subject: Specimen, views = 45, over = turn) => parallelBeam({ views, turn: over, detectors: 145, pitch: gridFor(subject).pixelSize });

describe('what a fault records', () => {
  const head = specimen('head');
  const beam = bench(head);
  const clean = shadowsOf(head, beam);
  const furthest = (a: Float32Array, b: Float32Array) => a.reduce((most, value, i) => Math.max(most, Math.abs(value - b[i])), 0);

  it('at strength 0 is what a good rig records', () => {
    for (const [name, sinogram] of Object.entries({
      offset: seenOffset(head, beam, () => 0), wobble: seenOffset(head, beam, (angle) => wobbleAt(angle, 0)), tilt: shadowsOf(head, tiltedBeam(beam, 0, 30)),
      curve: curveLeft(clean, 0, openScreen), glare: veiled(clean, 0), noise: noisy(clean, 0), column: darkColumns(clean, [70], 0), hardening: hardened(clean, 0), narrowed: narrowed(clean, 0),
    })) expect(furthest(sinogram.data, clean.data), name).toBeLessThan(2e-5);
  });

  it('of a stage thrown aside once a turn is what an object standing elsewhere casts, to the last figure', () => {
    const aside: Specimen = { ...head, phantom: head.phantom!.map((shape) => ({ ...shape, y: shape.y + 5 })) };
    expect(furthest(seenOffset(head, beam, (angle) => 5 * Math.sin(angle)).data, shadowsOf(aside, beam).data)).toBeLessThan(1e-6);
  });

  it('of an object that moved is the shadow of the object in its new place', () => {
    const aside: Specimen = { ...head, phantom: head.phantom!.map((shape) => ({ ...shape, x: shape.x + 5 })) };
    expect(furthest(seenOffset(head, beam, (angle) => movedAt(angle, 5)).data, shadowsOf(aside, beam).data)).toBeLessThan(1e-6);
  });

  it('in a tilted row has the axis at height · tan(tilt)', () => {
    const tilted = tiltedBeam(beam, 0.05, 40);
    const middle = tilted.axisOffset / tilted.pitch; // in cells: the cell for which s = 0
    expect(middle * beam.pitch).toBeCloseTo(40 * Math.tan(0.05), 12);
  });

  it('with noise scatters as the photons do: √(e^p)/√N', () => {
    const flat = { views: 200, detectors: 100, data: new Float32Array(20_000).fill(2) };
    const { data } = noisy(flat, 0.01);
    const mean = data.reduce((sum, p) => sum + p, 0) / data.length;
    const deviation = Math.sqrt(data.reduce((sum, p) => sum + (p - mean) ** 2, 0) / data.length);
    expect(mean).toBeCloseTo(2, 3);
    expect(deviation / (0.01 * Math.E)).toBeCloseTo(1, 1);
  });

  it('in a beam of many energies is below the single energy for thick parts and above for thin ones', () => {
    const beam60 = { views: 1, detectors: 2, data: Float32Array.of(0.01, 3) };
    const [thin, thick] = hardened(beam60, 40).data;
    expect(thin).toBeGreaterThan(0.01);
    expect(thick).toBeLessThan(3);
    expect(spectrumAround(0)).toEqual([{ keV: 60, share: 1 }]);
    expect(spectrumAround(40).map(({ keV }) => keV)).toEqual(Array.from({ length: 41 }, (_, k) => 20 + 2 * k));
  });

  it('loses as many frames as it is told, never the first, the same ones every time', () => {
    for (const count of [0, 1, 5, 10]) {
      const gone = lostFrames(45, count);
      expect(new Set(gone).size).toBe(count);
      expect(gone).not.toContain(0);
      expect(gone).toEqual(lostFrames(45, count));
    }
    expect(withoutViews({ views: 3, detectors: 2, data: Float32Array.of(1, 2, 3, 4, 5, 6) }, [0, 2])).toEqual({ views: 2, detectors: 2, data: Float32Array.of(1, 2, 5, 6) });
  });
});

describe('the laws that the chapter states', () => {
  it('one column of δ on the axis becomes a spike of πδ/(4τ), whatever the number of views', () => {
    for (const [views, over] of [[45, turn], [60, Math.PI]] as const) {
      const beam = parallelBeam({ views, turn: over, detectors: 101, pitch: 0.5 });
      const only = darkColumns({ views, detectors: 101, data: new Float32Array(views * 101) }, [50], 0.02);
      const middle = interpolated(fbp(only, beam, { window: 'ramp', grid: { width: 3, height: 3, pixelSize: 0.5 } }), 0, 0);
      expect(middle / ((Math.PI * -Math.log(0.98)) / 2)).toBeCloseTo(1, 5);
    }
  });

  it('an even line integral c over a field of radius R reconstructs to c/(πR) in its middle (Abel’s inversion of a constant)', () => {
    const beam = parallelBeam({ views: 90, detectors: 161, pitch: 0.5 });
    const even = { views: 90, detectors: 161, data: new Float32Array(90 * 161).fill(0.1) };
    const middle = interpolated(fbp(even, beam, { window: 'ramp', grid: { width: 3, height: 3, pixelSize: 0.5 } }), 0, 0);
    expect(middle).toBeCloseTo(0.1 / (Math.PI * 40.25), 5);
  });

  it('an axis off by δ makes of a point a ring of radius δ after a whole turn, and half of one after half a turn', () => {
    const point = [gaussian(0, 0, 0.7, 1)];
    const around = (over: number, from: number) => {
      const beam = parallelBeam({ views: 180, turn: over, detectors: 81, pitch: 1 });
      const picture = fbp(projectPhantom(point, { ...beam, axisOffset: 5 }), beam, { window: 'ramp', grid: { width: 81, height: 81, pixelSize: 0.25 } });
      return equalAngles(90, Math.PI, from).map((angle) => interpolated(picture, 5.5 * Math.cos(angle), 5.5 * Math.sin(angle)));
    };
    // Rays are drawn 5 cells towards (cos θ, sin θ) of the point: after half a turn they touch the upper half of the circle.
    const [upper, lower] = [around(Math.PI, 0), around(Math.PI, Math.PI)].map((half) => half.slice(15, 75).reduce((sum, value) => sum + value, 0) / 60);
    expect(upper).toBeGreaterThan(4 * Math.abs(lower));
    const whole = [...around(turn, 0), ...around(turn, Math.PI)];
    expect(Math.min(...whole)).toBeGreaterThan(0.8 * Math.max(...whole));
  });

  it('sRGB’s curve left in halves an even disc and lifts its middle above its rim; glare and many energies do the opposite', () => {
    const mu = linearAttenuation('water', 60);
    const beam = parallelBeam({ views: 60, detectors: 145, pitch: 50 / 60 });
    const exact = projectPhantom([disc(0, 0, 50, mu)], beam);
    const shape = (sinogram: typeof exact) => {
      const picture = fbp(sinogram, beam, { window: 'ramp', grid: { width: 129, height: 129, pixelSize: 50 / 60 } });
      const ring = equalAngles(90, turn).reduce((sum, angle) => sum + interpolated(picture, 45 * Math.cos(angle), 45 * Math.sin(angle)), 0) / 90;
      return { middle: interpolated(picture, 0, 0) / mu, bowl: interpolated(picture, 0, 0) / ring };
    };
    expect(shape(exact).bowl).toBeCloseTo(1, 2);
    const curve = shape(curveLeft(exact, 1, openScreen));
    expect(curve.middle).toBeGreaterThan(0.4);
    expect(curve.middle).toBeLessThan(0.5);
    expect(curve.bowl).toBeGreaterThan(1.01);
    expect(shape(veiled(exact, 0.1)).bowl).toBeLessThan(0.95);
    expect(shape(hardened(exact, 40)).bowl).toBeLessThan(0.95);
  });
});

describe('trackOf and steadied', () => {
  // Smooth things, whose moments a sum over cells gives as an integral would; the skull's sharp edges leave a tenth of a cell.
  const smooth: Specimen = { ...specimen('head'), phantom: [gaussian(30, 20, 12, 0.02), gaussian(-35, 5, 8, 0.03), gaussian(0, -40, 10, 0.01)] };

  it.each([['a whole turn', turn], ['half a turn', Math.PI]])('the middles of the shadows give the axis over %s', (_, over) => {
    const beam = bench(smooth, 45, over);
    const { offset, residual } = trackOf(shadowsOf(smooth, { ...beam, axisOffset: 3 * beam.pitch }), beam);
    expect(Math.abs(offset / beam.pitch - 3)).toBeLessThan(1e-3);
    expect(Math.max(...residual.map(Math.abs)) / beam.pitch).toBeLessThan(1e-3);
  });

  it('a wobble three times a turn is seen view by view, and taken back', () => {
    const beam = bench(smooth);
    const wobbly = seenOffset(smooth, beam, (angle) => wobbleAt(angle, 2 * beam.pitch));
    trackOf(wobbly, beam).residual.forEach((off, view) => expect(Math.abs(off - wobbleAt(beam.angles[view], 2 * beam.pitch)) / beam.pitch, `view ${view}`).toBeLessThan(1e-3));
    const middles = trackOf(steadied(wobbly, beam), beam).residual;
    expect(Math.max(...middles.map(Math.abs)) / beam.pitch).toBeLessThan(1e-3);
  });
});

describe('the plate faults', () => {
  it.each(subjects.map((subject) => [subject.id, subject] as const))('every fault of the %s is worse than what its cure leaves, over a whole turn', (_, subject) => {
    for (const fault of faultNames) {
      const { changes, repeated } = show({ fault }, subject);
      if (fault === 'truncated' && subject.id === 'bead') continue; // it stays within the field at every angle
      expect(changes.faulty, fault).toBeGreaterThan(0);
      expect(changes.cured, fault).toBeLessThan(0.7 * changes.faulty);
      if (repeated) expect(changes.cured, fault).toBe(0);
    }
  });

  it('drift, a curve and glare are taken back without loss', () => {
    for (const fault of ['drift', 'curve', 'glare'] as const) for (const subject of subjects) {
      const { changes } = show({ fault }, subject);
      expect(changes.cured, `${fault}, ${subject.id}`).toBeLessThan(1e-3 * changes.faulty);
    }
  });

  it('the axis is found to a twentieth of a cell, over a whole turn and over half of one', () => {
    for (const over of [360, 180] as const) for (const axis of [-6, -0.4, 2.5]) {
      const { found } = show({ fault: 'axis', axis, turn: over });
      expect(Math.abs(Number(/lies (\S+) cells/.exec(found)![1].replace('−', '-')) - axis), `${axis} cells over ${over}°`).toBeLessThanOrEqual(0.05);
    }
  });

  it('a tilt leaves the middle height sharp and doubles the ends', () => {
    const at = (height: number) => show({ fault: 'tilt', tilt: 3, height }).changes.faulty;
    expect(at(0)).toBeLessThan(0.1 * at(60));
    expect(at(30)).toBeLessThan(at(60));
  });

  it('columns are three straight lines where it says, filled when they are dead and levelled when they are not', () => {
    const { sinogram, found } = show({ fault: 'column', column: 50 });
    const clean = show({ fault: 'column', column: 0 }).sinogram;
    const lines = Array.from({ length: sinogram.detectors }, (_, j) => j).filter((j) => Math.abs(sinogram.data[j] - clean.data[j]) > 0.1);
    expect(lines).toEqual(darkPlaces.map((place) => Math.round(72 + place * 64)));
    expect(found).toContain('filled');
    expect(show({ fault: 'column', column: 10 }).found).toContain('offset');
  });

  it('more of a fault changes the slice more', () => {
    for (const [fault, weak, strong] of [['drift', 5, 40], ['glare', 2, 20], ['noise', 0.5, 5], ['moved', 0.5, 6], ['wobble', 0.2, 2], ['column', 2, 12], ['axis', 0.2, 2], ['curve', 10, 100], ['hardening', 10, 40], ['truncated', 20, 50]] as const) {
      expect(show({ fault, [fault]: weak }).changes.faulty, fault).toBeLessThan(show({ fault, [fault]: strong }).changes.faulty);
    }
  });

  it('shows a faultless scan where the strength is nought', () => {
    for (const fault of faultNames.filter((name) => name !== 'truncated')) expect(show({ fault, [fault]: 0 }).changes.faulty, fault).toBeLessThan(2e-5);
    expect(show({ fault: 'truncated', truncated: 0 }).changes.faulty).toBe(0);
  });

  it('says what the fault is, how to tell it, and what it changes', () => {
    for (const fault of faultNames) {
      const state = { ...faultsPlate.initial, fault };
      const words = faultsPlate.describe(state, show({ fault }), specimen('head'));
      expect(words).toContain(faults[fault].tell);
      expect(words).toMatch(/The fault alone changes the slice by \S+\/mm/);
    }
  });

  it('measures within what the narrowed screen saw', () => {
    const { object, sinogram, faulty, errors } = show({ fault: 'truncated', truncated: 40 });
    const seen = ((sinogram.detectors - 1) / 2) * object.pixelSize;
    expect(seen / 100).toBeCloseTo(0.6, 1);
    expect(errors.faulty).toBeCloseTo(rmse(faulty, object, discMask(object, 0, 0, 0.98 * seen)), 9);
  });
});
