import { detectorPosition, equalAngles, parallelBeam, spectra, spectrum } from '../../lib/index.ts';
import type { Image, ParallelBeam } from '../../lib/index.ts';
import { definePlate, type Specimen } from '../frame/definition.ts';
import { remember } from '../frame/remember.ts';
import { gridFor, pictureOf, shadowsOf } from '../specimen/specimen.ts';
import { alongLine, planeOf } from './plane.ts';

/** angle in degrees; laid: views laid into the plane, evenly over the half turn, the current one among them. */
export type FourierSliceState = { readonly angle: number; readonly laid: number; readonly part: 'strength' | 'real' | 'imaginary' };

export interface FourierSliceResult {
  readonly object: Image;
  /** Strengths as powers of ten of the total: of the picture's transform, and of what the views laid in so far have measured. */
  readonly plane: Image;
  readonly filled: Image;
  /** Edges of both, cycles/mm. */
  readonly extent: { readonly left: number; readonly right: number; readonly top: number; readonly bottom: number };
  /** Angles of the views laid in, radians, the current one first. */
  readonly spokes: readonly number[];
  /** Out to this frequency neighbouring spokes lie within one step of each other; cycles/mm. */
  readonly closed: number;
  /** Share of the disc inside the Nyquist frequency that lies within half a step of a spoke. */
  readonly covered: number;
  readonly nyquist: number;
  readonly position: Float64Array;
  readonly shadow: Float32Array;
  /** Along the current line, from 0 to the Nyquist frequency: the view's own transform, and the picture's. */
  readonly frequency: Float64Array;
  readonly view: Complex;
  readonly picture: Complex;
  /** Root mean square of view − picture, as a share of the total P(0). */
  readonly difference: number;
  readonly radius: number;
}

interface Complex { readonly real: Float64Array; readonly imaginary: Float64Array }

const size = 128;
/** The films' black: this many powers of ten below the total. */
export const depth = 4;

export const fourierSlice = definePlate<FourierSliceState, FourierSliceResult>({
  id: 'fourier-slice',
  title: 'A view’s transform laid into the plane of frequencies',
  initial: { angle: 30, laid: 12, part: 'strength' },
  controls: {
    angle: { kind: 'range', label: 'Angle of the view', min: 0, max: 179, step: 1, unit: '°', play: 20 },
    laid: { kind: 'range', label: 'Views laid in', min: 1, max: 180, step: 1, play: 8, help: 'Spread evenly over half a turn, the view above among them.' },
    part: { kind: 'choice', label: 'Compare', options: [{ value: 'strength', label: 'strength' }, { value: 'real', label: 'real part' }, { value: 'imaginary', label: 'imaginary part' }] },
  },
  specimens: ['head', 'capsule', 'bead', 'own'],

  compute({ angle, laid }, subject) {
    const { object, plane, total } = remember('fourier-slice', subject.key, () => prepare(subject), 3);
    const theta = (angle * Math.PI) / 180;
    const { position, shadow, frequency, view, picture } = remember('fourier-slice-line', `${subject.key} ${angle}`, () => bothWays(subject, object, theta), 2);
    const step = 1 / (size * object.pixelSize);
    const nyquist = 1 / (2 * object.pixelSize);
    const spokes = equalAngles(laid, Math.PI, theta);
    return {
      object: { ...object, data: object.data.slice() },
      plane: { ...plane, data: plane.data.slice() },
      ...fill(strengths(subject, object.pixelSize, laid, angle, total), laid, theta),
      extent: { left: (-size / 2 - 0.5) * step, right: (size / 2 - 0.5) * step, top: (size / 2 - 0.5) * step, bottom: (-size / 2 - 0.5) * step },
      spokes,
      closed: Math.min(nyquist, (laid * step) / Math.PI),
      nyquist,
      position,
      shadow,
      frequency,
      view,
      picture,
      difference: rootMeanSquare(view, picture) / total,
      radius: subject.radius,
    };
  },

  describe: ({ angle, laid }, { difference, closed, covered, nyquist }) =>
    `The view at ${angle}° measures the line at ${angle}° through the plane of frequencies. Its transform and the picture’s along that line differ by ${percent(difference)} of the total, root mean square. ` +
    (laid === 1 ? 'One view is laid in.' : `${laid} views are laid in${closed < nyquist ? `: their spokes touch out to ${closed.toPrecision(2)} cycles/mm, and beyond, up to ${nyquist.toPrecision(2)}, gaps open` : ': their spokes touch everywhere'}.`) +
    ` They cover ${Math.round(100 * covered)} % of the disc that the detector can measure.`,

  listings: [{ file: 'filter/spectrum.ts', function: 'spectrum', title: 'The transform of a view' }],
  exports: (_, { plane, filled, frequency, view, picture }) => ({
    pictures: [{ name: 'plane', label: 'The plane of frequencies', image: plane, window: [-depth, 0] }, { name: 'laid-in', label: 'The views laid in', image: filled, window: [-depth, 0] }],
    numbers: [{ name: 'line', label: 'Both transforms along the line', columns: { 'f (cycles/mm)': frequency, 'view, real': view.real, 'view, imaginary': view.imaginary, 'picture, real': picture.real, 'picture, imaginary': picture.imaginary } }],
  }),
});

const percent = (share: number) => `${(100 * share).toPrecision(2)} %`;

/** What to draw of a transform: a part of it, or its strength, in shares (or powers of ten) of the total at f = 0. */
export function partOf({ real, imaginary }: Complex, part: FourierSliceState['part'], total: number): Float64Array {
  if (part === 'real') return real.map((value) => value / total);
  if (part === 'imaginary') return imaginary.map((value) => value / total);
  return real.map((value, k) => powerOfTen(Math.hypot(value, imaginary[k]) / total));
}

const powerOfTen = (share: number) => Math.max(-6, Math.log10(share));

function prepare(subject: Specimen): { object: Image; plane: Image; total: number } {
  const object = pictureOf(subject, gridFor(subject, size));
  const { real, imaginary } = planeOf(object);
  const total = Math.abs(object.data.reduce((sum, value) => sum + value, 0)) * object.pixelSize ** 2 || 1;
  return { object, plane: { width: size, height: size, pixelSize: 1, data: Float32Array.from(real, (value, k) => powerOfTen(Math.hypot(value, imaginary[k]) / total)) }, total };
}

/** Along the line at this angle: the view and its transform, and the picture's. */
function bothWays(subject: Specimen, object: Image, theta: number): Pick<FourierSliceResult, 'position' | 'shadow' | 'frequency' | 'view' | 'picture'> {
  // Cells of half a pixel: the waves that they mistake for slower ones are then finer than any that are shown.
  const beam = parallelBeam({ angles: [theta], detectors: 2 * size, pitch: object.pixelSize / 2 });
  const shadow = shadowsOf(subject, beam).data;
  const { frequency, ...view } = upTo(size / 2, positive(spectrum(shadow, beam.pitch, 2 * size)));
  return { position: Float64Array.from({ length: 2 * size }, (_, j) => detectorPosition(beam, j)), shadow, frequency, view, picture: alongLine(object, theta, frequency) };
}

/** The half of a spectrum from f = 0 up. */
function positive({ frequency, real, imaginary }: { frequency: Float64Array; real: Float64Array; imaginary: Float64Array }): Complex & { frequency: Float64Array } {
  const from = frequency.length / 2;
  return { frequency: frequency.slice(from), real: real.slice(from), imaginary: imaginary.slice(from) };
}

function upTo(last: number, { frequency, real, imaginary }: Complex & { frequency: Float64Array }): Complex & { frequency: Float64Array } {
  return { frequency: frequency.slice(0, last + 1), real: real.slice(0, last + 1), imaginary: imaginary.slice(0, last + 1) };
}

/** Powers of ten of the total along each spoke, from f = 0 in half steps of the mesh: `size` numbers a spoke. */
function strengths(subject: Specimen, pitch: number, laid: number, angle: number, total: number): Float32Array {
  return remember('fourier-slice-spokes', `${subject.key} ${laid} ${angle}`, () => {
    const beam: ParallelBeam = parallelBeam({ angles: equalAngles(laid, Math.PI, (angle * Math.PI) / 180), detectors: size, pitch });
    const { data } = shadowsOf(subject, beam);
    const { real, imaginary } = spectra(data, laid, pitch);
    const length = real.length / laid;
    return new Float32Array(laid * size).map((_, i) => {
      const at = Math.floor(i / size) * length + length / 2 + (i % size);
      return powerOfTen(Math.sqrt(real[at] ** 2 + imaginary[at] ** 2) / total);
    });
  }, 2);
}

/** Paints every point of the mesh that lies within half a step of a spoke with what that spoke measured there. Both halves of a spoke are equally strong. */
function fill(spokes: Float32Array, laid: number, theta: number): { filled: Image; covered: number } {
  const { radius, direction } = remember('fourier-slice-mesh', String(size), mesh);
  const data = new Float32Array(size * size).fill(-2 * depth);
  const gap = Math.PI / laid;
  let inside = 0;
  let covered = 0;
  for (let i = 0; i < data.length; i++) {
    const turns = (direction[i] - theta) / gap;
    const nearest = Math.round(turns);
    const within = radius[i] * Math.abs(Math.sin((turns - nearest) * gap)) <= 0.5;
    if (radius[i] <= size / 2) inside++;
    if (!within) continue;
    if (radius[i] <= size / 2) covered++;
    const spoke = ((nearest % laid) + laid) % laid;
    const at = Math.round(2 * radius[i]);
    if (at < size) data[i] = spokes[spoke * size + at];
  }
  return { filled: { width: size, height: size, pixelSize: 1, data }, covered: covered / inside };
}

/** Where the points of the mesh lie: distance from the middle in steps, and direction. */
function mesh(): { radius: Float64Array; direction: Float64Array } {
  const u = (i: number) => (i % size) - size / 2;
  const v = (i: number) => size / 2 - 1 - Math.floor(i / size);
  const points = Array.from({ length: size * size }, (_, i) => i);
  return { radius: Float64Array.from(points, (i) => Math.hypot(u(i), v(i))), direction: Float64Array.from(points, (i) => Math.atan2(v(i), u(i))) };
}

function rootMeanSquare(a: Complex, b: Complex): number {
  const squares = a.real.reduce((sum, value, k) => sum + (value - b.real[k]) ** 2 + (a.imaginary[k] - b.imaginary[k]) ** 2, 0);
  return Math.sqrt(squares / a.real.length);
}
