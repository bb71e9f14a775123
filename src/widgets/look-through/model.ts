import { cameraFrame, castRaysSteps, histogramOf, part, valueInVolume } from '../../lib/index.ts';
import type { Camera, CastPicture, ClipPlane, Point3, Steps, Transfer, TransferPoint, Volume } from '../../lib/index.ts';
import { capsuleVolume, middle } from '../any-cut/capsule-volume.ts';
import { definePlate, type Numbers } from '../frame/definition.ts';
import { remember } from '../frame/remember.ts';

/**
 * turn and tilt of the eye, degrees; threshold, where opacity begins, and ramp, how far above it is full, 1/mm of attenuation; opacity, 1/mm;
 * clip: what is nearer to the eye than this is cut away, and x, y, the marked ray, mm from the capsule's middle.
 */
export type LookState = {
  readonly shows: 'opacity' | 'maximum' | 'integral'; readonly projection: 'orthographic' | 'perspective'; readonly turn: number; readonly tilt: number;
  readonly threshold: number; readonly ramp: number; readonly opacity: number; readonly clip: number; readonly x: number; readonly y: number;
};

export interface LookResult {
  readonly picture: CastPicture;
  /** Of the marked ray. */
  readonly ray: RayThrough;
  /** For the graph of the transfer function: opacity over its greatest, and the voxels at each value, their logarithm over its greatest. */
  readonly transfer: { readonly value: Float64Array; readonly opacity: Float64Array; readonly voxels: Float64Array };
}

export interface RayThrough {
  /** mm along the ray, 0 level with the capsule's middle, + away from the eye. */
  readonly depth: Float64Array;
  /** 1/mm; 0 where it is cut away or outside the volume. */
  readonly value: Float64Array;
  /** What the pixel has come to at each depth: brightness, the greatest value (1/mm), or the line integral. */
  readonly gathered: Float64Array;
  /** Share of the light from behind that gets through all that lies before this depth; 1 throughout unless opacity is shown. */
  readonly left: Float64Array;
}

const voxelSize = 1;
const field = 80; // mm from bottom to top
const fine = { pixels: 104, step: 0.7 * voxelSize };
const coarse = { pixels: 52, step: voxelSize };
const far = 160; // from the eye to the middle, mm
const deep = 46; // the ray's graph reaches so far to either side, mm
const white = 0.1; // brightness is full at this attenuation, 1/mm

export const lookThrough = definePlate<LookState, LookResult>({
  id: 'look-through',
  title: 'Rays through the capsule',
  initial: { shows: 'opacity', projection: 'orthographic', turn: 30, tilt: 20, threshold: 0.01, ramp: 0.06, opacity: 1, clip: -40, x: 0, y: -14 },
  controls: {
    shows: { kind: 'choice', label: 'A pixel shows', options: [{ value: 'opacity', label: 'what is not hidden' }, { value: 'maximum', label: 'the greatest value' }, { value: 'integral', label: 'the line integral' }] },
    projection: { kind: 'choice', label: 'Rays', options: [{ value: 'orthographic', label: 'side by side' }, { value: 'perspective', label: 'from one eye' }] },
    turn: { kind: 'range', label: 'Turn', min: -180, max: 180, step: 5, unit: '°', play: 8 },
    tilt: { kind: 'range', label: 'Eye above the horizon', min: -85, max: 85, step: 5, unit: '°' },
    threshold: { kind: 'range', label: 'Opacity begins at', min: 0.002, max: 0.1, step: 0.002, unit: '1/mm', visible: ({ shows }) => shows === 'opacity' },
    ramp: { kind: 'range', label: 'and is full this much above', min: 0.002, max: 0.1, step: 0.002, unit: '1/mm', visible: ({ shows }) => shows === 'opacity' },
    opacity: { kind: 'range', label: 'Full opacity', min: 0.05, max: 3, step: 0.05, unit: '1/mm', visible: ({ shows }) => shows === 'opacity' },
    clip: { kind: 'range', label: 'Cut away all before', min: -40, max: 40, step: 1, unit: 'mm', format: (mm) => (mm === -40 ? 'nothing' : `${mm} mm`.replace('-', '−')) },
    x: { kind: 'range', label: 'Marked ray, to the right', min: -40, max: 40, step: 0.5, unit: 'mm' },
    y: { kind: 'range', label: 'Marked ray, upwards', min: -40, max: 40, step: 0.5, unit: 'mm' },
  },

  compute: (state) => lookSteps(state, fine),
  sketch: (state) => (pictureFor(state, fine).made ? undefined : lookSteps(state, coarse)),

  describe({ shows, projection, turn, tilt, threshold, ramp, opacity, clip, x, y }, { ray }) {
    const seen = `The capsule, turned by ${said(turn)}° and seen from ${Math.abs(tilt)}° ${tilt < 0 ? 'below' : 'above'} the horizon, with rays ${projection === 'orthographic' ? 'side by side' : 'from one eye'}${clip === -40 ? '' : `; what lies before ${said(clip)} mm is cut away`}.`;
    const last = ray.depth.length - 1;
    const end = ray.gathered[last];
    const marked = `The marked ray, ${said(x)} mm to the right and ${said(y)} mm up,`;
    if (shows === 'maximum') return `${seen} ${marked} meets at most ${end.toPrecision(3)}/mm.`;
    if (shows === 'integral') return `${seen} ${marked} has a line integral of ${end.toPrecision(3)}: an X-ray would keep ${share(Math.exp(-end))} of its strength.`;
    return `${seen} Opacity begins at ${threshold}/mm of attenuation and reaches ${opacity}/mm at ${Number((threshold + ramp).toFixed(3))}/mm. ${marked} lets ${share(ray.left[last])} of the light from behind through and shows a brightness of ${end.toFixed(2)}.`;
  },

  listings: [
    { file: 'volume/cast-rays.ts', function: 'lookThrough', title: 'Along one ray, from front to back' },
    { file: 'volume/camera.ts', function: 'cameraFrame', title: 'The directions of the picture' },
  ],
  exports({ shows }, { picture, ray, transfer }) {
    const numbers: Numbers[] = [
      { name: shows, label: 'The picture, as numbers', shape: [picture.height, picture.width], data: picture.data },
      { name: 'ray', label: 'The marked ray', columns: { 'depth (mm)': ray.depth, 'attenuation (1/mm)': ray.value, gathered: ray.gathered, 'light let through': ray.left } },
      { name: 'transfer', label: 'The transfer function', columns: { 'attenuation (1/mm)': transfer.value, 'opacity over its greatest': transfer.opacity } },
    ];
    return { pictures: [{ name: shows, label: 'The picture', image: picture }], numbers };
  },
});

type Grain = typeof fine;

function* lookSteps(state: LookState, grain: Grain): Steps<LookResult> {
  const volume = yield* part(capsuleVolume(voxelSize), 0, 0.4);
  const camera = cameraFor(state, grain.pixels);
  const transfer = transferFor(state);
  const picture = pictureFor(state, grain);
  picture.made ??= yield* part(castRaysSteps(volume, camera, transfer, { clip: clipFor(state, camera), step: grain.step }), 0.4, 1);
  return { picture: pictureFor(state, grain).made!, ray: rayThrough(volume, camera, transfer, state), transfer: transferCurve(volume, state) };
}

/** Kept, because moving the marked ray changes nothing in it. */
function pictureFor({ x: _, y: __, ...look }: LookState, { pixels }: Grain): { made?: CastPicture } {
  return remember('look-through-picture', `${pixels} ${Object.values(look)}`, (): { made?: CastPicture } => ({}), 4);
}

const said = (value: number) => String(value).replace('-', '−');
const share = (part: number) => (part < 0.001 ? 'less than 0.1 %' : `${Number((100 * part).toPrecision(2))} %`);

/** At turn 0 the eye looks along +y, x to the right; rising, it goes round counter-clockwise seen from above. */
export function cameraFor({ projection, turn, tilt }: Pick<LookState, 'projection' | 'turn' | 'tilt'>, pixels = fine.pixels): Camera {
  const [a, b] = [(turn * Math.PI) / 180, (tilt * Math.PI) / 180];
  const towards: Point3 = [Math.sin(a) * Math.cos(b), -Math.cos(a) * Math.cos(b), Math.sin(b)];
  const eye = middle.map((value, k) => value + far * towards[k]) as unknown as Point3;
  return { projection, eye, target: middle, width: pixels, height: pixels, field };
}

function clipFor({ clip }: LookState, camera: Camera): ClipPlane[] {
  if (clip === -40) return [];
  const { forward } = cameraFrame(camera);
  return [{ point: along(middle, forward, clip), normal: along([0, 0, 0], forward, -1) }];
}

const along = (from: Point3, direction: Point3, mm: number): Point3 => [from[0] + mm * direction[0], from[1] + mm * direction[1], from[2] + mm * direction[2]];

/** Opacity by a ramp; brightness follows the attenuation, so that what is denser shows lighter. */
export function transferFor({ shows, threshold, ramp, opacity }: Pick<LookState, 'shows' | 'threshold' | 'ramp' | 'opacity'>): Transfer {
  if (shows !== 'opacity') return { kind: shows };
  const stops = [threshold, threshold + ramp, ...(white > threshold && Math.abs(white - threshold - ramp) > 1e-9 ? [white] : [])].sort((a, b) => a - b);
  const points = stops.map((value): TransferPoint => ({ value, opacity: opacity * Math.min(1, Math.max(0, (value - threshold) / ramp)), brightness: brightness(value) }));
  return { kind: 'opacity', points, shading: 0.75 };
}

const brightness = (value: number) => 0.35 + 0.65 * Math.min(1, value / white);

/** The marked ray by itself: the same sum as the picture's, without the shading, and kept at every step. */
function rayThrough(volume: Volume, camera: Camera, transfer: Transfer, { x, y, clip }: LookState): RayThrough {
  const { right, up, forward } = cameraFrame(camera);
  const through = along(along(camera.target, right, x), up, y);
  const fromEye = through.map((value, k) => value - camera.eye[k]) as unknown as Point3;
  const length = Math.hypot(...fromEye);
  const direction: Point3 = camera.projection === 'perspective' ? [fromEye[0] / length, fromEye[1] / length, fromEye[2] / length] : forward;
  const step = voxelSize / 2;
  const count = (2 * deep) / step;
  const ray = { depth: new Float64Array(count), value: new Float64Array(count), gathered: new Float64Array(count), left: new Float64Array(count) };
  const level = direction[0] * forward[0] + direction[1] * forward[1] + direction[2] * forward[2];
  let gathered = 0, left = 1;
  for (let i = 0; i < count; i++) {
    const depth = -deep + (i + 0.5) * step;
    const cutAway = clip !== -40 && depth * level < clip;
    const value = cutAway ? 0 : valueInVolume(volume, along(through, direction, depth)) || 0;
    if (transfer.kind === 'maximum') gathered = Math.max(gathered, value);
    else if (transfer.kind === 'opacity') {
      const hidden = 1 - Math.exp(-opacityAt(transfer.points, value) * step);
      gathered += left * hidden * brightness(value);
      left *= 1 - hidden;
    } else gathered += value * step;
    ray.depth[i] = depth;
    ray.value[i] = value;
    ray.gathered[i] = gathered;
    ray.left[i] = left;
  }
  return ray;
}

function opacityAt(points: readonly TransferPoint[], value: number): number {
  if (value <= points[0].value) return points[0].opacity;
  const next = points.findIndex((point) => point.value >= value);
  if (next < 0) return points.at(-1)!.opacity;
  const [a, b] = [points[next - 1], points[next]];
  return a.opacity + ((value - a.value) / (b.value - a.value)) * (b.opacity - a.opacity);
}

function transferCurve(volume: Volume, state: LookState): LookResult['transfer'] {
  const { edges, counts } = remember('look-through-voxels', '', () => histogramOf(volume, 60, [0, 0.12]));
  const logs = Float64Array.from(counts, (count) => Math.log10(1 + count));
  const most = Math.max(...logs);
  const value = Float64Array.from(counts, (_, i) => (edges[i] + edges[i + 1]) / 2);
  return {
    value,
    opacity: value.map((each) => (state.shows === 'opacity' ? Math.min(1, Math.max(0, (each - state.threshold) / state.ramp)) : 0)),
    voxels: logs.map((each) => each / most),
  };
}
