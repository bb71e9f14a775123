/** What can go wrong with a scan, each fault as a pure function from what a good rig would have recorded to what this one did. */
import { addGlare, lightToSrgb, linearAttenuation, manyEnergies, parallelBeam } from '../../lib/index.ts';
import type { MeasuredCurve, ParallelBeam, Sinogram } from '../../lib/index.ts';
import { shadowsOf, type Specimen } from '../specimen/specimen.ts';

/** The object as a detector sees it on which the axis falls, in view after view, so many mm from where the beam says. */
export function seenOffset(subject: Specimen, beam: ParallelBeam, offset: (angle: number, view: number) => number): Sinogram {
  const data = new Float32Array(beam.angles.length * beam.detectors);
  beam.angles.forEach((angle, view) => {
    data.set(shadowsOf(subject, parallelBeam({ ...beam, angles: [angle], axisOffset: beam.axisOffset + offset(angle, view) })).data, view * beam.detectors);
  });
  return { views: beam.angles.length, detectors: beam.detectors, data };
}

/** The beam of one row of a detector that is turned in its own plane by `tilt` radians, `height` mm above the middle, for an object that is alike at all heights. */
export function tiltedBeam(beam: ParallelBeam, tilt: number, height: number): ParallelBeam {
  return { ...beam, pitch: beam.pitch * Math.cos(tilt), axisOffset: beam.axisOffset * Math.cos(tilt) + height * Math.sin(tilt) };
}

/** How far a stage throws the axis aside, mm: three times a turn. */
export const wobbleAt = (angle: number, reach: number): number => reach * Math.sin(3 * angle);

/** How far the object's own step, made `distance` mm to the right, moves it along the screen. */
export const movedAt = (angle: number, distance: number): number => distance * Math.cos(angle);

/** Which of so many frames were never taken, by lot, the same every time: no first frame, so that the turn begins where it is thought to. */
export function lostFrames(views: number, count: number): number[] {
  const drawn = (view: number) => {
    const lot = Math.sin(12.9898 * view) * 43758.5453;
    return lot - Math.floor(lot);
  };
  return Array.from({ length: views - 1 }, (_, k) => k + 1).sort((a, b) => drawn(a) - drawn(b)).slice(0, count).sort((a, b) => a - b);
}

/** The rows of the views that are left. */
export function withoutViews({ detectors, data }: Sinogram, kept: readonly number[]): Sinogram {
  const left = new Float32Array(kept.length * detectors);
  kept.forEach((view, row) => left.set(data.subarray(view * detectors, (view + 1) * detectors), row * detectors));
  return { views: kept.length, detectors, data: left };
}

/** Cells that lose a share of their light in every view. */
export function darkColumns(sinogram: Sinogram, cells: readonly number[], share: number): Sinogram {
  const data = sinogram.data.slice();
  for (const cell of cells) for (let i = cell; i < data.length; i += sinogram.detectors) data[i] -= Math.log(1 - share);
  return { ...sinogram, data };
}

/** What a camera stores for a light of 0…1, by a curve between none (share 0) and that of sRGB (1). */
export const storedFor = (light: number, share: number): number => (1 - share) * light + share * lightToSrgb(light);

/** That curve as pairs of stored value and light, in steps that grow: it bends most where it is dark. */
export function bentCurve(share: number): MeasuredCurve {
  const light = Array.from({ length: 129 }, (_, k) => (k / 128) ** 3);
  return { light, stored: light.map((value) => storedFor(value, share)) };
}

/** The line integrals that come of taking stored values for light, the open screen at `open` of full scale. */
export function curveLeft(sinogram: Sinogram, share: number, open: number): Sinogram {
  const most = storedFor(open, share);
  return { ...sinogram, data: sinogram.data.map((p) => -Math.log(storedFor(open * Math.exp(-p), share) / most)) };
}

/** Energies from 60 keV less to 60 keV more so many, every 2 keV, all with the same share of the light. */
export function spectrumAround(spread: number): { keV: number; share: number }[] {
  const count = Math.round(spread);
  return Array.from({ length: count + 1 }, (_, k) => ({ keV: 60 - count + 2 * k, share: 1 }));
}

/** Line integrals at 60 keV as a beam of these energies gives them, if the whole object is of aluminium. */
export function hardened(sinogram: Sinogram, spread: number): Sinogram {
  const greatest = sinogram.data.reduce((most, p) => Math.max(most, p), 0) || 1;
  const spectrum = spectrumAround(spread);
  const steps = 200;
  const table = Float64Array.from({ length: steps + 2 }, (_, k) => manyEnergies(spectrum, 'aluminium', ((k / steps) * greatest) / linearAttenuation('aluminium', 60)));
  return {
    ...sinogram,
    data: sinogram.data.map((p) => {
      const place = Math.max(0, (p / greatest) * steps);
      const cell = Math.floor(place);
      return table[cell] + (place - cell) * (table[cell + 1] - table[cell]);
    }),
  };
}

/** A change made to the transmissions of each view in turn, as to a frame of one row. */
export function viewByView(sinogram: Sinogram, change: (light: Float32Array, view: number) => Float32Array): Sinogram {
  const data = new Float32Array(sinogram.data.length);
  for (let view = 0; view < sinogram.views; view++) {
    const from = view * sinogram.detectors;
    const light = change(sinogram.data.subarray(from, from + sinogram.detectors).map((p) => Math.exp(-p)), view);
    for (let j = 0; j < light.length; j++) data[from + j] = -Math.log(light[j]);
  }
  return { ...sinogram, data };
}

/** Veiling glare, spread evenly over each frame, as the share of its light that it is. */
export function veiled(sinogram: Sinogram, share: number): Sinogram {
  return viewByView(sinogram, (light) => addGlare({ width: light.length, height: 1, data: light }, { share }).data);
}

/** Noise of a counted beam: `share` of the open screen's light, and more behind matter, as √(1/light). The same numbers every time. */
export function noisy(sinogram: Sinogram, share: number): Sinogram {
  let seed = 20_001;
  const uniform = () => {
    // Lehmer's generator (Park & Miller, Comm. ACM 31 (1988) 1192) with their later multiplier (from memory): the same on every machine.
    seed = (seed * 48_271) % 2_147_483_647;
    return seed / 2_147_483_647;
  };
  const normal = () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
  return { ...sinogram, data: sinogram.data.map((p) => p + share * Math.exp(p / 2) * normal()) };
}

/** Cells that the screen does not reach left out, so many at either end. */
export function narrowed({ views, detectors, data }: Sinogram, cells: number): Sinogram {
  const width = detectors - 2 * cells;
  const left = new Float32Array(views * width);
  for (let view = 0; view < views; view++) left.set(data.subarray(view * detectors + cells, view * detectors + cells + width), view * width);
  return { views, detectors: width, data: left };
}

/** The light of each view against the first, falling by `share` in all, with a camera that takes half of it back now and then. */
export function driftAt(view: number, views: number, share: number): number {
  const fallen = share * (view / (views - 1));
  return 1 - fallen + (Math.floor(view / 5) % 2) * share / 2;
}
