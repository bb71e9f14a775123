/** A rig that photographs a glowing screen, with the faults of a real one. Everything about it is invented. Light is a share of the camera's full scale. */
import { addGlare, capsule, coneBeam, lightToSrgb, projectSolids, type Light } from '../../lib/index.ts';
import { remember } from '../frame/remember.ts';

export const rig = {
  /** Of the photograph, pixels; pitch: mm of screen a pixel. */
  width: 160, height: 120, pitch: 0.96,
  sourceToAxis: 350, sourceToDetector: 500, keV: 60,
  /** Of the object in this photograph, and from one photograph to the next, degrees. */
  angle: 40, step: 4,
  /** Light of the uncovered screen in the middle. It falls by `vignetting` at a corner, and leans by `heel` to either side. */
  brightness: 0.8, vignetting: 0.35, heel: 0.06,
  /** Of scattered light: the standard deviation of its spread, pixels. */
  glareSigma: 16,
  /** What the camera reports in the dark, and a glow from its lower right corner on top. */
  dark: 0.008, glow: 0.02, glowReach: 40,
  hotPixels: 25, hits: 15,
  /** Columns at either side that the object never covers. */
  border: 14,
} as const;

/** What can be set about one photograph. */
export interface Shot {
  /** Exposure of this photograph against the flat, photographic stops. */
  readonly stops: number;
  /** Share of the light that is scattered, per cent. */
  readonly veil: number;
  /** Quanta that a pixel's patch of the uncovered screen absorbs. */
  readonly quanta: number;
}

/** Photographs as a camera stores them, 0…1, row 0 at the top. Dark and flat stand for the means of very many frames, without noise. */
export interface Stored {
  readonly photograph: Light;
  readonly dark: Light;
  readonly flat: Light;
  /** The views before and after, exposed as the flat and likewise without noise; they tell a gap in the object from a hit. */
  readonly neighbours: readonly Light[];
}

const { width, height } = rig;
const pixels = width * height;
/** The camera counts light in 16 bits and writes it in 8. */
const counts = 65_535;

/** The line integral along the ray to the middle of every pixel, exact; and the same in the views before and after. */
export const exact = () => remember('light-shadows', '', () => {
  const angles = [0, -rig.step, rig.step].map((turned) => ((rig.angle + turned) * Math.PI) / 180);
  const geometry = coneBeam({ angles, detectors: width, rows: height, pitch: rig.pitch, sourceToAxis: rig.sourceToAxis, sourceToDetector: rig.sourceToDetector });
  const { data } = projectSolids(capsule(), geometry, { keV: rig.keV });
  const [view, before, after] = angles.map((_, k) => {
    const upright = new Float32Array(pixels); // a photograph has its row 0 at the top
    for (let row = 0; row < height; row++) upright.set(data.subarray((k * height + height - 1 - row) * width, (k * height + height - row) * width), row * width);
    return upright;
  });
  return { view, neighbours: [before, after] };
});

/** This photograph and what goes with it. */
export function take(shot: Shot): Stored {
  const { view: shadow, neighbours } = exact();
  const { lens, darkLight, noise, hits, stored } = fixed();
  const glare = { share: shot.veil / 100, sigma: rig.glareSigma };
  const veiled = (data: Float32Array) => (shot.veil > 0 ? addGlare({ width, height, data }, glare).data : data);
  const exposure = 2 ** shot.stops;

  const screen = new Float32Array(pixels);
  for (let i = 0; i < pixels; i++) {
    const mean = shot.quanta * exposure * Math.exp(-shadow[i]);
    screen[i] = (lens[i] * (mean + Math.sqrt(mean) * noise[i])) / shot.quanta;
  }
  const seen = veiled(screen);
  const photograph = new Float32Array(pixels);
  for (let i = 0; i < pixels; i++) photograph[i] = stored[Math.round(counts * Math.min(1, Math.max(0, seen[i] + darkLight[i] + hits[i])))] / 255;
  const flat = remember('light-flat', String(shot.veil), () => veiled(lens).map((value, i) => encoded(value + darkLight[i])));
  const beside = remember('light-neighbours', String(shot.veil), () => neighbours.map((shadow) => veiled(lens.map((value, i) => value * Math.exp(-shadow[i]))).map((value, i) => encoded(value + darkLight[i]))));
  const all = [photograph, fixed().dark, flat, ...beside].map((data) => ({ width, height, data }));
  return { photograph: all[0], dark: all[1], flat: all[2], neighbours: all.slice(3) };
}

const encoded = (light: number) => lightToSrgb(Math.min(1, Math.max(0, light)));

/** What does not change from photograph to photograph. */
const fixed = () => remember('light-rig', '', () => {
  const random = randomNumbers(20_001);
  const lens = new Float32Array(pixels), darkLight = new Float32Array(pixels), noise = new Float32Array(pixels), hits = new Float32Array(pixels);
  for (let i = 0; i < pixels; i++) {
    const x = (i % width) - (width - 1) / 2, y = Math.floor(i / width) - (height - 1) / 2;
    const off = Math.hypot(x, y) / Math.hypot(width / 2, height / 2);
    lens[i] = rig.brightness * (1 - rig.vignetting * off * off) * (1 + (rig.heel * x) / (width / 2));
    const away = Math.hypot(x - width / 2, y - height / 2);
    darkLight[i] = rig.dark + rig.glow * Math.exp(-(away * away) / (2 * rig.glowReach ** 2));
    noise[i] = random.normal();
  }
  const anywhere = () => Math.floor(pixels * random.uniform());
  for (let k = 0; k < rig.hotPixels; k++) darkLight[anywhere()] += 0.05 * 16 ** random.uniform();
  for (let k = 0; k < rig.hits; k++) {
    // One pixel, or a short track.
    const [at, step, long, level] = [anywhere(), [1, width, width + 1][Math.floor(3 * random.uniform())], 1 + Math.floor(2 * random.uniform() ** 2), 0.1 * 8 ** random.uniform()];
    for (let j = 0; j < long; j++) if (at + j * step < pixels) hits[at + j * step] += level / (1 + j);
  }
  const stored = Uint8Array.from({ length: counts + 1 }, (_, count) => Math.round(255 * lightToSrgb(count / counts)));
  return { lens, darkLight, noise, hits, dark: darkLight.map(encoded), stored };
});

/** The same numbers every time: Lehmer's generator (Park & Miller, Comm. ACM 31 (1988) 1192, later multiplier, from memory), and Gaussians from pairs of them (Box & Muller). */
function randomNumbers(seed: number): { uniform: () => number; normal: () => number } {
  let state = seed;
  const uniform = () => (state = (state * 48_271) % 2_147_483_647) / 2_147_483_647;
  return { uniform, normal: () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform()) };
}
