import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { describe, expect, test } from 'vitest';
import fc from 'fast-check';
import {
  coneBeam, detectorPosition, findSameFrames, findTruncation, finish, lineIntegrals, lineIntegralsFrom, lineIntegralsSteps, photoSteps, turnSeen, workingGeometry,
  type Photograph, type PhotoOptions, type PhotoScan, type Projections,
} from '../../src/lib/index.ts';
import { refusal } from './support/bad-input.ts';
import { balls, errorOf, simulate, type Faults } from './support/simulated-photographs.ts';

const run = (faults: Faults, options: Partial<PhotoOptions> = {}) => {
  const simulated = simulate(faults);
  const { projections, report } = lineIntegrals(simulated.frames, { encoding: 'srgb', ...options });
  return { ...simulated, projections, report, error: errorOf(projections.data, simulated.exact, simulated.size, simulated.clean), figures: Object.fromEntries(report.steps.map(({ step, figures }) => [step, figures])) };
};

describe('lineIntegrals on simulated photographs', () => {
  test('with a perfect camera the line integrals are exact to 16 bits', () => {
    const { error } = run({ photons: 0, spots: 0, hot: 0, bits: 16, encoding: 'linear', darkLevel: 0 }, { encoding: 'linear' });
    expect(error.most).toBeLessThan(2e-4);
  });

  test.each<[string, Faults, Partial<PhotoOptions>, number]>([
    ['8 bits along the curve of sRGB', { photons: 0, spots: 0, hot: 0, darkLevel: 0 }, {}, 0.004],
    ['the noise of photons', { spots: 0, hot: 0 }, {}, 0.012],
    ['spots of single photons', { hot: 0, spots: 12 }, {}, 0.012],
    ['hot pixels', {}, {}, 0.012],
    ['glare that is known', { glare: { share: 0.05, sigma: 20 } }, { glare: { share: 0.05, sigma: 20 } }, 0.012],
    ['a camera that drifts by 20 %', { drift: 0.2, exposure: 0.6 }, {}, 0.014],
    ['uneven cells', { gains: 0.02 }, {}, 0.012],
    ['a dead column', { deadColumn: 40 }, {}, 0.02],
  ])('%s: the root mean square error stays small and the mean right', (_, faults, options, rms) => {
    const { error } = run(faults, options);
    expect(error.rms).toBeLessThan(rms);
    expect(Math.abs(error.bias), 'mean error').toBeLessThan(0.001);
  });

  test.each<[string, Faults, Partial<PhotoOptions>, Partial<PhotoOptions>, number]>([
    ['undoing the curve', {}, {}, { encoding: 'linear' }, 10],
    ['the dark frame', { darkLevel: 0.06 }, {}, { steps: { dark: false } }, 3],
    ['the flat frame', { vignetting: 0.4 }, {}, { steps: { flat: false } }, 5],
    ['the exposure', { drift: 0.2, exposure: 0.6 }, {}, { steps: { exposure: false } }, 5],
    ['the spots', { spots: 20, photons: 0 }, {}, { steps: { spots: false } }, 3],
    ['the glare', { glare: { share: 0.08 } }, { glare: { share: 0.08 } }, { glare: { share: 0.08 }, steps: { glare: false } }, 2],
  ])('%s matters: left out, the error is larger', (_, faults, on, off, times) => {
    const all = () => true;
    const error = (options: Partial<PhotoOptions>) => {
      const { projections, exact, size } = run(faults, options);
      return errorOf(projections.data, exact, size, all).rms;
    };
    expect(error(off) / error(on)).toBeGreaterThan(times);
  });

  test('without a flat frame it is estimated, and the report says so', () => {
    const { frames, exact, size, clean } = simulate({});
    const { projections, report } = lineIntegrals({ views: frames.views, dark: frames.dark }, { encoding: 'srgb' });
    const { rms, bias } = errorOf(projections.data, exact, size, clean);
    expect(rms).toBeLessThan(0.02);
    expect(Math.abs(bias)).toBeLessThan(0.01);
    expect(report.steps.find(({ step }) => step === 'flat')!.says).toMatch(/^There is no flat frame: .* estimated by a smooth surface through the [\d.]+ % of the frame that stays free/);
  });

  test('every step reports, in order, in one sentence, and in figures that are right', () => {
    const { report, figures } = run({ drift: 0.1, exposure: 0.6, deadColumn: 40 }, { glare: { share: 0.01 } });
    expect(report.steps.map(({ step }) => step)).toEqual([...photoSteps]);
    for (const { says } of report.steps) expect(says, 'one sentence').toMatch(/^[A-Z\d][^\n]*\.$/);
    expect(figures.dark.frames).toBe(4);
    expect(figures.dark.mean, '0.004 everywhere, 12 hot pixels of 0.25 and a column of 0.3 in 96').toBeCloseTo(0.004 + (12 * 0.25) / 6912 + 0.3 / 96, 3);
    expect(figures.pixels.mended, '12 hot pixels and a column of 72').toBeGreaterThanOrEqual(82);
    const exposures = Array.from({ length: 24 }, (_, view) => 1 + 0.1 * Math.sin(view));
    const mean = exposures.reduce((sum, exposure) => sum + exposure, 0) / 24;
    expect(figures.exposure.least).toBeCloseTo(Math.min(...exposures) / mean, 2);
    expect(figures.exposure.greatest).toBeCloseTo(Math.max(...exposures) / mean, 2);
    exposures.forEach((exposure, view) => expect(report.exposure[view], `view ${view}`).toBeCloseTo(exposure / mean, 2));
    expect(figures.spots.pixels, '6 spots in each of 24 frames').toBeGreaterThan(130);
    expect(figures.spots.pixels).toBeLessThan(400);
    expect(figures.bin).toMatchObject({ bin: 1, columns: 96, rows: 72, bytes: 4 * 24 * 96 * 72 });
    expect(report.exposure).toHaveLength(24);
  });

  test('a step that is switched off says so; without the logarithm, transmissions come out', () => {
    const { report, projections } = run({ spots: 0, hot: 0 }, { steps: { logarithm: false, spots: false } });
    const says = Object.fromEntries(report.steps.map(({ step, says: sentence }) => [step, sentence]));
    expect(says.logarithm).toBe('Switched off.');
    expect(says.spots).toBe('Switched off.');
    expect(says.rings).toContain('logarithm is switched off');
    expect(projections.data[0], 'beside the object').toBeCloseTo(1, 1);
  });

  test('row 0 comes out at the bottom, and a mirrored rig is put right', () => {
    const one = { balls: [{ x: 0, y: 0, z: 20, radius: 6, value: 0.1 }] };
    const faults: Faults = { scene: one.balls, spots: 0, hot: 0, photons: 0, axis: 10 };
    const { projections: { data }, size } = run(faults);
    const heaviest = (frame: Float32Array) => frame.indexOf(Math.max(...frame));
    const at = heaviest(data.subarray(0, size));
    expect(Math.floor(at / 96), 'a ball above the middle lies in a row above the middle, counted from the bottom').toBe(55);
    expect(at % 96).toBeGreaterThan(50);
    const turned = heaviest(run(faults, { mirrored: true }).projections.data.subarray(0, size));
    expect(95 - (turned % 96)).toBe(at % 96);
  });

  test('cropping and binning give means of the same light', () => {
    const crop = { left: 8, top: 5, width: 83, height: 62 };
    const { exact, projections } = run({ photons: 0, spots: 0, hot: 0, bits: 16, encoding: 'linear', darkLevel: 0 }, { encoding: 'linear', crop, bin: 2 });
    expect([projections.columns, projections.rows]).toEqual([41, 31]);
    for (const [row, column] of [[0, 0], [15, 20], [30, 40], [12, 25]]) {
      let light = 0;
      for (const y of [0, 1]) for (const x of [0, 1]) light += Math.exp(-exact[(71 - (5 + 2 * (30 - row) + y)) * 96 + 8 + 2 * column + x]) / 4;
      expect(projections.data[row * 41 + column], `row ${row}, column ${column}`).toBeCloseTo(-Math.log(light), 2);
    }
  });

  test('the marked open part is used instead of the one that is found', () => {
    const { report, error } = run({ drift: 0.2, exposure: 0.6 }, { open: { left: 0, top: 0, width: 15, height: 72 } });
    expect(report.steps.find(({ step }) => step === 'exposure')!.says).toContain('in the part that was marked');
    expect(error.rms).toBeLessThan(0.014);
  });
});

describe('lineIntegralsFrom asks for one photograph after the other', () => {
  const { frames } = simulate({ views: 10, width: 60, height: 40 });
  const whole = lineIntegrals(frames, { encoding: 'srgb' });

  test('gives the same numbers, in order, and reports progress from 0 to 1', async () => {
    const asked: string[] = [];
    const of = (kind: 'views' | 'dark' | 'flat') => ({ count: frames[kind].length, frame: async (k: number) => { asked.push(`${kind} ${k}`); return frames[kind][k]; } });
    const heard: number[] = [];
    const { projections, report } = await lineIntegralsFrom({ views: of('views'), dark: of('dark'), flat: of('flat') }, { encoding: 'srgb' }, { progress: (fraction) => heard.push(fraction) });
    expect(projections.data).toEqual(whole.projections.data);
    expect(report).toEqual(whole.report);
    expect(asked).toEqual([...[0, 1, 2, 3].map((k) => `dark ${k}`), ...[0, 1, 2, 3].map((k) => `flat ${k}`), ...Array.from({ length: 10 }, (_, k) => `views ${k}`)]);
    expect(heard).toEqual([...heard].sort((a, b) => a - b));
    expect(heard.at(-1)).toBe(1);
    expect(heard.filter((fraction) => fraction === 1), 'done once').toHaveLength(1);
  });

  test('holds on to no more than a few of 300 photographs', async () => {
    setFlagsFromString('--expose_gc');
    const collect = runInNewContext('gc') as () => void;
    const given: WeakRef<Float32Array>[] = [];
    let most = 0;
    const frame = async (k: number): Promise<Photograph> => {
      if (k % 50 === 49) {
        await new Promise((resolve) => setTimeout(resolve)); // a weak reference is held until its turn of the event loop is over
        collect();
        most = Math.max(most, given.filter((reference) => reference.deref() !== undefined).length);
      }
      const data = Float32Array.from(frames.views[k % 10].data, (value) => value + k * 1e-7);
      given.push(new WeakRef(data));
      return { ...frames.views[0], data };
    };
    const { projections } = await lineIntegralsFrom({ views: { count: 300, frame }, flat: frames.flat }, { encoding: 'srgb', bin: 4, steps: { rings: false } });
    expect(projections.views).toBe(300);
    expect(given).toHaveLength(300);
    expect(most, 'photographs alive at once').toBeGreaterThan(0);
    expect(most, 'photographs alive at once').toBeLessThan(8);
  });

  test('stops when told to, between two photographs', async () => {
    const controller = new AbortController();
    let asked = 0;
    const scan: PhotoScan<Promise<Photograph>> = { views: { count: 10, frame: async (k) => { asked++; if (k === 3) controller.abort(new Error('enough')); return frames.views[k]; } } };
    await expect(lineIntegralsFrom(scan, { encoding: 'srgb' }, { signal: controller.signal })).rejects.toThrow('enough');
    expect(asked).toBe(4);
  });

  test('passes on what a frame throws', async () => {
    await expect(lineIntegralsFrom({ views: { count: 10, frame: (k) => (k === 2 ? Promise.reject(new Error('torn card')) : frames.views[k]) } }, { encoding: 'srgb' })).rejects.toThrow('torn card');
  });

  test('as steps it can be left in the middle', () => {
    const steps = lineIntegralsSteps(frames, { encoding: 'srgb' });
    expect(steps.next().value).toBeGreaterThan(0);
    expect(steps.return(undefined as never).done).toBe(true);
    expect(finish(lineIntegralsSteps(frames, { encoding: 'srgb' })).projections.data).toEqual(whole.projections.data);
  });
});

describe('lineIntegrals refuses with a sentence', () => {
  const { frames } = simulate({ views: 9, width: 40, height: 30, photons: 0 });
  const other = simulate({ views: 8, width: 44, height: 30, photons: 0 }).frames;
  const options: PhotoOptions = { encoding: 'srgb' };
  test.each<[string, PhotoScan, PhotoOptions, string]>([
    ['seven photographs', { views: frames.views.slice(0, 7) }, options, 'There are 7 photographs of views: at least 8 are needed'],
    ['none', { views: [] }, options, 'There are 0 photographs'],
    ['views of two sizes', { views: [...frames.views.slice(0, 8), other.views[0]] }, options, 'View 9 has 44 × 30 pixels and View 1 has 40 × 30: all frames, dark and flat ones too, must have one size.'],
    ['a flat of another size', { ...frames, flat: other.flat }, options, 'Flat frame 1 has 44 × 30 pixels and Dark frame 1 has 40 × 30'],
    ['dark and flat that changed places', { views: frames.views, dark: frames.flat, flat: frames.dark }, options, 'The dark frames are brighter than the flat ones'],
    ['a crop beside the photograph', frames, { ...options, crop: { left: 30, top: 0, width: 20, height: 20 } }, 'does not lie within a photograph of 40 × 30'],
    ['frames too many for memory', { views: { count: 200_000, frame: () => frames.views[0] } }, options, '200,000 frames of 40 × 30 pixels would take 960 MB'],
    ['an open part beside the frame', frames, { ...options, open: { left: 100, top: 0, width: 5, height: 5 } }, 'does not lie within the frames'],
    ['a binning that leaves nothing', frames, { ...options, bin: 31 }, 'Binning by 31'],
  ])('%s', async (_, scan, given, words) => {
    expect(await refusal(() => lineIntegrals(scan, given))).toContain(words);
  });

  test('the sentence has the names of the files', async () => {
    const names = { count: 9, frame: (k: number) => (k === 4 ? other.views[0] : frames.views[k]), name: (k: number) => `IMG_${k}.jpg` };
    expect(await refusal(() => lineIntegrals({ views: names }, options))).toContain('IMG_4.jpg has 44 × 30 pixels and IMG_0.jpg has 40 × 30');
  });
});

describe('warnings', () => {
  const kinds = (faults: Faults, options: Partial<PhotoOptions> = {}) => run(faults, { turn: 2 * Math.PI, ...options }).report.warnings;

  test('a good scan has none', () => {
    expect(kinds({})).toEqual([]);
  });

  test('saturated frames are counted and named', () => {
    const warnings = kinds({ exposure: 1.3 });
    expect(warnings.map(({ kind }) => kind)).toEqual(['saturated', 'saturated']);
    expect(warnings[0].frames).toHaveLength(24);
    expect(warnings[0].says).toMatch(/^24 views \(View 1, View 2, View 3, View 4 and 20 more\) have pixels at full scale, [\d.]+ % of a frame at most, where the light is not known and the object comes out too thin: expose shorter\.$/);
    expect(warnings[1].says).toContain('4 flat frames');
  });

  test('an object that leaves the frame is named, with what that does', () => {
    const [warning] = kinds({ scene: [...balls, { x: 38, y: 0, z: 0, radius: 14, value: 0.03 }] });
    expect(warning.kind).toBe('truncated');
    expect(warning.frames.length).toBeGreaterThan(3);
    expect(warning.says).toMatch(/leaves the frame at the left and right in \d+ views .*bright rim where sight ends, and values inside that are too high\.$/);
  });

  test('rows that a stand covers from edge to edge are counted, and do not pass for a truncated object', () => {
    const frames: Projections = { views: 8, rows: 40, columns: 50, data: new Float32Array(8 * 2000) };
    for (let view = 0; view < 8; view++) for (let row = 0; row < 5; row++) frames.data.fill(0.8, (view * 40 + row) * 50, (view * 40 + row + 1) * 50);
    const { frames: truncated, coveredRows } = findTruncation(frames);
    expect(truncated).toEqual([]);
    expect(coveredRows).toEqual([0, 1, 2, 3, 4, 5]); // the sixth through the mean of three rows
  });

  test('two frames that are one picture are found, wherever they stand', () => {
    const { frames } = simulate({ views: 12, width: 48, height: 36 });
    const views = [...frames.views.slice(0, 9), frames.views[2], ...frames.views.slice(9)];
    const { report: { warnings } } = lineIntegrals({ ...frames, views }, { encoding: 'srgb' });
    expect(warnings).toContainEqual({ kind: 'same', frames: [2, 9], says: 'View 3 and View 10 are the same picture: one of them is a copy and stands at a wrong angle, so drop it.' });
  });

  test('findSameFrames compares the numbers, not their hash alone', () => {
    fc.assert(fc.property(fc.array(fc.constantFrom(0, 1, 2), { minLength: 2, maxLength: 9 }), (kindsOf) => {
      const data = Float32Array.from(kindsOf.flatMap((kind) => [kind, 5, kind]));
      const same = findSameFrames({ views: kindsOf.length, rows: 1, columns: 3, data });
      expect(same).toEqual(kindsOf.flatMap((kind, view) => (kindsOf.indexOf(kind) < view ? [[kindsOf.indexOf(kind), view]] : [])));
    }), { seed: 9 });
  });

  test('half a turn given as a full one is seen, for any place of the axis; a full turn is not taken for it', () => {
    for (const axis of [-6, 7.3]) {
      expect(kinds({ turn: Math.PI, axis }).map(({ kind }) => kind), `half a turn, axis ${axis}`).toEqual(['half-turn']);
      expect(kinds({ axis }), `a full turn, axis ${axis}`).toEqual([]);
    }
    const seen = (turn: number) => turnSeen(run({ turn }).projections).turn;
    expect([seen(2 * Math.PI), seen(Math.PI), seen(1.3 * Math.PI)]).toEqual(['full', 'half', 'unsure']);
  });

  test('an object that looks the same from all sides says nothing of the turn', () => {
    expect(turnSeen(run({ scene: [{ x: 0, y: 0, z: 0, radius: 20, value: 0.02 }] }).projections).turn).toBe('unsure');
  });

  test('a screen that glows in another colour than green is pointed out', () => {
    const { frames } = simulate({});
    const blue = (list: Photograph[]) => list.map((photograph) => ({ ...photograph, channels: { red: 0.1, green: 0.15, blue: 0.6 } }));
    const { report: { warnings } } = lineIntegrals({ views: blue(frames.views), dark: frames.dark, flat: blue(frames.flat) }, { encoding: 'srgb' });
    expect(warnings.map(({ says }) => says)).toEqual(['The green of the photographs has only 25 % of the light of their blue: if the screen glows blue, use that channel.']);
  });
});

describe('workingGeometry(geometry, photographs, { crop, bin, mirrored })', () => {
  const cone = coneBeam({ views: 8, detectors: 101, rows: 80, pitch: 0.3, axisOffset: 2.1, rowOffset: -1.7, tilt: 0.01, sourceToAxis: 300, sourceToDetector: 450 });
  const heightOf = ({ rows, rowOffset, pitch }: typeof cone, row: number) => (row - (rows - 1) / 2) * pitch - rowOffset;

  test('a working cell lies at the mean of the pixels in it', () => {
    fc.assert(fc.property(fc.integer({ min: 0, max: 20 }), fc.integer({ min: 0, max: 20 }), fc.integer({ min: 1, max: 4 }), fc.integer({ min: 20, max: 60 }), fc.boolean(), (left, top, bin, size, mirrored) => {
      const crop = { left, top, width: size, height: size };
      const working = workingGeometry(cone, { width: 101, height: 80 }, { crop, bin, mirrored });
      for (const j of [0, working.detectors - 1]) {
        const stored = left + (mirrored ? working.detectors - 1 - j : j) * bin; // first pixel of the square, as the camera stored it
        const positions = Array.from({ length: bin }, (_, k) => detectorPosition(cone, mirrored ? 100 - (stored + k) : stored + k));
        expect(detectorPosition(working, j)).toBeCloseTo(positions.reduce((sum, s) => sum + s, 0) / bin, 9);
        const fromTop = top + (working.rows - 1 - Math.min(j, working.rows - 1)) * bin;
        const heights = Array.from({ length: bin }, (_, k) => heightOf(cone, 79 - (fromTop + k)));
        expect(heightOf(working, Math.min(j, working.rows - 1))).toBeCloseTo(heights.reduce((sum, z) => sum + z, 0) / bin, 9);
      }
    }), { seed: 10 });
  });

  test('a detector of another size than the photographs is refused with both', async () => {
    expect(await refusal(() => workingGeometry(cone, { width: 202, height: 160 }, {}))).toContain('202 × 160 pixels, and the detector is said to have 101 columns and 80 rows');
  });
});
