/**
 * Makes the photographs of datasets/capsule: node scripts/make-capsule.ts (some eight minutes on one core). The same bytes come out every
 * time; tests/lib/capsule-photographs.test.ts makes a few frames again and holds them against what is committed. Everything is invented.
 *
 * Light is a share of the camera's full scale in the green channel. A frame of light has its row 0 at the top, as a photograph has.
 */
import { mkdirSync, writeFileSync } from 'node:fs';
import jpeg from 'jpeg-js';
import { capsule, coneBeam, linearAttenuation, projectLight, writePlan, writeScan, type EnergyShare, type Scan, type XrayPlan } from '../src/lib/index.ts';

/** All that the simulation needs to be told; the sidecar prints these numbers. */
export const rig = {
  columns: 512, rows: 384, pitch: 0.3,
  sourceToAxis: 350, sourceToDetector: 500,
  axisOffsetPixels: 3.2, tiltDegrees: 0.7,
  views: 90, stepDegrees: 4,
  tubeKilovolts: 100, aluminiumFilter: 3, energies: [30, 40, 50, 60, 70, 80, 90],
  /** Standard deviations: the focal spot at the source and the screen's blur, mm. */
  spot: 0.2, screenBlur: 0.18,
  /** Rays along each edge of a pixel. */
  samples: 3,
  /** Light of the uncovered screen in the middle. It falls by `vignetting` at a corner, and leans by `heel` to either side. */
  brightness: 0.8, vignetting: 0.35, heel: 0.06,
  /** Of all light, the share that is scattered, and how far: a standard deviation in pixels. */
  glareShare: 0.03, glareSigma: 50,
  /** X-ray quanta that one pixel's patch of screen absorbs when uncovered; electrons of full scale in green, red and blue; read noise in electrons. */
  quanta: 15_000, electrons: [12_000, 24_000, 12_000], readNoise: 8,
  /** Colour of the glow: red, green, blue, linear. */
  colour: [0.13, 1, 0.2],
  dark: 0.003, glow: 0.004, glowReach: 120, hotPixels: 60,
  /** Photons that hit the camera itself: so many marks a frame, on average. */
  hits: 30,
  /** How much the tube's output wanders from frame to frame, standard deviation. */
  flicker: 0.006,
  quality: 94,
  calibrationFrames: 3,
} as const;

/** Of the 45 steps of 8°, those of which no photograph was taken in the second set. */
export const lostSteps: readonly number[] = [6, 17, 18, 29, 40];

/** In the third set the camera lets its exposure sink by 0.35 stops over the turn, and once puts it up by a sixth of a stop. */
const drift = (frame: number): number => 2 ** (-0.35 * (frame / 44) + (frame >= 19 ? 1 / 6 : 0));

export type SetName = 'views' | 'lost' | 'drift' | 'dark' | 'flat';
interface Frame {
  readonly path: string;
  /** Which of the 90 views; none for dark and flat frames. */
  readonly view?: number;
  readonly seed: number;
  /** Exposure by the camera's doing; the tube's flicker comes on top. */
  readonly exposure: number;
  readonly beam: boolean;
}

const padded = (number: number, digits: number) => String(number).padStart(digits, '0');
const everySecond = Array.from({ length: 45 }, (_, step) => step);

/** The photographs, set by set, in the order in which they were taken. */
export const sets: Readonly<Record<SetName, readonly Frame[]>> = {
  dark: Array.from({ length: rig.calibrationFrames }, (_, k) => ({ path: `dark/dark-${k + 1}.jpg`, seed: 9000 + k, exposure: 1, beam: false })),
  flat: Array.from({ length: rig.calibrationFrames }, (_, k) => ({ path: `flat/flat-${k + 1}.jpg`, seed: 8000 + k, exposure: 1, beam: true })),
  views: Array.from({ length: rig.views }, (_, view) => ({ path: `views/view-${padded(view + 1, 3)}.jpg`, view, seed: 1000 + view, exposure: 1, beam: true })),
  lost: everySecond.filter((step) => !lostSteps.includes(step)).map((step, k) => ({ path: `lost/capsule-${padded(k + 1, 2)}.jpg`, view: 2 * step, seed: 2000 + step, exposure: 1, beam: true })),
  drift: everySecond.map((step) => ({ path: `drift/drift-${padded(step + 1, 2)}.jpg`, view: 2 * step, seed: 3000 + step, exposure: drift(step), beam: true })),
};

/** Kramers' law behind aluminium, for a screen whose light goes with the energy it absorbs and that absorbs the same share of each. */
export const spectrum: readonly EnergyShare[] = rig.energies.map((keV) => ({
  keV, share: (rig.tubeKilovolts - keV) * Math.exp(-rig.aluminiumFilter * linearAttenuation('aluminium', keV)),
}));

export const geometry = coneBeam({
  views: rig.views, detectors: rig.columns, rows: rig.rows, pitch: rig.pitch, axisOffset: rig.axisOffsetPixels * rig.pitch,
  tilt: (rig.tiltDegrees * Math.PI) / 180, sourceToAxis: rig.sourceToAxis, sourceToDetector: rig.sourceToDetector,
});

interface Plane { readonly width: number; readonly height: number; readonly data: Float64Array }

/**
 * What the screen shows in a view, of 1 beside the object, without noise: energies, focal spot, pixels and the screen's blur are in it;
 * the light's way to the camera is not. −ln of it is the line integral that a perfect photograph gives.
 */
export function trueLight(view: number, samples: number = rig.samples): Plane {
  return blurred(shadow(view, samples), rig.screenBlur / rig.pitch);
}

/** The same before the screen has blurred it. */
export function shadow(view: number, samples: number): Plane {
  const { columns: width, rows: height } = rig;
  const { data } = projectLight(capsule(), { ...geometry, angles: [geometry.angles[view]] }, spectrum, { samples, spot: rig.spot });
  const upright = new Float64Array(width * height);
  for (let row = 0; row < height; row++) upright.set(data.subarray((height - 1 - row) * width, (height - row) * width), row * width);
  return { width, height, data: upright };
}

export interface Taken {
  /** The file. */
  readonly bytes: Uint8Array;
  /** Exposure and tube together, 1 as in a usual flat frame. */
  readonly exposure: number;
  /** Pixels, column and row from the upper left, that a photon lit in the camera. */
  readonly hits: readonly (readonly [column: number, row: number])[];
}

/** Takes one photograph. `seen` is the shadow of its view, where that is at hand already. */
export function photograph(frame: Frame, seen?: Plane): Taken {
  const { columns, rows, colour, electrons } = rig;
  const random = randomNumbers(frame.seed);
  const exposure = frame.exposure * (frame.beam ? 1 + rig.flicker * random.gaussian() : 1);
  const light = frame.beam ? onTheCamera(seen ?? (frame.view === undefined ? undefined : shadow(frame.view, rig.samples)), exposure, random) : new Float64Array(columns * rows);
  const hits = frame.beam ? directHits(random) : [];
  const marks = new Float64Array(columns * rows);
  for (const { column, row, level } of hits) marks[row * columns + column] += level;

  const rgba = new Uint8Array(4 * columns * rows);
  for (let i = 0; i < light.length; i++) {
    for (let c = 0; c < 3; c++) {
      // photons of this exposure in the camera, then its own reading of them
      const mean = electrons[c] * (light[i] * colour[c] + frame.exposure * darkCurrent[i] + marks[i]);
      const read = mean + Math.sqrt(mean) * random.gaussian() + rig.readNoise * random.gaussian();
      rgba[4 * i + c] = Math.round(255 * srgb(Math.min(1, Math.max(0, read / electrons[c]))));
    }
    rgba[4 * i + 3] = 255;
  }
  const { data } = jpeg.encode({ data: rgba, width: columns, height: rows }, rig.quality);
  return { bytes: new Uint8Array(data), exposure, hits: hits.map(({ column, row }) => [column, row] as const) };
}

/** Light of the screen as the lens gathers it: quanta counted, blurred by the screen, dimmer towards the corners, veiled by glare. */
function onTheCamera(seen: Plane | undefined, exposure: number, random: RandomNumbers): Float64Array {
  const margin = 3 * rig.glareSigma; // glare comes from beside the frame too, where the screen is uncovered
  const width = rig.columns + 2 * margin;
  const height = rig.rows + 2 * margin;
  const quanta = new Float64Array(width * height);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const [column, row] = [x - margin, y - margin];
      const within = seen && column >= 0 && column < rig.columns && row >= 0 && row < rig.rows;
      const heel = 1 + (rig.heel * (column - (rig.columns - 1) / 2)) / (rig.columns / 2);
      const mean = rig.quanta * exposure * heel * (within ? seen.data[row * rig.columns + column] : 1);
      quanta[y * width + x] = (mean + Math.sqrt(mean) * random.gaussian()) / rig.quanta;
    }
  }
  const screen = blurred({ width, height, data: quanta }, rig.screenBlur / rig.pitch);
  const corner = Math.hypot(rig.columns, rig.rows) / 2;
  const lens = { width, height, data: screen.data.map((value, i) => {
    const from = Math.hypot((i % width) - (width - 1) / 2, Math.floor(i / width) - (height - 1) / 2) / corner;
    return rig.brightness * value * Math.max(0, 1 - rig.vignetting * from * from);
  }) };
  const veil = blurred(lens, rig.glareSigma);
  const light = new Float64Array(rig.columns * rig.rows);
  for (let row = 0; row < rig.rows; row++) {
    for (let column = 0; column < rig.columns; column++) {
      const i = (row + margin) * width + column + margin;
      light[row * rig.columns + column] = (1 - rig.glareShare) * lens.data[i] + rig.glareShare * veil.data[i];
    }
  }
  return light;
}

/** Pixels that always report more light than there is. */
export const hotPixels: readonly { readonly column: number; readonly row: number; readonly level: number }[] = (() => {
  const random = randomNumbers(77);
  return Array.from({ length: rig.hotPixels }, () => ({ column: Math.floor(rig.columns * random.uniform()), row: Math.floor(rig.rows * random.uniform()), level: 0.04 * 20 ** random.uniform() }));
})();

/** What the camera reports in the dark: a little everywhere, a glow from its lower right corner, and its hot pixels. */
const darkCurrent: Float64Array = (() => {
  const data = Float64Array.from({ length: rig.columns * rig.rows }, (_, i) => {
    const away = Math.hypot(rig.columns - 1 - (i % rig.columns), rig.rows - 1 - Math.floor(i / rig.columns));
    return rig.dark + rig.glow * Math.exp(-(away * away) / (2 * rig.glowReach ** 2));
  });
  for (const { column, row, level } of hotPixels) data[row * rig.columns + column] += level;
  return data;
})();

/** A photon that meets the camera lights one pixel, or a few in a line. */
function directHits(random: RandomNumbers): { column: number; row: number; level: number }[] {
  const marks = Math.max(0, Math.round(rig.hits + Math.sqrt(rig.hits) * random.gaussian()));
  return Array.from({ length: marks }, () => {
    const [x, y, angle, level] = [rig.columns * random.uniform(), rig.rows * random.uniform(), 2 * Math.PI * random.uniform(), 0.05 * 16 ** random.uniform()];
    const long = 1 + Math.floor(3 * random.uniform() ** 2);
    return Array.from({ length: long }, (_, k) => ({ column: Math.floor(x + k * Math.cos(angle)), row: Math.floor(y + k * Math.sin(angle)), level: level / (1 + k) }));
  }).flat().filter(({ column, row }) => column >= 0 && column < rig.columns && row >= 0 && row < rig.rows);
}

/** Blurred by a Gaussian, sigma in pixels; the edge goes on beyond the edge. */
function blurred({ width, height, data }: Plane, sigma: number): Plane {
  const reach = Math.ceil(3.5 * sigma);
  const weights = Float64Array.from({ length: 2 * reach + 1 }, (_, k) => Math.exp(-((k - reach) ** 2) / (2 * sigma * sigma)));
  const whole = weights.reduce((total, weight) => total + weight, 0);
  const pass = (from: Float64Array, count: number, step: number, lines: number, stride: number): Float64Array => {
    const to = new Float64Array(from.length);
    const line = new Float64Array(count + 2 * reach);
    for (let n = 0; n < lines; n++) {
      for (let k = 0; k < line.length; k++) line[k] = from[n * stride + Math.min(count - 1, Math.max(0, k - reach)) * step];
      for (let k = 0; k < count; k++) {
        let sum = 0;
        for (let j = 0; j < weights.length; j++) sum += weights[j] * line[k + j];
        to[n * stride + k * step] = sum / whole;
      }
    }
    return to;
  };
  return { width, height, data: pass(pass(data, width, 1, height, width), height, width, width, 1) };
}

/** What a camera writes for a light of 0…1. Source: IEC 61966-2-1:1999. */
const srgb = (light: number): number => (light <= 0.0031308 ? 12.92 * light : 1.055 * light ** (1 / 2.4) - 0.055);

interface RandomNumbers { readonly uniform: () => number; readonly gaussian: () => number }

/** Always the same numbers for a seed: a 32-bit xorshift (Marsaglia 2003), and Gaussians from pairs of them (Box & Muller 1958). */
function randomNumbers(seed: number): RandomNumbers {
  let state = Math.imul(seed + 1, 0x9e3779b1) | 1;
  const uniform = () => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    return (state >>> 0) / 2 ** 32;
  };
  for (let k = 0; k < 20; k++) uniform();
  const gaussian = () => Math.sqrt(-2 * Math.log(1 - uniform())) * Math.cos(2 * Math.PI * uniform());
  return { uniform, gaussian };
}

/** The scan files, by name: what somebody with these photographs would know. The axis' place and its tilt are not in them. */
export function scanFiles(): Map<string, Scan> {
  const paths = (name: SetName) => sets[name].map(({ path }) => path);
  const scan = (title: string, angles: Scan['angles'], files: readonly string[]): Scan => ({
    format: 'scan', version: 1, title,
    beam: { shape: 'cone', sourceToAxis: rig.sourceToAxis, sourceToDetector: rig.sourceToDetector },
    detector: { pitch: rig.pitch, columns: rig.columns, rows: rig.rows },
    angles, turn: 'counterclockwise',
    frames: { kind: 'photographs', files, dark: paths('dark'), flat: paths('flat'), encoding: 'srgb', bin: 2 },
  });
  const step = 2 * rig.stepDegrees;
  return new Map([
    ['scan.json', scan('Sealed capsule, 45 photographs', { start: 0, step, count: 45 }, paths('views').filter((_, view) => view % 2 === 0))],
    ['scan-90.json', scan('Sealed capsule, 90 photographs', { start: 0, step: rig.stepDegrees, count: rig.views }, paths('views'))],
    ['lost-frames.scan.json', scan('Sealed capsule, photographs missing', { start: 0, step, count: 45 - lostSteps.length }, paths('lost'))],
    ['drift.scan.json', scan('Sealed capsule, exposure drifting', { start: 0, step, count: 45 }, paths('drift'))],
  ]);
}

/** What a reader of the scan files should find out. `taken`: every photograph, by path. */
export function truth(taken: ReadonlyMap<string, Pick<Taken, 'exposure' | 'hits'>>): string {
  const round = (value: number, digits: number) => Number(value.toFixed(digits));
  const whole = spectrum.reduce((total, { share }) => total + share, 0);
  const figures = {
    about: 'Invented. What was put into the photographs of this folder; pixels are counted from the upper left, columns first. See README.md.',
    axisOffset: { pixels: rig.axisOffsetPixels, mm: round(rig.axisOffsetPixels * rig.pitch, 6) },
    tilt: { degrees: rig.tiltDegrees },
    rowOffset: { mm: 0 },
    lostFrames: { steps: 45, stepDegrees: 2 * rig.stepDegrees, notTaken: lostSteps, taken: everySecond.filter((step) => !lostSteps.includes(step)) },
    glare: { share: rig.glareShare, sigmaPixels: rig.glareSigma },
    spectrum: spectrum.map(({ keV, share }) => ({ keV, share: round(share / whole, 6) })),
    hotPixels: hotPixels.map(({ column, row }) => [column, row]),
    exposure: Object.fromEntries([...taken].map(([path, { exposure }]) => [path, round(exposure, 5)])),
    directHits: Object.fromEntries([...taken].filter(([, { hits }]) => hits.length > 0).map(([path, { hits }]) => [path, hits])),
  };
  return `${JSON.stringify(figures, null, 1).replace(/\[\s+(-?[\d.]+(?:,\s+-?[\d.]+)*)\s+\]/g, (_, list: string) => `[${list.replace(/\s+/g, '')}]`).replace(/\],\s+\[/g, '],[')}\n`;
}

/** Width of the sensor that the picture fills, mm: with a smaller one, farther from the same screen, a lens of this f-number would gather far less light than these photographs have. */
const planSensor = 23.5;

/** The scan of scan.json as it would have been planned; what the rig above does not say of tube, screen, stage and room is invented for it. */
export function planFile(): XrayPlan {
  const width = (deviation: number) => Number((deviation * 2 * Math.sqrt(2 * Math.log(2))).toFixed(3)); // full width at half maximum of a Gaussian
  return {
    format: 'plan', version: 1, title: 'Sealed capsule, 45 photographs',
    object: { kind: 'capsule' },
    tube: { anode: 'tungsten', kVp: rig.tubeKilovolts, mA: 0.05, focalSpot: width(rig.spot), heatLimit: 2000, coolingTime: 300, housing: 'bare' },
    filters: [{ material: 'aluminium', thickness: rig.aluminiumFilter }],
    distances: { sourceToAxis: rig.sourceToAxis, sourceToDetector: rig.sourceToDetector },
    screen: { coating: 60, blur: width(rig.screenBlur) },
    camera: { pitch: rig.pitch, sensorPixel: Number((planSensor / rig.columns).toFixed(4)), columns: rig.columns, rows: rig.rows, fNumber: 1.4, readNoise: rig.readNoise, fullWell: rig.electrons[1], quantumEfficiency: 0.6, bits: 8 },
    exposure: { seconds: 1 },
    views: { count: 45, turn: 360, start: 0, direction: 'counterclockwise' },
    stage: { fullSteps: 200, microsteps: 16, gear: { motor: 1, table: 1 } },
    room: { distance: 4000, barrier: { material: 'lead', thickness: 2 }, occupancy: 1, scansPerYear: 10, minutes: 10 },
  };
}

export function readme(): string {
  const whole = spectrum.reduce((total, { share }) => total + share, 0);
  const percent = (share: number) => `${Number((100 * share).toFixed(1))} %`;
  return `# The sealed capsule in photographs

Invented, every part of it: nobody made this object, and no camera took these pictures. \`scripts/make-capsule.ts\` computed them from
exact solids (\`capsule()\` in \`src/lib/phantom/capsule.ts\`) with this project's own library: for practice, not a measurement, and no check of
the library. Licence CC BY 4.0.

A polyethylene egg, 72 mm high, holds an aluminium hex nut (18 mm across flats), a glass marble (16 mm), a steel coil spring (0.7 mm wire), a
wooden bead (14 mm) and a vial half full of oil. Attenuation is that of \`datasets/attenuation\`; oil is taken as polyethylene of 0.87 g/cm³.

| file | what |
| --- | --- |
| \`scan.json\` | 45 photographs, 8° apart: every second of \`views/\` |
| \`scan-90.json\` | all 90 of \`views/\`, 4° apart |
| \`lost-frames.scan.json\` | \`lost/\`: 45 steps of 8°, of which five were never photographed; the other 40 are numbered without gaps, and the angles in the file are what somebody would write who knows only that the step is 8° |
| \`drift.scan.json\` | \`drift/\`: 45 photographs, 8° apart; the camera let its exposure sink by 0.35 stops over the turn, and once (at the 20th) put it up by a sixth |
| \`plan.json\` | the scan of \`scan.json\` as a plan, before anything is switched on: the same beam, screen and camera as far as they are told below; the tube's limits, the stage and the room are invented for it and no advice. The picture is taken to fill a sensor ${planSensor} mm wide, many of whose own pixels make one of the picture: so much light does an f/1.4 lens gather there as the photographs have, and with the single pixels of a small sensor it would be a hundredth |
| \`dark/\`, \`flat/\` | three frames with the beam off, three with the beam on and no object; they serve all four |
| \`truth.json\` | what a reader should find out: the axis, the tilt, the frames not taken (steps counted from 0), exposures, hot pixels, direct hits |

What went into a photograph, in this order:

- **Beam.** A cone, ${rig.sourceToAxis} mm from source to axis, ${rig.sourceToDetector} mm to the screen; the source goes round counter-clockwise seen from above. The axis falls
  ${rig.axisOffsetPixels} pixels (${Number((rig.axisOffsetPixels * rig.pitch).toFixed(3))} mm) right of the middle and leans ${rig.tiltDegrees}° to the right going up; the plane of the source falls on the middle row. A pixel is ${rig.pitch} mm of
  screen, ${rig.columns} × ${rig.rows} of them.
- **Spectrum.** ${rig.tubeKilovolts} kV by Kramers' law behind ${rig.aluminiumFilter} mm of aluminium; each photon gives light in proportion to its energy, and the screen absorbs the same share
  at every energy, which no real screen does: shares (${rig.tubeKilovolts} − E)·exp(−${rig.aluminiumFilter} mm·μ(E)), so ${spectrum.map(({ keV, share }) => `${keV} keV ${percent(share / whole)}`).join(', ')}. No scatter.
- **Unsharpness.** A focal spot of Gaussian shape, standard deviation ${rig.spot} mm, and a screen that blurs by ${rig.screenBlur} mm (standard deviation, on the
  screen). ${rig.samples ** 2} rays a pixel.
- **Quanta.** ${rig.quanta.toLocaleString('en-GB')} absorbed in a pixel's patch of the uncovered screen, with the noise of that count; blurred by the screen together with the picture.
- **Tube.** From frame to frame its output wanders by ${percent(rig.flicker)} (standard deviation). It is ${percent(rig.heel)} stronger at the right edge than in the middle and as much
  weaker at the left.
- **Lens.** Uncovered, the middle of the screen has ${rig.brightness} of full scale in green, a corner ${percent(rig.vignetting)} less, falling with the square of the distance.
- **Veiling glare.** ${percent(rig.glareShare)} of all light is scattered, over a Gaussian of standard deviation ${rig.glareSigma} pixels; the screen goes on, uncovered, beside the frame.
- **Camera.** A dark current of ${rig.dark} of full scale, a glow of ${rig.glow} more from the lower right corner (Gaussian, ${rig.glowReach} pixels), ${rig.hotPixels} hot pixels, about ${rig.hits} marks
  a frame where a photon met the camera itself. Full scale is ${rig.electrons[1].toLocaleString('en-GB')} electrons in green and ${rig.electrons[0].toLocaleString('en-GB')} in red and blue; read noise ${rig.readNoise} electrons.
- **File.** Colour ${rig.colour.join(' : ')} (red, green, blue, linear), written with sRGB's curve in 8 bits, JPEG of quality ${rig.quality} without coarser colour. No EXIF.

Noise is seeded frame by frame (seeds ${sets.views[0].seed}, ${sets.lost[0].seed}, ${sets.drift[0].seed}, ${sets.flat[0].seed} and ${sets.dark[0].seed} upwards), so the script makes the same bytes every time. The three sets show the same object in the
same place, photographed anew: no photograph is a copy of another.
`;
}

if (import.meta.main) {
  const folder = new URL('../datasets/capsule/', import.meta.url);
  const write = (path: string, content: string | Uint8Array) => {
    mkdirSync(new URL('./', new URL(path, folder)), { recursive: true });
    writeFileSync(new URL(path, folder), content);
  };
  const frames = Object.values(sets).flat().sort((a, b) => (a.view ?? -1) - (b.view ?? -1)); // the views of all sets together: a shadow is computed once
  const taken = new Map<string, Taken>(frames.map(({ path }) => [path, undefined as unknown as Taken]));
  let seen: Plane | undefined;
  let seenView: number | undefined;
  let bytes = 0;
  for (const frame of frames) {
    if (frame.view !== seenView) [seenView, seen] = [frame.view, frame.view === undefined ? undefined : shadow(frame.view, rig.samples)];
    const made = photograph(frame, seen);
    taken.set(frame.path, made);
    bytes += made.bytes.length;
    write(frame.path, made.bytes);
    console.log(`${frame.path}, ${made.bytes.length} bytes`);
  }
  for (const [name, scan] of scanFiles()) write(name, writeScan(scan));
  write('truth.json', truth(new Map(Object.values(sets).flat().map(({ path }) => [path, taken.get(path)!]))));
  write('plan.json', writePlan(planFile()));
  write('README.md', readme());
  console.log(`${frames.length} photographs, ${bytes} bytes`);
}
