import { detectorPosition, discMask, fbp, parallelBeam, pixelPosition, rmse } from '../../lib/index.ts';
import type { Image, ParallelBeam, Sinogram, Steps } from '../../lib/index.ts';
import { short } from '../film/numbers.ts';
import { definePlate, type Specimen } from '../frame/definition.ts';
import { remember } from '../frame/remember.ts';
import { gridFor, pictureOf, shadowsOf } from '../specimen/specimen.ts';
import { faultNames, faults, type FaultName, type Taken } from './bench.ts';

/** How strong each fault is, in the unit of its control; turn in degrees; height in cells; row in % of the radius. */
export type FaultsState = { readonly fault: FaultName; readonly turn: 180 | 360; readonly views: number; readonly height: number; readonly row: number } & { readonly [name in FaultName]: number };

export interface FaultsResult {
  readonly object: Image;
  /** What was recorded, and the line integral that its film shows white. */
  readonly sinogram: Sinogram;
  readonly greatest: number;
  /** Ends of its rows, mm from where the axis is thought to be. */
  readonly ends: readonly [left: number, right: number];
  readonly faulty: Image;
  readonly cured: Image;
  readonly repeated: boolean;
  readonly found: string;
  /** Root mean square errors in the field, 1/mm: with the fault, after the cure, and of a scan without the fault. */
  readonly errors: { readonly faulty: number; readonly cured: number; readonly clean: number };
  /** Root mean square distances from the slice of a scan without the fault, filtered alike, 1/mm: what the fault alone does. */
  readonly changes: { readonly faulty: number; readonly cured: number };
  readonly profile: { readonly x: Float64Array; readonly object: Float64Array; readonly faulty: Float64Array; readonly cured: Float64Array };
  readonly radius: number;
  readonly white: number;
}

const size = 128;
/** Wider than the field, so that an axis off its place does not cut the object off as well. */
const detectors = size + 17;

const range = (fault: FaultName, label: string, max: number, step: number, unit: string, min = 0) =>
  ({ kind: 'range', label, min, max, step, unit, visible: (state: FaultsState) => state.fault === fault }) as const;

export const faultsPlate = definePlate<FaultsState, FaultsResult>({
  id: 'faults',
  title: 'A bench of faults',
  initial: { fault: 'axis', drift: 40, truncated: 30, glare: 10, noise: 2, lost: 3, moved: 4, wobble: 1.5, column: 12, axis: 2, tilt: 2, curve: 100, hardening: 40, height: 50, turn: 360, views: 45, row: 20 },
  controls: {
    fault: { kind: 'choice', label: 'Fault', as: 'list', options: faultNames.map((value) => ({ value, label: faults[value].label })) },
    drift: range('drift', 'Light lost by the end of the scan', 60, 1, '%'),
    truncated: range('truncated', 'Of the field’s width, not on the screen', 70, 1, '%'),
    glare: range('glare', 'Light that is scattered over the frame', 40, 1, '%'),
    noise: range('noise', 'Noise of the open screen', 10, 0.1, '%'),
    lost: range('lost', 'Frames never taken', 10, 1, ''),
    moved: range('moved', 'The object moved to the right by', 10, 0.1, 'cells'),
    wobble: range('wobble', 'The stage throws the axis aside by', 5, 0.1, 'cells'),
    column: range('column', 'Light that three columns lose', 95, 1, '%'),
    axis: range('axis', 'The axis falls beside the middle by', 8, 0.1, 'cells', -8),
    tilt: range('tilt', 'The axis leans by', 5, 0.1, '°', -5),
    height: { kind: 'range', label: 'Slice shown, above the middle height', min: -64, max: 64, step: 1, unit: 'cells', visible: ({ fault }) => fault === 'tilt' },
    curve: range('curve', 'How much of sRGB’s curve is left in', 100, 1, '%'),
    hardening: range('hardening', 'Energies from 60 keV, less and more by', 40, 1, 'keV'),
    turn: { kind: 'choice', label: 'Over', options: [{ value: 360, label: 'a whole turn, 360°' }, { value: 180, label: 'half a turn, 180°' }] },
    views: { kind: 'range', label: 'Views', min: 24, max: 90, step: 1 },
    row: { kind: 'range', label: 'Profile, above the middle', min: -95, max: 95, step: 1, unit: '% of the radius' },
  },
  specimens: ['head', 'capsule', 'bead', 'own'],

  *compute(state, subject): Steps<FaultsResult> {
    const { fault } = state;
    const { object, beam, clean, picture } = remember('faults-clean', `${subject.key} ${state.views} ${state.turn}`, () => prepare(subject, state.views, state.turn), 4);
    const settings = [subject.key, state.views, state.turn, fault, state[fault], fault === 'tilt' ? state.height : ''].join(' ');
    const made = remember('faults-trial', settings, () => {
      const { faulty, cured, found } = faults[fault].run(state[fault], subject, beam, clean, state.height);
      return { sinogram: faulty.sinogram, beam: faulty.beam, faulty: sliceOf(faulty, object), cured: cured === 'repeat' ? picture : sliceOf(cured, object), repeated: cured === 'repeat', found, alike: cured !== 'repeat' && cured.window ? sliceOf({ sinogram: clean, beam, window: cured.window }, object) : picture };
    }, 3);
    yield 0.8;
    const seen = Math.min(subject.radius, Math.abs(detectorPosition({ ...made.beam, axisOffset: 0 }, 0)));
    const mask = discMask(object, 0, 0, 0.98 * seen);
    const half = made.beam.pitch / 2;
    const along = (image: Image) => {
      const row = Math.min(size - 1, Math.max(0, Math.round((size - 1) / 2 - (state.row / 200) * size)));
      return Float64Array.from(image.data.subarray(row * size, (row + 1) * size));
    };
    return {
      object,
      sinogram: made.sinogram,
      greatest: clean.data.reduce((most, p) => Math.max(most, p), 0) || 1,
      ends: [detectorPosition(made.beam, 0) - half, detectorPosition(made.beam, made.beam.detectors - 1) + half],
      faulty: made.faulty,
      cured: made.cured,
      repeated: made.repeated,
      found: made.found,
      errors: { faulty: rmse(made.faulty, object, mask), cured: rmse(made.cured, object, mask), clean: rmse(picture, object, mask) },
      changes: { faulty: rmse(made.faulty, picture, mask), cured: rmse(made.cured, made.alike, mask) },
      profile: { x: Float64Array.from({ length: size }, (_, column) => pixelPosition(object, column, 0)[0]), object: along(object), faulty: along(made.faulty), cured: along(made.cured) },
      radius: subject.radius,
      white: subject.white,
    };
  },

  describe({ fault }, { changes, found, repeated }) {
    const { label, tell } = faults[fault];
    return `${label[0].toUpperCase()}${label.slice(1)}. How to tell: ${tell}. ${found} ` +
      `The fault alone changes the slice by ${short(changes.faulty)}/mm, root mean square${repeated ? '' : `; after the cure ${short(changes.cured)}/mm is left`}.`;
  },

  listings: [
    { file: 'align/find-axis.ts', function: 'findAxis', title: 'Finding the axis' },
    { file: 'photos/rings.ts', function: 'suppressRingsSteps', title: 'Taking off what would become a ring' },
    { file: 'photos/exposure.ts', function: 'evenExposure', title: 'Bringing the views to one exposure' },
    { file: 'photos/glare.ts', function: 'removeGlare', title: 'Taking off glare' },
    { file: 'photos/hardening.ts', function: 'hardeningCurve', title: 'The polynomial against beam hardening' },
  ],
  exports: ({ fault }, { faulty, cured, sinogram, profile }) => ({
    pictures: [{ name: `${fault}-slice`, label: 'The slice with the fault', image: faulty }, { name: `${fault}-cured`, label: 'The slice beside it', image: cured }],
    numbers: [
      { name: `${fault}-sinogram`, label: 'The sinogram with the fault', shape: [sinogram.views, sinogram.detectors], data: sinogram.data },
      { name: `${fault}-slice`, label: 'The slice with the fault, 1/mm', shape: [size, size], data: faulty.data },
      { name: `${fault}-cured`, label: 'The slice beside it, 1/mm', shape: [size, size], data: cured.data },
      { name: 'profile', label: 'Profile', columns: { 'x (mm)': profile.x, 'object (1/mm)': profile.object, 'with the fault (1/mm)': profile.faulty, 'beside it (1/mm)': profile.cured } },
    ],
  }),
});

/** The object and what a rig without faults makes of it. */
function prepare(subject: Specimen, views: number, turn: number): { object: Image; beam: ParallelBeam; clean: Sinogram; picture: Image } {
  const object = remember('faults-object', subject.key, () => pictureOf(subject, gridFor(subject, size)), 2);
  const beam = parallelBeam({ views, turn: (turn * Math.PI) / 180, detectors, pitch: object.pixelSize });
  const clean = shadowsOf(subject, beam);
  return { object, beam, clean, picture: sliceOf({ sinogram: clean, beam }, object) };
}

function sliceOf({ sinogram, beam, window = 'ramp' }: Taken, { width, height, pixelSize }: Image): Image {
  return fbp(sinogram, beam, { window, grid: { width, height, pixelSize } });
}
