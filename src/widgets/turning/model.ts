import { detectorPosition, parallelBeam } from '../../lib/index.ts';
import type { Image, ParallelBeam, Sinogram } from '../../lib/index.ts';
import { definePlate, type Specimen } from '../frame/definition.ts';
import { remember } from '../frame/remember.ts';
import { gridFor, pictureOf, shadowsOf } from '../specimen/specimen.ts';

/** Angles in degrees; places as per cent of the field's radius, so that they hold for every specimen. */
export type Turning = { readonly angle: number; readonly turns: 'object' | 'beam'; readonly x: number; readonly y: number; readonly ray: number };

export interface TurningResult {
  /** The object as it stands before the beam, with room below it for its shadow. */
  readonly picture: Image;
  /** All views of the turn, those not yet taken at 0. */
  readonly sinogram: Sinogram;
  /** Highest line integral of the whole turn. */
  readonly greatest: number;
  readonly position: Float64Array;
  readonly shadow: Float32Array;
  /** The marked point: its place in the object and where it falls on the detector, mm. */
  readonly point: { readonly x: number; readonly y: number; readonly s: number };
  /** The chosen ray: its s, mm, and the line integral along it. */
  readonly ray: { readonly s: number; readonly value: number };
  readonly radius: number;
}

export const views = 360;
const detectors = 128;
/** The picture reaches this many radii from the axis. */
export const margin = 1.5;

export const turningPlate = definePlate<Turning, TurningResult>({
  id: 'turning',
  title: 'From a turn to a sinogram',
  initial: { angle: 120, turns: 'object', x: 44, y: 28, ray: 20 },
  controls: {
    angle: { kind: 'range', label: 'View angle', min: 0, max: views - 1, step: 1, unit: '°', play: 40 },
    turns: { kind: 'choice', label: 'What turns', options: [{ value: 'object', label: 'the object' }, { value: 'beam', label: 'source and screen' }] },
    x: { kind: 'range', label: 'Marked point, to the right', min: -95, max: 95, step: 1, unit: '% of the radius' },
    y: { kind: 'range', label: 'Marked point, upwards', min: -95, max: 95, step: 1, unit: '% of the radius' },
    ray: { kind: 'range', label: 'Ray, along the screen', min: -100, max: 100, step: 1, unit: '% of the radius' },
  },
  specimens: ['bead', 'head', 'capsule', 'own'],
  compute: (state, subject) => {
    const { beam, whole, upright } = remember('turning', subject.key, () => theTurn(subject));
    const theta = beam.angles[state.angle];
    const shown = (state.angle + 1) * detectors;
    const data = new Float32Array(whole.data.length);
    data.set(whole.data.subarray(0, shown));
    const shadow = whole.data.slice(shown - detectors, shown);
    const position = Float64Array.from({ length: detectors }, (_, j) => detectorPosition(beam, j));
    const x = (state.x / 100) * subject.radius;
    const y = (state.y / 100) * subject.radius;
    const s = (state.ray / 100) * subject.radius;
    return {
      picture: state.turns === 'object' ? rotated(upright, -theta) : { ...upright, data: upright.data.slice() },
      sinogram: { views, detectors, data },
      greatest: whole.data.reduce((most, value) => Math.max(most, value), 0),
      position,
      shadow,
      point: { x, y, s: x * Math.cos(theta) + y * Math.sin(theta) },
      ray: { s, value: shadow[Math.min(detectors - 1, Math.max(0, Math.round((s - position[0]) / beam.pitch)))] },
      radius: subject.radius,
    };
  },
  describe: (state, { shadow, position, point, ray }) => {
    const peak = shadow.indexOf(shadow.reduce((most, value) => Math.max(most, value), 0));
    return `View at ${state.angle}°. The shadow is deepest at s = ${mm(position[peak])}, where the line integral is ${shadow[peak].toFixed(2)}. ` +
      `The marked point, ${mm(point.x)} to the right and ${mm(point.y)} up in the object, falls at s = ${mm(point.s)}. ` +
      `Along the chosen ray, at s = ${mm(ray.s)}, attenuation adds up to ${ray.value.toFixed(2)}.`;
  },
  listings: [
    { file: 'phantom/project-phantom.ts', title: 'The exact shadow of an ellipse' },
    { file: 'geometry/ray-of.ts', title: 'Which line a detector cell looks along' },
  ],
  exports: (_, { sinogram, shadow, position }) => ({
    pictures: [{ name: 'sinogram', label: 'The sinogram so far', image: { width: sinogram.detectors, height: sinogram.views, data: sinogram.data } }],
    numbers: [
      { name: 'sinogram', label: 'The sinogram so far', shape: [sinogram.views, sinogram.detectors], data: sinogram.data },
      { name: 'shadow', label: 'This view', columns: { 's (mm)': position, 'line integral': shadow } },
    ],
  }),
});

const mm = (value: number) => `${value.toFixed(1).replace('-', '−').replace('−0.0', '0.0')} mm`;

function theTurn(subject: Specimen): { beam: ParallelBeam; whole: Sinogram; upright: Image } {
  const beam = parallelBeam({ views, turn: 2 * Math.PI, detectors, pitch: (2 * subject.radius) / detectors });
  const grid = gridFor(subject, 160);
  return { beam, whole: shadowsOf(subject, beam), upright: pictureOf(subject, { ...grid, pixelSize: grid.pixelSize * margin }) };
}

/** The image turned counter-clockwise by `angle` about its middle: each new pixel is read between the four old ones around its place. */
export function rotated(image: Image, angle: number): Image {
  const { width, height } = image;
  const data = new Float32Array(width * height);
  const cos = Math.cos(angle);
  const sin = Math.sin(angle);
  for (let row = 0; row < height; row++) {
    for (let column = 0; column < width; column++) {
      const across = column - (width - 1) / 2;
      const down = row - (height - 1) / 2;
      const fromColumn = cos * across - sin * down + (width - 1) / 2;
      const fromRow = sin * across + cos * down + (height - 1) / 2;
      const c = Math.floor(fromColumn);
      const r = Math.floor(fromRow);
      if (c < 0 || r < 0 || c >= width - 1 || r >= height - 1) continue;
      const u = fromColumn - c;
      const v = fromRow - r;
      const at = r * width + c;
      data[row * width + column] = (1 - v) * ((1 - u) * image.data[at] + u * image.data[at + 1]) + v * ((1 - u) * image.data[at + width] + u * image.data[at + width + 1]);
    }
  }
  return { ...image, data };
}
