import { backproject, coverage, detectorPosition, discMask, equalAngles, fanBeam, fbp, filterViews, halfFanAngle, magnification, parallelBeam, parkerWeight, pixelPosition, rmse, shortScanTurn, viewWeights, widestRay } from '../../lib/index.ts';
import type { FanBeam, Image, Sinogram } from '../../lib/index.ts';
import { definePlate, type Numbers, type Specimen } from '../frame/definition.ts';
import { remember } from '../frame/remember.ts';
import { gridFor, pictureOf, shadowsOf } from '../specimen/specimen.ts';

/** opening: the full fan that just takes in the field, degrees. x and y, the marked point, in % of the field's radius. */
export type FanState = { readonly opening: number; readonly turn: 'whole' | 'short' | 'half'; readonly beside: 'parallel' | 'distance' | 'cosine' | 'share' | 'object'; readonly x: number; readonly y: number };

export interface FanResult {
  /** With everything right, and beside it with something wrong. */
  readonly right: Image;
  readonly beside: Image;
  readonly rightError: number;
  readonly besideError: number;
  /** From the source to the axis, mm. */
  readonly sourceToAxis: number;
  readonly views: number;
  /** The arc of the views, and the arc that sees every ray, radians. */
  readonly turn: number;
  readonly needed: number;
  readonly complete: boolean;
  /** The marked point, mm, and what becomes of it when the fan is read as parallel: the curve that its rays then touch. */
  readonly point: { readonly x: number; readonly y: number };
  readonly star: { readonly x: Float64Array; readonly y: Float64Array };
  /** r²/R, how far the star reaches for a small fan, mm. */
  readonly reach: number;
  /** Along the level line through the marked point: the object and the two pictures, 1/mm. */
  readonly profile: { readonly x: Float64Array; readonly object: Float64Array; readonly right: Float64Array; readonly beside: Float64Array };
}

const size = 112;
const detectors = size + 1;
/** Views of a whole turn; a shorter one has fewer, the step is kept. */
const wholeTurn = 120;
const filter = { window: 'shepp-logan' } as const;

export const besideNames = { parallel: 'read as parallel', distance: 'without the distance weight', cosine: 'without the weight cos γ', share: 'rays seen twice counted twice', object: 'the object' } as const;

export const fan = definePlate<FanState, FanResult>({
  id: 'fan',
  title: 'A fan, read rightly and wrongly',
  initial: { opening: 40, turn: 'whole', beside: 'parallel', x: 6, y: -60 },
  controls: {
    opening: { kind: 'range', label: 'Opening of the fan', min: 2, max: 60, step: 1, unit: '°', play: 10 },
    beside: { kind: 'choice', label: 'Beside it', as: 'list', options: (Object.keys(besideNames) as FanState['beside'][]).map((value) => ({ value, label: besideNames[value] })) },
    turn: { kind: 'choice', label: 'Over', options: [{ value: 'whole', label: 'a whole turn' }, { value: 'short', label: '180° and the fan' }, { value: 'half', label: '180°' }] },
    x: { kind: 'range', label: 'Marked point, to the right, of the radius', min: -95, max: 95, step: 1, unit: '%' },
    y: { kind: 'range', label: 'Marked point, upwards, of the radius', min: -95, max: 95, step: 1, unit: '%' },
  },
  specimens: ['head', 'capsule', 'bead', 'own'],

  compute(state, subject) {
    const { object, mask } = remember('fan-object', subject.key, () => prepare(subject), 3);
    const scanned = `${subject.key} ${state.opening} ${state.turn}`;
    const { geometry, sinogram, right } = remember('fan', scanned, () => scan(subject, object, state), 4);
    const wrong = state.beside;
    const beside = wrong === 'object' ? object : remember('fan-beside', `${scanned} ${wrong}`, () => misread(wrong, sinogram, geometry, object), 4);
    const point = { x: (state.x / 100) * subject.radius, y: (state.y / 100) * subject.radius };
    const { kind, needed } = coverage(geometry);
    const row = Math.min(size - 1, Math.max(0, Math.floor(size / 2 - point.y / object.pixelSize)));
    const along = (image: Image) => Float64Array.from(image.data.subarray(row * size, (row + 1) * size));
    return {
      right: copied(right),
      beside: copied(beside),
      rightError: rmse(right, object, mask),
      besideError: rmse(beside, object, mask),
      sourceToAxis: geometry.sourceToAxis,
      views: geometry.angles.length,
      turn: turnOf(state.turn, geometry),
      needed,
      complete: kind !== 'incomplete',
      point,
      star: starOf(point.x, point.y, geometry.sourceToAxis),
      reach: (point.x ** 2 + point.y ** 2) / geometry.sourceToAxis,
      profile: { x: Float64Array.from({ length: size }, (_, column) => pixelPosition(object, column, row)[0]), object: along(object), right: along(right), beside: along(beside) },
    };
  },

  describe({ opening, turn, beside }, { rightError, besideError, sourceToAxis, turn: arc, needed, complete, point, reach }) {
    const taken = `A fan of ${opening}° from ${sourceToAxis.toFixed(0)} mm, over ${degrees(arc)}.`;
    const missing = complete ? '' : ` Every ray is seen only after ${degrees(needed)}: some are missing here, and no weight brings them back.`;
    const errors = beside === 'object' ? `The root mean square error of the picture is ${rightError.toPrecision(3)}/mm.` : `The root mean square error is ${rightError.toPrecision(3)}/mm with the right geometry and ${besideError.toPrecision(3)}/mm ${besideNames[beside]}.`;
    const star = beside === 'parallel' ? ` Read as parallel, a point ${Math.hypot(point.x, point.y).toFixed(1)} mm from the axis becomes a star that reaches about ${reach.toPrecision(2)} mm to every side.` : '';
    return `${taken}${missing} ${errors}${star}${turn === 'whole' && beside === 'share' ? ' Every line is seen twice in a whole turn, so that all of the picture comes out twice too high.' : ''}`;
  },

  listings: [
    { file: 'geometry/ray-of.ts', function: 'rayOf', title: 'A ray of the fan as a parallel ray' },
    { file: 'reconstruct/ray-weights.ts', function: 'rayWeights', title: 'The weights before the filter' },
    { file: 'reconstruct/smear-fan.ts', region: 'backproject-fan', title: 'Smearing back, with the weight (R/depth)²' },
  ],
  exports(state, { right, beside, profile }) {
    const numbers: Numbers[] = [
      { name: 'fan', label: 'The picture, 1/mm', shape: [size, size], data: right.data },
      { name: state.beside, label: 'The picture beside it, 1/mm', shape: [size, size], data: beside.data },
      { name: 'profile', label: 'Along the line', columns: { 'x (mm)': profile.x, object: profile.object, right: profile.right, beside: profile.beside } },
    ];
    return { pictures: [{ name: 'fan', label: 'Read as a fan', image: right }, { name: state.beside, label: 'The picture beside it', image: beside }], numbers };
  },
});

export const degrees = (angle: number) => `${Number(((angle * 180) / Math.PI).toFixed(1))}°`;
const copied = (image: Image): Image => ({ ...image, data: image.data.slice() });

function prepare(subject: Specimen): { object: Image; mask: Uint8Array } {
  const grid = gridFor(subject, size);
  return { object: pictureOf(subject, grid), mask: discMask(grid, 0, 0, subject.radius) };
}

/** The fan whose outermost cells look past the rim of the field, its detector thought to lie on the axis; its shadows; and the picture made rightly. */
function scan(subject: Specimen, object: Image, state: FanState): { geometry: FanBeam; sinogram: Sinogram; right: Image } {
  const geometry = fanOf(subject.radius, (state.opening * Math.PI) / 180, state.turn);
  const sinogram = shadowsOf(subject, geometry);
  return { geometry, sinogram, right: fbp(sinogram, geometry, { ...filter, grid: object }) };
}

export function fanOf(radius: number, opening: number, turn: FanState['turn']): FanBeam {
  const sourceToAxis = radius / Math.sin(opening / 2);
  const pitch = (2 * sourceToAxis * Math.tan(halfFanAngle(radius, sourceToAxis))) / (detectors - 1);
  const distances = { detectors, pitch, sourceToAxis, sourceToDetector: sourceToAxis };
  const arc = turnOf(turn, fanBeam({ views: 1, ...distances }));
  const views = Math.ceil((arc / (2 * Math.PI)) * wholeTurn - 1e-9);
  return fanBeam({ angles: equalAngles(views, arc), ...distances });
}

function turnOf(turn: FanState['turn'], geometry: FanBeam): number {
  return turn === 'whole' ? 2 * Math.PI : turn === 'short' ? shortScanTurn(widestRay(geometry)) : Math.PI;
}

/** The same shadows with one thing wrong. Put together from the library's parts, so that each weight can be left out by itself. */
export function misread(wrong: Exclude<FanState['beside'], 'object'>, sinogram: Sinogram, geometry: FanBeam, grid: Image): Image {
  const pitch = geometry.pitch / magnification(geometry);
  if (wrong === 'parallel') {
    const { angles, axisOffset } = geometry;
    return fbp(sinogram, parallelBeam({ angles, detectors: geometry.detectors, pitch, axisOffset: axisOffset / magnification(geometry) }), { ...filter, grid });
  }
  const share = raysShare(geometry);
  const cosines = Float64Array.from({ length: geometry.detectors }, (_, j) => Math.cos(Math.atan2(detectorPosition(geometry, j), geometry.sourceToDetector)));
  const { views, data } = sinogram;
  const weighed = data.map((p, i) => {
    const j = i % geometry.detectors;
    return p * (wrong === 'cosine' ? 1 : cosines[j]) * (wrong === 'share' ? 1 : share[i]);
  });
  const filtered = filterViews({ views, detectors: geometry.detectors, data: weighed }, pitch, filter);
  return backproject(filtered, geometry, grid, { weights: viewWeights(geometry), distancePower: wrong === 'distance' ? 0 : 2 });
}

/** How much of each ray counts: ½ over a whole turn, Parker's weight over less, as fbp counts it. */
function raysShare(geometry: FanBeam): Float32Array {
  const { kind, start, span } = coverage(geometry);
  const shares = new Float32Array(geometry.angles.length * geometry.detectors).fill(0.5);
  if (kind === 'full') return shares;
  const delta = (span - Math.PI) / 2;
  geometry.angles.forEach((angle, view) => {
    const beta = angle - start - 2 * Math.PI * Math.floor((angle - start) / (2 * Math.PI));
    for (let j = 0; j < geometry.detectors; j++) shares[view * geometry.detectors + j] = parkerWeight(beta, Math.atan2(detectorPosition(geometry, j), geometry.sourceToDetector), delta);
  });
  return shares;
}

/**
 * The curve that the rays through (x, y) touch when each is laid where a parallel ray of its view and its cell would lie: the lines
 * X cos β + Y sin β = g(β), g = R·a/depth, touch (g cos β − g′ sin β, g sin β + g′ cos β). About the point it is nearly an astroid whose
 * four points reach r²/R.
 */
export function starOf(x: number, y: number, R: number): { x: Float64Array; y: Float64Array } {
  const steps = equalAngles(181, (2 * Math.PI * 181) / 180);
  const star = { x: new Float64Array(steps.length), y: new Float64Array(steps.length) };
  steps.forEach((beta, k) => {
    const [cos, sin] = [Math.cos(beta), Math.sin(beta)];
    const a = x * cos + y * sin;
    const b = -x * sin + y * cos;
    const g = (R * a) / (R - b);
    const slope = (R * (b * (R - b) - a * a)) / (R - b) ** 2;
    star.x[k] = g * cos - slope * sin;
    star.y[k] = g * sin + slope * cos;
  });
  return star;
}
