import { disc, discMask, fbp, lightToSrgb, parallelBeam, projectPhantom, srgbToLight, suppressRingsOf, type Image, type Sinogram } from '../../lib/index.ts';
import { definePlate, type Numbers } from '../frame/definition.ts';
import { remember } from '../frame/remember.ts';
import { hardened, straightenWater } from './hardening.ts';

export type Fault = 'curve' | 'haze' | 'energies' | 'logarithm' | 'column';
/** through: the line integral through the middle. power: what a stored value is raised to. haze: light added everywhere, and gain: too much light in one column, both in per cent of the open light. */
export type CuppingState = { fault: Fault; mended: boolean; through: number; power: number; haze: number; gain: number };

export interface CuppingResult {
  readonly picture: Image;
  /** What the disc should be, 1/mm. */
  readonly mu: number;
  /** Mean attenuation in the middle, and near the rim, 1/mm. */
  readonly middle: number;
  readonly rim: number;
  /** The line integral through the middle as it was taken. */
  readonly through: number;
  readonly profile: { readonly x: Float64Array; readonly picture: Float64Array; readonly disc: Float64Array };
  readonly shadow: { readonly s: Float64Array; readonly taken: Float64Array; readonly exact: Float64Array };
}

/** Everything is invented. mm. */
export const object = { x: 3, y: -2, radius: 20 };
export const halfField = 28;
const size = 128;
const views = 90;
const grid = { width: size, height: size, pixelSize: (2 * halfField) / size };
const beam = parallelBeam({ views, detectors: size, pitch: grid.pixelSize });
/** The open screen, of the camera's full scale. */
export const open = 0.8;
/** The column that reads too much. */
const bad = 92;

const names: Readonly<Record<Fault, string>> = {
  curve: 'the camera’s curve', logarithm: 'no logarithm', haze: 'light added everywhere', energies: 'a beam of many energies', column: 'one column reads too much',
};
const cures: Readonly<Record<Fault, string>> = {
  curve: 'The curve of sRGB is undone.', haze: 'The added light is subtracted from both.', energies: 'The line integrals are straightened for water.', logarithm: 'The logarithm is taken.', column: 'What the column shows in all views alike is taken off.',
};

export const cupping = definePlate<CuppingState, CuppingResult>({
  id: 'cupping',
  title: 'Cups, domes and a ring',
  initial: { fault: 'curve', mended: false, through: 2, power: 1, haze: 5, gain: 4 },
  controls: {
    fault: { kind: 'choice', label: 'What is wrong', as: 'list', options: (Object.keys(names) as Fault[]).map((value) => ({ value, label: names[value] })) },
    mended: { kind: 'toggle', label: 'Put it right' },
    through: { kind: 'range', label: 'Line integral through the middle', min: 0.5, max: 4, step: 0.1 },
    power: { kind: 'range', label: 'Stored values are raised to the power of', min: 1, max: 3, step: 0.05, visible: ({ fault, mended }) => fault === 'curve' && !mended },
    haze: { kind: 'range', label: 'Light added, of the open light', min: 0, max: 20, step: 0.5, unit: '%', visible: ({ fault }) => fault === 'haze' },
    gain: { kind: 'range', label: 'The column reads too much by', min: -10, max: 10, step: 0.5, unit: '%', visible: ({ fault }) => fault === 'column' },
  },

  compute(state) {
    const mu = state.through / (2 * object.radius);
    const chords = remember('cupping', '', () => projectPhantom([disc(object.x, object.y, object.radius, 1)], beam, { cell: 'average' }));
    const exact: Sinogram = { ...chords, data: chords.data.map((mm) => mm * mu) };
    const taken = measured(exact, state);
    const picture = fbp(taken, beam, { window: 'ramp', grid });
    const row = Math.floor(size / 2 - object.y / grid.pixelSize);
    const mean = (mask: Uint8Array) => {
      let [sum, count] = [0, 0];
      for (let i = 0; i < mask.length; i++) if (mask[i]) [sum, count] = [sum + picture.data[i], count + 1];
      return sum / count;
    };
    const masks = remember('cupping-masks', '', () => {
      const within = (radius: number) => discMask(grid, object.x, object.y, radius);
      const outer = within(0.9 * object.radius), inner = within(0.75 * object.radius);
      return { middle: within(0.25 * object.radius), rim: outer.map((value, i) => value & ~inner[i] & 1) };
    });
    const x = Float64Array.from({ length: size }, (_, j) => (j + 0.5 - size / 2) * grid.pixelSize);
    const first = (sinogram: Sinogram) => Float64Array.from(sinogram.data.subarray(0, size));
    return {
      picture: { ...grid, data: picture.data }, mu, middle: mean(masks.middle), rim: mean(masks.rim), through: takenAlong(state.through, state),
      profile: { x, picture: Float64Array.from(picture.data.subarray(row * size, (row + 1) * size)), disc: x.map((x) => (Math.hypot(x - object.x, (size / 2 - row - 0.5) * grid.pixelSize - object.y) < object.radius ? mu : 0)) },
      shadow: { s: x.slice(), taken: first(taken), exact: first(exact) },
    };
  },

  describe(state, { mu, middle, rim }) {
    const bend = middle / rim - 1;
    const shape = Math.abs(bend) < 0.01 ? 'It is level from middle to rim, within 1 %' : bend < 0 ? `It is a cup: the middle lies ${percent(-bend)} below the rim` : `It is a dome: the middle lies ${percent(bend)} above the rim`;
    const what = state.fault !== 'curve' ? names[state.fault] : state.power === 1 ? 'the camera’s curve is not undone' : `in place of undoing the curve, stored values are raised to the power of ${state.power}`;
    const ring = state.fault === 'column' && !state.mended ? ' Around the axis, which is not the middle of the disc, runs a ring.' : '';
    return `${state.mended ? cures[state.fault] : `${what.replace(/^./, (letter) => letter.toUpperCase())}.`} The disc should have ${mu.toFixed(3)}/mm; its middle comes out at ${middle.toFixed(4)}/mm, its rim at ${rim.toFixed(4)}/mm. ${shape}.${ring}`;
  },

  listings: [
    { file: 'photos/linearise.ts', function: 'lightToSrgb', title: 'What the camera writes' },
    { file: 'photos/hardening.ts', function: 'hardeningCurve', title: 'Many energies, straightened' },
    { file: 'photos/rings.ts', function: 'suppressRingsSteps', title: 'Rings, kept from coming about' },
  ],
  exports(_, { picture, profile, shadow, mu }) {
    const numbers: Numbers[] = [
      { name: 'disc', label: 'The disc, 1/mm', shape: [size, size], data: picture.data },
      { name: 'profile', label: 'Through the disc', columns: { 'x (mm)': profile.x, 'picture (1/mm)': profile.picture, 'disc (1/mm)': profile.disc } },
      { name: 'view', label: 'One view', columns: { 's (mm)': shadow.s, 'as taken': shadow.taken, exact: shadow.exact } },
    ];
    return { pictures: [{ name: 'disc', label: 'The disc', image: picture, window: [0, 1.5 * mu] }], numbers };
  },
});

const percent = (share: number) => `${(100 * share).toPrecision(2)} %`;

function measured(exact: Sinogram, state: CuppingState): Sinogram {
  const taken = { ...exact, data: exact.data.map((p) => takenAlong(p, state)) };
  if (state.fault !== 'column') return taken;
  for (let view = 0; view < views; view++) taken.data[view * size + bad] -= Math.log(1 + state.gain / 100);
  if (state.mended) suppressRingsOf(taken);
  return taken;
}

/** What is taken for the line integral where it is p. The flat has gone through the same. */
export function takenAlong(p: number, { fault, mended, power, haze }: CuppingState): number {
  if (fault === 'curve') {
    const undo = (stored: number) => (mended ? srgbToLight(stored) : stored ** power);
    return -Math.log(undo(lightToSrgb(open * Math.exp(-p))) / undo(lightToSrgb(open)));
  }
  if (fault === 'haze') {
    const added = haze / 100;
    return mended ? p : -Math.log((Math.exp(-p) + added) / (1 + added));
  }
  if (fault === 'energies') {
    // Behind water that would give p at the energy to which it is straightened.
    return mended ? straightenWater(hardened(p)) : hardened(p);
  }
  if (fault === 'logarithm') return mended ? p : 1 - Math.exp(-p);
  return p;
}
