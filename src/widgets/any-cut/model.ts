import { attenuationOf, cut, cutSteps, part, planeAcross, planeThrough, pointOnPlane, rmse, volumeMemory } from '../../lib/index.ts';
import type { Grid, Image, Plane, Point3, Steps, Volume } from '../../lib/index.ts';
import { definePlate } from '../frame/definition.ts';
import { remember } from '../frame/remember.ts';
import { capsuleVolume, energy, gridOf, middle, solids } from './capsule-volume.ts';
import { capsuleParts, partsOn, solidHere } from './parts.ts';

/** turn and tip of the plane's normal, degrees; offset from the capsule's middle, thickness of the slab and voxel edge, mm; white in 1/mm. */
export type AnyCutState = {
  readonly turn: number; readonly tip: number; readonly offset: number; readonly shows: 'volume' | 'solids' | 'difference';
  readonly thickness: number; readonly slab: 'mean' | 'maximum'; readonly voxel: 1 | 1.5 | 2 | 3; readonly white: number;
};

/** One of the three cuts that stay where they are, and the line in which the free plane crosses it, mm in the picture; none where they lie in one direction. */
export interface FixedCut {
  readonly axis: 'x' | 'y' | 'z';
  readonly position: number;
  readonly image: Image;
  readonly line?: { readonly from: readonly [u: number, v: number]; readonly to: readonly [u: number, v: number] };
}

export interface AnyCutResult {
  /** On the free plane: the volume, the solids or the difference of the two, 1/mm. */
  readonly picture: Image;
  readonly fixed: readonly FixedCut[];
  /** Root mean square of the volume's cut less the solids on the plane, 1/mm; where the solids are shown or subtracted. */
  readonly error?: number;
  /** What the plane goes through, with its area there, mm². */
  readonly parts: readonly { readonly name: string; readonly area: number }[];
}

/** Where the three fixed cuts lie, mm. */
export const fixedAt: Point3 = [3, 0, -6];
const picture: Grid = { width: 128, height: 128, pixelSize: 0.6 };
type Parts = Parameters<typeof partsOn>[0];
const attenuations = solids.map((solid) => attenuationOf(solid, energy));

export const anyCut = definePlate<AnyCutState, AnyCutResult>({
  id: 'any-cut',
  title: 'A cut on any plane',
  initial: { turn: 30, tip: 40, offset: -5, shows: 'volume', thickness: 0, slab: 'mean', voxel: 1, white: 0.08 },
  controls: {
    turn: { kind: 'range', label: 'Turn of the plane', min: -180, max: 180, step: 5, unit: '°', play: 6 },
    tip: { kind: 'range', label: 'Tip, 0 upright, 90 level', min: -90, max: 90, step: 5, unit: '°' },
    offset: { kind: 'range', label: 'From the capsule’s middle, towards you', min: -36, max: 36, step: 0.5, unit: 'mm', play: 12 },
    shows: { kind: 'choice', label: 'Shown', options: [{ value: 'volume', label: 'the volume' }, { value: 'solids', label: 'the solids it is made of' }, { value: 'difference', label: 'the difference' }] },
    voxel: { kind: 'choice', label: 'Edge of a voxel', options: ([1, 1.5, 2, 3] as const).map((value) => ({ value, label: `${value} mm` })) },
    thickness: { kind: 'range', label: 'Slab, thickness', min: 0, max: 30, step: 1, unit: 'mm', visible: ({ shows }) => shows === 'volume' },
    slab: { kind: 'choice', label: 'Of the slab', options: [{ value: 'mean', label: 'the mean' }, { value: 'maximum', label: 'the greatest value' }], visible: ({ shows, thickness }) => shows === 'volume' && thickness > 0 },
    white: { kind: 'range', label: 'White at', min: 0.02, max: 0.4, step: 0.01, unit: '1/mm' },
  },

  *compute(state): Steps<AnyCutResult> {
    const volume = yield* part(capsuleVolume(state.voxel), 0, 0.3);
    const parts = yield* part(capsuleParts(), 0.3, 0.5);
    const plane = planeOf(state);
    const slab = state.shows === 'volume' ? { thickness: state.thickness, slab: state.slab } : {};
    const made = filled(yield* part(cutSteps(volume, plane, { grid: picture, ...slab }), 0.5, 0.7));
    const truth = state.shows === 'volume' ? undefined : yield* part(exactCut(parts, plane), 0.7, 1);
    const fixed = remember('any-cut-fixed', `${state.voxel}`, () => (['z', 'y', 'x'] as const).map((axis) => fixedCut(volume, axis)), 4);
    return {
      picture: !truth ? made : state.shows === 'solids' ? truth : { ...picture, data: made.data.map((value, i) => value - truth.data[i]) },
      fixed: fixed.map((each) => ({ ...each, line: crossing(each, plane) })),
      error: truth && rmse(made, truth),
      parts: partsOn(parts, plane),
    };
  },

  describe({ turn, tip, offset, thickness, slab, shows, voxel }, { parts, error }) {
    const stands = `The plane is turned by ${said(turn)}° and tipped by ${said(tip)}°, ${offset === 0 ? 'through the capsule’s middle' : `${Math.abs(offset)} mm ${offset > 0 ? 'before' : 'behind'} the capsule’s middle`}`;
    const through = parts.length > 0 ? `It goes through ${listed(parts.map(({ name }) => `the ${name}`))}.` : 'It misses the capsule.';
    const grid = gridOf(voxel);
    const size = `Voxels of ${voxel} mm: ${grid.width} × ${grid.height} × ${grid.depth}, ${(volumeMemory(grid) / 1e6).toPrecision(2)} MB.`;
    const what = error !== undefined
      ? `${shows === 'solids' ? 'Shown are the solids themselves' : 'Shown is the volume less the solids'}; the two differ by ${error.toPrecision(2)}/mm (root mean square over the picture).`
      : thickness > 0 ? `Shown is the ${slab === 'mean' ? 'mean' : 'greatest value'} through a slab of ${thickness} mm.` : '';
    return [`${stands}.`, through, what, size].filter(Boolean).join(' ');
  },

  listings: [
    { file: 'volume/trilinear.ts', function: 'trilinear', title: 'A value between voxels' },
    { file: 'volume/cut.ts', function: 'cutSteps', title: 'The cut' },
  ],
  exports: (_, { picture: image, parts }) => ({
    pictures: [{ name: 'cut', label: 'The cut', image }],
    numbers: [
      { name: 'cut', label: 'The cut, 1/mm', shape: [image.height, image.width], data: image.data },
      { name: 'parts', label: `Area of each part on the plane (${parts.map(({ name }) => name).join(', ')})`, columns: { part: parts.map((_, k) => k + 1), 'area (mm²)': parts.map(({ area }) => area) } },
    ],
  }),
});

/** The free plane: upright and seen from −y at first, then tipped towards the viewer's feet, turned counter-clockwise seen from above, moved along its normal. */
export function planeOf({ turn, tip, offset }: Pick<AnyCutState, 'turn' | 'tip' | 'offset'>): Plane {
  const normal = normalFor(turn, tip);
  const [a, b] = [radians(turn), radians(tip)];
  const origin = middle.map((value, k) => value + offset * normal[k]) as unknown as Point3;
  return planeThrough(origin, normal, [-Math.sin(b) * Math.sin(a), Math.sin(b) * Math.cos(a), Math.cos(b)]);
}

export function normalFor(turn: number, tip: number): Point3 {
  const [a, b] = [radians(turn), radians(tip)];
  return [Math.cos(b) * Math.sin(a), -Math.cos(b) * Math.cos(a), Math.sin(b)];
}

/** The offset that takes the free plane through a point of a fixed cut, mm. */
export function offsetThrough({ axis, position }: Pick<FixedCut, 'axis' | 'position'>, u: number, v: number, turn: number, tip: number): number {
  const normal = normalFor(turn, tip);
  return pointOnPlane(planeAcross(axis, position), u, v).reduce((sum, value, k) => sum + (value - middle[k]) * normal[k], 0);
}

const radians = (degrees: number) => (degrees * Math.PI) / 180;
const said = (value: number) => String(value).replace('-', '−');
const listed = (names: readonly string[]) => (names.length < 2 ? names.join('') : `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`);

/** Beyond the volume there is air. */
function filled(image: Image): Image {
  return { ...image, data: image.data.map((value) => (Number.isNaN(value) ? 0 : value)) };
}

function fixedCut(volume: Volume, axis: 'x' | 'y' | 'z'): FixedCut {
  const position = fixedAt['xyz'.indexOf(axis)];
  const plane = planeAcross(axis, position);
  return { axis, position, image: cut(volume, plane) };
}

/** The line in which the free plane crosses a fixed cut, across the whole picture. */
function crossing({ axis, position }: FixedCut, { origin, across, up }: Plane): FixedCut['line'] {
  const fixed = planeAcross(axis, position);
  const normal = [across[1] * up[2] - across[2] * up[1], across[2] * up[0] - across[0] * up[2], across[0] * up[1] - across[1] * up[0]];
  const along = (a: Point3) => a[0] * normal[0] + a[1] * normal[1] + a[2] * normal[2];
  const [a, b] = [along(fixed.across), along(fixed.up)]; // a·u + b·v = c on the line
  const c = along(origin) - along(fixed.origin);
  const square = a * a + b * b;
  if (square < 1e-12) return undefined;
  const [u, v] = [(a * c) / square, (b * c) / square];
  const far = 200 / Math.sqrt(square);
  return { from: [u - b * far, v + a * far], to: [u + b * far, v - a * far] };
}

/** The solids at the middle of each pixel: no voxel, no blur. */
function* exactCut(parts: Parts, plane: Plane): Steps<Image> {
  const { width, height, pixelSize } = picture;
  const data = new Float32Array(width * height);
  for (let row = 0; row < height; row++) {
    for (let column = 0; column < width; column++) {
      const at = solidHere(parts, pointOnPlane(plane, (column - (width - 1) / 2) * pixelSize, ((height - 1) / 2 - row) * pixelSize));
      data[row * width + column] = at < 0 ? 0 : attenuations[at];
    }
    yield (row + 1) / height;
  }
  return { ...picture, data };
}
