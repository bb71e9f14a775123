import { coneBeam, cylinder, detectorReach, fdkSteps, interpolated, part, projectSolidsSteps, rmse } from '../../lib/index.ts';
import type { ConeBeam, Image, Grid, Solid, Steps } from '../../lib/index.ts';
import { definePlate, type Numbers } from '../frame/definition.ts';
import { remember } from '../frame/remember.ts';

/** angle: half the cone that takes in the stack at the axis, degrees. gap, level (of the source's plane, from the middle of the stack) and off (from the axis) in mm. */
export type DiscsState = { readonly angle: number; readonly gap: number; readonly level: number; readonly beside: 'truth' | 'difference'; readonly off: number };

export interface DiscsResult {
  /** The cut through the axis as fdk makes it; the truth, or the difference, beside it. y is the height above the middle of the stack. */
  readonly cut: Image;
  readonly beside: Image;
  readonly error: number;
  readonly sourceToAxis: number;
  /** Out to this distance from the source's plane a ray can cross the whole stack inside one gap: gap · R / (2 · radius), mm. */
  readonly open: number;
  /** Up a line parallel to the axis, 1/mm. */
  readonly profile: { readonly z: Float64Array; readonly truth: Float64Array; readonly cut: Float64Array };
  /** Height of each gap's middle, mm, and how deep it comes out on that line: 1 as deep as it is, 0 not at all. */
  readonly gaps: readonly { readonly z: number; readonly depth: number }[];
}

/** The stack, mm: so many discs, from one to the next. Invented. */
export const stack = { discs: 9, period: 4, radius: 14, attenuation: 0.02 };
export const halfHeight = (stack.discs * stack.period - 2) / 2;
/** The cut's box is 32 mm wide and 40 mm high. */
const [wide, high] = [32, 40];
interface Grain { readonly voxelSize: number; readonly views: number }
const fine: Grain = { voxelSize: 0.5, views: 60 };
const coarse: Grain = { voxelSize: 1, views: 48 };

export const discs = definePlate<DiscsState, DiscsResult>({
  id: 'discs',
  title: 'A stack of discs in a cone beam',
  initial: { angle: 8, gap: 2, level: 0, beside: 'truth', off: 0 },
  controls: {
    angle: { kind: 'range', label: 'Half of the cone’s angle', min: 1, max: 20, step: 0.5, unit: '°' },
    gap: { kind: 'range', label: `Gap, of ${stack.period} mm from disc to disc`, min: 1, max: 3, step: 0.5, unit: 'mm' },
    level: { kind: 'range', label: 'Plane of the source, above the middle', min: -16, max: 16, step: 1, unit: 'mm' },
    off: { kind: 'range', label: 'Line of the graph, from the axis', min: -15, max: 15, step: 1, unit: 'mm' },
    beside: { kind: 'choice', label: 'Beside it', options: [{ value: 'truth', label: 'the stack' }, { value: 'difference', label: 'the difference from it' }] },
  },

  compute: (state) => discsSteps(state, fine),
  sketch: (state) => (cutFor(state, fine).data ? undefined : discsSteps(state, coarse)),

  describe({ angle, gap, level, off }, { sourceToAxis, open, gaps, error }) {
    const away = (each: { z: number }) => Math.abs(each.z - level);
    const [near, far] = [(a: number, b: number) => a < b, (a: number, b: number) => a > b].map((better) => gaps.reduce((best, each) => (better(away(each), away(best)) ? each : best)));
    const clear = gaps.filter((each) => away(each) < open).length;
    const depths = Math.abs(off) >= stack.radius ? '' : ` On the line drawn, the gap nearest to the plane of the source comes out ${percent(near.depth)} as deep as it is, the farthest ${percent(far.depth)}.`;
    return `For half a cone of ${angle}° the source stands ${sourceToAxis.toFixed(0)} mm from the axis. Gaps of ${gap} mm are crossed from side to side by some ray where they lie within ${open.toFixed(1)} mm of the plane of the source: ${clear} of ${gaps.length} do.${depths} The root mean square error of the cut is ${error.toPrecision(3)}/mm.`;
  },

  listings: [
    { file: 'reconstruct/cone-weights.ts', function: 'coneWeights', title: 'The weights before the filter' },
    { file: 'reconstruct/smear-cone.ts', region: 'backproject-cone', title: 'Smearing back along the rays of the cone' },
  ],
  exports(state, { cut, beside, profile }) {
    const numbers: Numbers[] = [
      { name: 'cut', label: 'The cut, 1/mm', shape: [cut.height, cut.width], data: cut.data },
      { name: 'profile', label: 'Along the line', columns: { 'height (mm)': profile.z, stack: profile.truth, reconstructed: profile.cut } },
    ];
    return { pictures: [{ name: 'cut', label: 'The cut', image: cut, window: [0, stack.attenuation] }, { name: state.beside, label: 'The picture beside it', image: beside }], numbers };
  },
});

function* discsSteps(state: DiscsState, grain: Grain): Steps<DiscsResult> {
  const { angle, gap, beside, off } = state;
  const { voxelSize } = grain;
  const cut = cutFor(state, grain);
  cut.data ??= yield* cutSteps(state, grain);
  const grid = { width: wide / voxelSize, height: high / voxelSize, pixelSize: voxelSize };
  const made: Image = { ...grid, data: cut.data.slice() };
  const truth: Image = { ...grid, data: truthOf(gap, grid) };
  const z = Float64Array.from({ length: grid.height }, (_, k) => (k - (grid.height - 1) / 2) * voxelSize);
  const [whole, real] = [made, truth].map((image) => (height: number) => interpolated(image, off, height));
  const sourceToAxis = distanceOf(angle);
  return {
    cut: made,
    beside: beside === 'truth' ? truth : { ...grid, data: made.data.map((value, i) => value - truth.data[i]) },
    error: rmse(made, truth),
    sourceToAxis,
    open: (gap * sourceToAxis) / (2 * stack.radius),
    profile: { z, truth: z.map(real), cut: z.map(whole) },
    gaps: Array.from({ length: stack.discs - 1 }, (_, k) => {
      const middle = (k - (stack.discs - 2) / 2) * stack.period;
      const around = (whole(middle - stack.period / 2) + whole(middle + stack.period / 2)) / 2;
      return { z: middle, depth: (around - whole(middle)) / stack.attenuation };
    }),
  };
}

/** Kept, because neither the line of the graph nor what stands beside it changes the cut. */
function cutFor({ angle, gap, level }: DiscsState, { voxelSize }: Grain): { data?: Float32Array } {
  return remember('discs', `${angle} ${gap} ${level} ${voxelSize}`, (): { data?: Float32Array } => ({}), 12);
}

const percent = (share: number) => `${(100 * share).toFixed(0).replace('-', '−').replace('−0', '0')} %`;
const distanceOf = (angle: number) => halfHeight / Math.tan((angle * Math.PI) / 180);

/** The discs with the plane of the source at z = 0, as the library's cone has it. */
function solidsOf(gap: number, level: number): Solid[] {
  const half = (stack.period - gap) / 2;
  return Array.from({ length: stack.discs }, (_, k) => {
    const middle = (k - (stack.discs - 1) / 2) * stack.period - level;
    return { ...cylinder([0, 0, middle - half], [0, 0, middle + half], stack.radius), name: 'disc', attenuation: stack.attenuation };
  });
}

/** A screen, thought to lie on the axis, as wide as the cut asks (half a voxel beyond its corners) and as high as the stack does, with cells as large as the voxels. */
function screenFor({ angle, level }: DiscsState, { voxelSize, views }: Grain): ConeBeam {
  const R = distanceOf(angle);
  const distances = { sourceToAxis: R, sourceToDetector: R };
  const rise = R / (R - stack.radius - 1);
  const [lowest, highest] = [rise * (-halfHeight - 1 - level), rise * (halfHeight + 1 - level)];
  return coneBeam({
    views, detectors: 2 * Math.ceil(detectorReach((wide + voxelSize) / 2, distances) / voxelSize), rows: Math.ceil((highest - lowest) / voxelSize),
    pitch: voxelSize, rowOffset: -(lowest + highest) / 2, ...distances,
  });
}

/** Turned about its own axis, the stack looks the same in every view: one is worked out, and given to fdk as all of them. */
function* cutSteps(state: DiscsState, grain: Grain): Steps<Float32Array> {
  const { views, voxelSize } = grain;
  const [width, depth] = [wide / voxelSize, high / voxelSize];
  const { data } = yield* part(projectSolidsSteps(solidsOf(state.gap, state.level), screenFor(state, { voxelSize, views: 1 })), 0, 0.2);
  const screen = screenFor(state, grain);
  const frames = { views, rows: screen.rows, columns: screen.detectors, data: new Float32Array(views * data.length) };
  for (let view = 0; view < views; view++) frames.data.set(data, view * data.length);
  const volume = yield* part(fdkSteps(frames, screen, { window: 'ramp', grid: { width, height: 1, depth, voxelSize, centre: [0, 0, -state.level] } }), 0.2, 1);
  const picture = new Float32Array(width * depth); // the lowest slice is the lowest row of the picture
  for (let z = 0; z < depth; z++) picture.set(volume.data.subarray(z * width, (z + 1) * width), (depth - 1 - z) * width);
  return picture;
}

/** The cut through the stack, each pixel the share of it that lies in a disc. In this plane the discs are oblongs. */
function truthOf(gap: number, { width, height, pixelSize }: Grid): Float32Array {
  const share = (middle: number, from: number, to: number) => Math.max(0, Math.min(to, middle + pixelSize / 2) - Math.max(from, middle - pixelSize / 2)) / pixelSize;
  const half = (stack.period - gap) / 2;
  const up = (z: number) => Array.from({ length: stack.discs }, (_, k) => (k - (stack.discs - 1) / 2) * stack.period).reduce((sum, middle) => sum + share(z, middle - half, middle + half), 0);
  return Float32Array.from({ length: width * height }, (_, i) => {
    const x = ((i % width) - (width - 1) / 2) * pixelSize;
    const z = ((height - 1) / 2 - Math.floor(i / width)) * pixelSize;
    return stack.attenuation * share(x, -stack.radius, stack.radius) * up(z);
  });
}
