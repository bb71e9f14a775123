import {
  evenExposure, fillColumns, findAxis, hardeningCurve, lightOf, removeGlare, straightened, suppressRingsOf, takeLogarithm,
} from '../../lib/index.ts';
import type { ParallelBeam, Sinogram, WindowName } from '../../lib/index.ts';
import { remember } from '../frame/remember.ts';
import { shadowsOf, type Specimen } from '../specimen/specimen.ts';
import {
  bentCurve, curveLeft, darkColumns, driftAt, hardened, lostFrames, movedAt, narrowed, noisy, seenOffset, spectrumAround, storedFor, tiltedBeam, veiled, viewByView, withoutViews, wobbleAt,
} from './simulate.ts';
import { steadied, trackOf } from './track.ts';

/** In the order in which one looks: at the frames, at the sinogram, at the slice. */
export const faultNames = ['drift', 'truncated', 'glare', 'noise', 'lost', 'moved', 'wobble', 'column', 'axis', 'tilt', 'curve', 'hardening'] as const;
export type FaultName = (typeof faultNames)[number];

/** A scan as a reader has it in hand: what was recorded, and the beam that it is taken for. */
export interface Taken {
  readonly sinogram: Sinogram;
  readonly beam: ParallelBeam;
  readonly window?: WindowName;
}

export interface Trial {
  readonly faulty: Taken;
  /** What the cure makes of it; 'repeat' where nothing but another scan helps. */
  readonly cured: Taken | 'repeat';
  /** What the cure found or did, in words. */
  readonly found: string;
}

export interface Fault {
  readonly label: string;
  /** How to tell it, in one sentence. */
  readonly tell: string;
  /** strength: in the unit of its control. clean: what a good rig records in this beam. height: of the row shown, cells above the middle. */
  readonly run: (strength: number, subject: Specimen, beam: ParallelBeam, clean: Sinogram, height: number) => Trial;
}

const places = (value: number, digits = 2) => value.toFixed(digits).replace('-', '−').replace(/^−(0(\.0*)?)$/, '$1');
const goesRound = ({ angles }: ParallelBeam) => angles[angles.length - 1] > 1.5 * Math.PI;

/** Where the axis falls, mm, and how it was found: from opposite views over a whole turn, from the middles of the shadows over half of one. */
function axisIn(sinogram: Sinogram, beam: ParallelBeam): { offset: number; how: string } {
  if (goesRound(beam)) return { offset: findAxis(sinogram, beam).axisOffset, how: 'from opposite views' };
  return { offset: beam.axisOffset + trackOf(sinogram, beam).offset, how: 'from the middles of the shadows' };
}

/** The open screen of the bench's camera, of full scale. */
export const openScreen = 0.9;
/** Cells at either end of a row that no part of the object covers. */
const openCells = 6;
/** A column that loses more light than this, %, is a dead one: rings are suppressed up to a line integral of 0.15. */
const mostOffGain = 100 * (1 - Math.exp(-0.15));
/** Where the dark columns are, shares of the field's radius from the axis. */
export const darkPlaces = [-0.62, 0.12, 0.38];
const tiltHeight = 40;

export const faults: Readonly<Record<FaultName, Fault>> = {
  axis: {
    label: 'axis off its place',
    tell: 'edges are doubled at every height, a point is a ring after a whole turn and a tuning fork after half of one, and a view turned over does not fall on the opposite one',
    run(cells, subject, beam) {
      const sinogram = shadowsOf(subject, { ...beam, axisOffset: cells * beam.pitch });
      const { offset, how } = axisIn(sinogram, beam);
      return { faulty: { sinogram, beam }, cured: { sinogram, beam: { ...beam, axisOffset: offset } }, found: `The axis, found ${how}, lies ${places(offset / beam.pitch)} cells from the middle.` };
    },
  },
  tilt: {
    label: 'screen tilted against the axis',
    tell: 'slices near the middle height are sharp, and doubled edges grow with the height above or below it, with the offset changing sides in between',
    run(degrees, subject, beam, _, height) {
      const tilt = (degrees * Math.PI) / 180;
      const row = (cells: number) => shadowsOf(subject, tiltedBeam(beam, tilt, cells * beam.pitch));
      const [low, high] = [-tiltHeight, tiltHeight].map((cells) => axisIn(row(cells), beam).offset);
      const angle = Math.atan2(high - low, 2 * tiltHeight * beam.pitch);
      const sinogram = row(height);
      return {
        faulty: { sinogram, beam },
        cured: { sinogram, beam: { ...tiltedBeam(beam, angle, height * beam.pitch), axisOffset: height * beam.pitch * Math.sin(angle) + ((high + low) / 2) * Math.cos(angle) } },
        found: `The axis, found ${tiltHeight} rows below and above the middle, leans by ${places((angle * 180) / Math.PI)}°.`,
      };
    },
  },
  wobble: {
    label: 'stage that wobbles',
    tell: 'the sinogram’s curves have a ripple that no sinusoid has, and points become small stars or triangles, not rings',
    run(cells, subject, beam) {
      const sinogram = seenOffset(subject, beam, (angle) => wobbleAt(angle, cells * beam.pitch));
      const { residual } = trackOf(sinogram, beam);
      const rms = Math.sqrt(residual.reduce((sum, each) => sum + each ** 2, 0) / residual.length) / beam.pitch;
      return { faulty: { sinogram, beam }, cured: { sinogram: steadied(sinogram, beam), beam }, found: `The middles of the shadows left their sinusoid by ${places(rms)} cells, rms; each view was moved back onto it.${goesRound(beam) ? '' : ' Over half a turn a part of the wobble passes for a displacement of the whole object, which no shadow can tell from it.'}` };
    },
  },
  lost: {
    label: 'frames lost unnoticed',
    tell: 'there are fewer frames than steps, a curve of the sinogram jumps at a row, and the slice looks as if two pictures, turned against each other, were laid together',
    run(count, _, beam, clean) {
      const gone = lostFrames(beam.angles.length, count);
      const kept = beam.angles.flatMap((_, view) => (gone.includes(view) ? [] : [view]));
      const sinogram = withoutViews(clean, kept);
      return {
        faulty: { sinogram, beam: { ...beam, angles: beam.angles.slice(0, kept.length) } },
        cured: { sinogram, beam: { ...beam, angles: kept.map((view) => beam.angles[view]) } },
        found: count === 0 ? 'Every frame has its own angle.' : `Frame${count === 1 ? '' : 's'} ${gone.map((view) => view + 1).join(', ')} of ${beam.angles.length} ${count === 1 ? 'is' : 'are'} missing; with that known, every other frame has its own angle.`,
      };
    },
  },
  moved: {
    label: 'object that moved',
    tell: 'the sinogram’s curves have a step at one row, and in the slice every edge is there twice, once for the views before and once for those after',
    run(cells, subject, beam) {
      const from = Math.floor(0.4 * beam.angles.length);
      const sinogram = seenOffset(subject, beam, (angle, view) => (view < from ? 0 : movedAt(angle, cells * beam.pitch)));
      return { faulty: { sinogram, beam }, cured: 'repeat', found: `It moved before view ${from + 1}. Nothing in the library takes that back: fasten it and scan again, which is the picture shown.` };
    },
  },
  truncated: {
    label: 'object wider than the screen',
    tell: 'the shadow reaches the end of the frame in some views, and the slice has a bright rim at the edge of the field and values that are too high inside',
    run(percent, _, beam, clean) {
      // The bench's screen is a little wider than the object's field; what it loses counts from the field.
      const field = Math.floor((beam.detectors - 129) / 2);
      const cells = percent === 0 ? 0 : field + Math.round((percent / 200) * 128);
      const sinogram = narrowed(clean, cells);
      return { faulty: { sinogram, beam: { ...beam, detectors: sinogram.detectors } }, cured: 'repeat', found: 'What fell beside the screen was not measured. Bring the object nearer to the screen, or the camera farther away, and scan again, which is the picture shown.' };
    },
  },
  column: {
    label: 'columns that see too little',
    tell: 'the sinogram has straight lines down its whole length, and the slice has rings about the axis, or half rings after half a turn',
    run(percent, _, beam, clean) {
      const cells = darkPlaces.map((place) => Math.round((beam.detectors - 1) / 2 + place * 64));
      const sinogram = darkColumns(clean, cells, percent / 100);
      const mended: Sinogram = { ...sinogram, data: sinogram.data.slice() };
      const dead = percent > mostOffGain;
      const changed = dead ? 0 : suppressRingsOf(mended).changed;
      if (dead) fillColumns({ views: mended.views, rows: 1, columns: mended.detectors, data: mended.data }, cells);
      return {
        faulty: { sinogram, beam }, cured: { sinogram: mended, beam },
        found: dead ? 'The three columns count as dead, as their flat picture would show, and were filled from their neighbours.' : `A steady offset was found in ${changed} columns and taken off.`,
      };
    },
  },
  drift: {
    label: 'exposure that drifts',
    tell: 'the open background beside the object changes its grey from frame to frame, so that the sinogram has paler and darker rows',
    run(percent, _, beam, clean) {
      const sinogram = viewByView(clean, (light, view) => light.map((value) => value * driftAt(view, clean.views, percent / 100)));
      const even = { views: clean.views, rows: 1, columns: clean.detectors, data: sinogram.data.map((p) => Math.exp(-p)) };
      const levels = evenExposure(even, { mask: Uint8Array.from({ length: clean.detectors }, (_, j) => (j < openCells || j >= clean.detectors - openCells ? 1 : 0)), share: (2 * openCells) / clean.detectors });
      takeLogarithm(even.data);
      return { faulty: { sinogram, beam }, cured: { sinogram: { ...clean, data: even.data }, beam }, found: `Each view was divided by its open background, ${places(Math.min(...levels))} to ${places(Math.max(...levels))} of the first.` };
    },
  },
  curve: {
    label: 'camera’s curve not undone',
    tell: 'values are far too low, down to less than half, while shapes and sharpness look right; thick parts lose less than thin ones',
    run(percent, _, beam, clean) {
      const share = percent / 100;
      const sinogram = curveLeft(clean, share, openScreen);
      const light = remember('faults-curve', String(percent), () => ({ of: lightOf(bentCurve(share)) }), 2).of;
      const open = storedFor(openScreen, share);
      return {
        faulty: { sinogram, beam },
        cured: { sinogram: { ...clean, data: sinogram.data.map((p) => -Math.log(light(Math.exp(-p) * open) / light(open))) }, beam },
        found: 'The curve, measured as pairs of light and stored value, was undone before the division by the open screen.',
      };
    },
  },
  glare: {
    label: 'veiling glare',
    tell: 'nothing in the frames is ever quite dark, the densest parts come out too low, and dark bands join one dense part to the next',
    run(percent, _, beam, clean) {
      const share = percent / 100;
      const sinogram = veiled(clean, share);
      const cured = viewByView(sinogram, (light) => removeGlare({ width: light.length, height: 1, data: light }, { share }).data);
      return { faulty: { sinogram, beam }, cured: { sinogram: cured, beam }, found: `${percent} % of each frame’s light, spread evenly, was taken off again.` };
    },
  },
  hardening: {
    label: 'beam hardening',
    tell: 'an even part is darker in its middle than at its rim, dark bands join dense parts, and all of it gets worse with thickness, while the screen behind something opaque stays dark',
    run(spread, _, beam, clean) {
      const sinogram = hardened(clean, spread);
      const longest = Math.max(0.1, sinogram.data.reduce((most, p) => Math.max(most, p), 0));
      const curve = hardeningCurve({ spectrum: spectrumAround(spread), material: 'aluminium', energy: 60, longest });
      return {
        faulty: { sinogram, beam },
        cured: { sinogram: { ...sinogram, data: sinogram.data.map((p) => straightened(p, curve)) }, beam },
        found: 'A polynomial of the third degree, made for aluminium and this spectrum, straightened every line integral to 60 keV.',
      };
    },
  },
  noise: {
    label: 'noise',
    tell: 'grain without a pattern, finer than anything in the object, strongest behind and between dense parts, and different in a second scan',
    run(percent, _, beam, clean) {
      const sinogram = noisy(clean, percent / 100);
      const counted = percent === 0 ? 'No noise.' : `As of ${Math.round((100 / percent) ** 2).toLocaleString('en').replaceAll(',', ' ')} photons in each open cell.`;
      return { faulty: { sinogram, beam }, cured: { sinogram, beam, window: 'hann' }, found: `${counted} The cure at the rig is more light; shown is what Hann’s window makes of the same frames.` };
    },
  },
};
