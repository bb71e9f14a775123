import { backproject, detectorPosition, interpolated, linearFit, parallelBeam, pixelPosition, viewWeights } from '../../lib/index.ts';
import type { Image, ParallelBeam, Sinogram } from '../../lib/index.ts';
import { definePlate, pixelsControl, type Numbers, type Specimen } from '../frame/definition.ts';
import { remember } from '../frame/remember.ts';
import { gridFor, pictureOf, shadowsOf } from '../specimen/specimen.ts';

export type Smear = { readonly count: number; readonly laid: number; readonly order: 'turn' | 'spread'; readonly pixels: 128 | 256 };

export interface SmearResult {
  readonly object: Image;
  /** The view laid last, smeared over the plane; without unit. */
  readonly single: Image;
  /** The views laid so far, each times its share of the half turn. */
  readonly sum: Image;
  /** Highest value of the sum when all views are laid: the white of its film. */
  readonly white: number;
  readonly highestView: number;
  /** Of the view laid last: its angle, radians; its shadow; the places of its cells, mm. */
  readonly theta: number;
  readonly position: Float64Array;
  readonly shadow: Float32Array;
  /** For an object that is one small disc: the sum around it against the distance from its middle, and what a point would give. */
  readonly blur?: { readonly distance: Float64Array; readonly measured: Float64Array; readonly law: Float64Array; readonly power: number };
  /** Along the horizontal line through the axis: the object and the sum, each over its own highest value. */
  readonly profile: { readonly x: Float64Array; readonly object: Float64Array; readonly sum: Float64Array };
  readonly radius: number;
}

export const smearPlate = definePlate<Smear, SmearResult>({
  id: 'smear',
  title: 'Views laid back, one by one',
  initial: { count: 60, laid: 60, order: 'turn', pixels: 128 },
  controls: {
    laid: { kind: 'range', label: 'Views laid back', min: 1, max: (state) => state.count, step: 1, play: 12 },
    count: { kind: 'range', label: 'Views over the half turn', min: 4, max: 180, step: 1 },
    order: { kind: 'choice', label: 'Order', options: [{ value: 'turn', label: 'as the object turns' }, { value: 'spread', label: 'each far from the last' }] },
    pixels: pixelsControl,
  },
  specimens: ['bead', 'head', 'capsule', 'own'],
  compute: (state, subject) => {
    const size = state.pixels;
    const { object, beam, shadows, weights, highestView } = remember('smear', `${subject.key} ${state.count} ${size}`, () => prepare(subject, state.count, size), 4);
    const order = orderOf(state.count, state.order);
    const last = order[state.laid - 1];
    const all = remember('smear-all', `${subject.key} ${state.count} ${size}`, () => backproject(shadows, beam, object, { weights }), 4);
    const sum = state.laid === state.count ? { ...all, data: all.data.slice() } : backproject(shadows, beam, object, { weights, views: order.slice(0, state.laid) });
    const row = size / 2;
    const along = (image: Image) => Float64Array.from(image.data.subarray(row * size, (row + 1) * size));
    return {
      object,
      single: backproject(shadows, beam, object, { views: [last] }),
      sum,
      white: greatest(all.data),
      highestView,
      theta: beam.angles[last],
      position: Float64Array.from({ length: beam.detectors }, (_, j) => detectorPosition(beam, j)),
      shadow: shadows.data.slice(last * beam.detectors, (last + 1) * beam.detectors),
      blur: blurAround(subject, sum, state.laid / state.count),
      profile: { x: Float64Array.from({ length: size }, (_, column) => pixelPosition(object, column, row)[0]), object: scaled(along(object), greatest(object.data)), sum: scaled(along(sum), greatest(all.data)) },
      radius: subject.radius,
    };
  },
  describe: (state, { theta, blur }) => {
    const angle = `${Number(((theta * 180) / Math.PI).toFixed(1))}°`;
    const so = `${state.laid} of ${state.count} views are laid back; the last, at ${angle}, is smeared along its own rays over the whole plane.`;
    if (!blur) return `${so} The object shows, under a haze that does not end at its edge.`;
    if (state.laid < state.count) return `${so} The bands cross at the bead.`;
    return `${so} Around the bead the sum falls as the distance to the power ${blur.power.toFixed(2).replace('-', '−')}; for a point it would be −1.`;
  },
  listings: [{ file: 'reconstruct/smear-parallel.ts', region: 'backproject-parallel', title: 'Smearing the views back' }],
  exports(_, { sum, single, blur, profile }) {
    const numbers: Numbers[] = [
      { name: 'sum', label: 'The sum', shape: [sum.height, sum.width], data: sum.data },
      { name: 'profile', label: 'Profile', columns: { 'x (mm)': profile.x, object: profile.object, sum: profile.sum } },
    ];
    if (blur) numbers.push({ name: 'blur', label: 'The blur', columns: { 'r (mm)': blur.distance, measured: blur.measured, 'mass over r': blur.law } });
    return { pictures: [{ name: 'sum', label: 'The sum', image: sum }, { name: 'one-view', label: 'The last view', image: single }], numbers };
  },
});

function prepare(subject: Specimen, count: number, size: number): { object: Image; beam: ParallelBeam; shadows: Sinogram; weights: Float64Array; highestView: number } {
  const grid = gridFor(subject, size);
  // Cells reach to the corners of the picture, so that no smear ends inside it.
  const detectors = Math.ceil(size * Math.SQRT2) + 2;
  const beam = parallelBeam({ views: count, detectors, pitch: grid.pixelSize });
  const shadows = shadowsOf(subject, beam);
  return { object: remember('smear-object', `${subject.key} ${size}`, () => pictureOf(subject, grid), 2), beam, shadows, weights: viewWeights(beam), highestView: greatest(shadows.data) };
}

/** The views in the order in which they are laid: as they come, or each about 0.38 of the way round from the one before (the golden section). */
export function orderOf(count: number, order: Smear['order']): number[] {
  const views = Array.from({ length: count }, (_, view) => view);
  if (order === 'turn') return views;
  const left = new Set(views);
  const golden = (Math.sqrt(5) - 1) / 2;
  return views.map((k) => {
    const wanted = ((k * golden) % 1) * count;
    const gap = (view: number) => Math.min(Math.abs(view - wanted), count - Math.abs(view - wanted));
    const nearest = [...left].reduce((best, view) => (gap(view) < gap(best) ? view : best));
    left.delete(nearest);
    return nearest;
  });
}

/**
 * The mean of the sum on circles about the one disc of the specimen, and (share of the views laid) · mass/r, which a point of the same mass
 * would give. power: slope of the straight line through the logarithms, from two diameters out to the edge of the field.
 */
function blurAround(subject: Specimen, sum: Image, share: number): SmearResult['blur'] {
  const shape = subject.phantom?.length === 1 ? subject.phantom[0] : undefined;
  if (shape?.kind !== 'ellipse') return undefined;
  const mass = shape.value * Math.PI * shape.a * shape.b;
  const reach = subject.radius - Math.hypot(shape.x, shape.y);
  const count = 48;
  const distance = Float64Array.from({ length: count }, (_, k) => ((k + 0.5) / count) * reach);
  const measured = distance.map((r) => meanOnCircle(sum, shape.x, shape.y, r));
  const law = distance.map((r) => (share * mass) / r);
  const far = [...distance.keys()].filter((k) => distance[k] > 2 * (shape.a + shape.b) / 2);
  return { distance, measured, law, power: linearFit(row(far.map((k) => Math.log(distance[k]))), row(far.map((k) => Math.log(measured[k])))).slope };
}

function meanOnCircle(image: Image, x: number, y: number, radius: number): number {
  const points = 180;
  let sum = 0;
  for (let k = 0; k < points; k++) {
    const angle = (2 * Math.PI * (k + 0.5)) / points;
    sum += interpolated(image, x + radius * Math.cos(angle), y + radius * Math.sin(angle));
  }
  return sum / points;
}

const row = (data: number[]) => ({ width: data.length, height: 1, data });
const greatest = (data: Float32Array) => data.reduce((most, value) => Math.max(most, value), 0);
const scaled = (values: Float64Array, by: number) => values.map((value) => value / (by || 1));
