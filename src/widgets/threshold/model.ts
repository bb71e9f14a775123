import { attenuationOf, cameraAround, cutSteps, meshVolume, oilDensity, part, surface, surfaceSteps, volumeOf, watertight } from '../../lib/index.ts';
import type { Camera, Image, Mesh, Plane, Point3, Steps, Volume } from '../../lib/index.ts';
import { definePlate, type Numbers } from '../frame/definition.ts';
import { remember } from '../frame/remember.ts';
import { sharesSteps } from './blurred.ts';
import { shaded } from './shaded.ts';
import { known, type Known, type ObjectName } from './shapes.ts';

/** threshold in 1/mm; voxel and blur (standard deviation) in mm; smooth in passes; turn in degrees. */
export type ThresholdState = {
  readonly object: ObjectName; readonly around: 'air' | 'oil'; readonly threshold: number; readonly voxel: 0.5 | 1 | 1.5 | 2; readonly blur: number; readonly smooth: number; readonly turn: number;
};

export interface ThresholdResult {
  /** The mesh, shaded, 0…1. */
  readonly solid: Image;
  /** The voxels on a plane through the object's middle, 1/mm, and where the mesh crosses it: u, v of one end and of the other, mm, end to end. */
  readonly section: Image;
  readonly crossing: Float32Array;
  readonly outlines: Known['outlines'];
  readonly measures: Measures;
  /** The same volume's surface at other thresholds, unsmoothed: how much more than the object it encloses, %. */
  readonly curve: { readonly threshold: Float64Array; readonly excess: Float64Array };
  /** 1/mm */
  readonly half: number;
}

export interface Measures {
  readonly triangles: number;
  readonly watertight: boolean;
  /** mm³, of the mesh and of the object; the difference in %. */
  readonly volume: number;
  readonly exact: number;
  readonly excess: number;
  /** Of the mesh's vertices from the object's surface, mm: mean (+ outside), root mean square, the farthest. Of no mesh, 0. */
  readonly mean: number;
  readonly rms: number;
  readonly farthest: number;
}

const energy = 60; // keV
export const metal = attenuationOf({ material: 'aluminium' }, energy);
export const surroundings = { air: 0, oil: attenuationOf({ material: 'polyethylene', density: oilDensity }, energy) };
const names: Readonly<Record<ObjectName, string>> = { nut: 'the nut', ball: 'the ball', sheet: 'the sheet' };
const steps = 16;
const field = 25; // mm
const sectionGrid = { width: 100, height: 100, pixelSize: 0.25 };

export const threshold = definePlate<ThresholdState, ThresholdResult>({
  id: 'threshold',
  title: 'A surface and its threshold',
  initial: { object: 'nut', around: 'air', threshold: 0.0375, voxel: 1, blur: 0.5, smooth: 0, turn: 25 },
  controls: {
    object: { kind: 'choice', label: 'Aluminium object', options: [{ value: 'nut', label: 'the nut' }, { value: 'ball', label: 'a ball' }, { value: 'sheet', label: 'a sheet of 1 mm' }] },
    around: { kind: 'choice', label: 'Around it', options: [{ value: 'air', label: 'air' }, { value: 'oil', label: 'oil' }] },
    threshold: { kind: 'range', label: 'Threshold', min: 0.002, max: 0.0735, step: 0.0005, unit: '1/mm', play: 20 },
    voxel: { kind: 'choice', label: 'Edge of a voxel', options: ([0.5, 1, 1.5, 2] as const).map((value) => ({ value, label: `${value} mm` })) },
    blur: { kind: 'range', label: 'Blur of the scan (standard deviation)', min: 0, max: 1.5, step: 0.25, unit: 'mm' },
    smooth: { kind: 'range', label: 'Smoothing of the mesh', min: 0, max: 20, step: 1, unit: 'passes' },
    turn: { kind: 'range', label: 'Turn', min: -180, max: 180, step: 5, unit: '°', play: 8 },
  },

  compute: (state) => thresholdSteps(state, true),
  sketch: (state) => (curveFor(state).curve ? undefined : thresholdSteps(state, false)),

  describe({ object, around, threshold: at, voxel, blur, smooth }, { measures, half }) {
    const { volume, exact, excess, mean, farthest, triangles } = measures;
    const set = `${capital(names[object])} in ${around}, on voxels of ${voxel} mm, ${blur === 0 ? 'not blurred' : `blurred by ${blur} mm`}; the threshold is ${at}/mm, half-way would be ${half.toFixed(4)}/mm.`;
    if (triangles === 0) return `${set} No voxel reaches the threshold: there is no surface.`;
    const size = Math.abs(excess) < 0.05 ? `as much as the object, ${exact.toFixed(0)} mm³` : `${volume.toFixed(0)} mm³, ${Number(Math.abs(excess).toPrecision(2))} % ${excess > 0 ? 'more' : 'less'} than the object’s ${exact.toFixed(0)} mm³`;
    const lies = `It lies ${Math.abs(mean).toFixed(2)} mm ${mean < 0 ? 'inside' : 'outside'} the object’s surface on average and ${farthest.toFixed(2)} mm from it at the farthest`;
    return `${set} The surface${smooth > 0 ? `, smoothed by ${smooth} ${smooth === 1 ? 'pass' : 'passes'},` : ''} encloses ${size}. ${lies}${around === 'oil' && at < surroundings.oil ? '; the oil is above the threshold too' : ''}.`;
  },

  listings: [
    { file: 'volume/surface.ts', function: 'surface', title: 'The surface' },
    { file: 'volume/mesh-volume.ts', function: 'meshVolume', title: 'What it encloses' },
    { file: 'volume/smooth-mesh.ts', function: 'smoothMeshSteps', title: 'Smoothing' },
  ],
  exports({ object }, { solid, section, curve }) {
    const numbers: Numbers[] = [
      { name: 'curve', label: 'Volume against threshold', columns: { 'threshold (1/mm)': curve.threshold, 'more than the object (%)': curve.excess } },
      { name: 'section', label: 'The cut, 1/mm', shape: [section.height, section.width], data: section.data },
    ];
    return { pictures: [{ name: object, label: 'The surface', image: solid }, { name: 'section', label: 'The cut', image: section }], numbers };
  },
});

function* thresholdSteps(state: ThresholdState, withCurve: boolean): Steps<ThresholdResult> {
  const { object, around, voxel, blur } = state;
  const volume = filled(yield* part(sharesSteps(object, blur, voxel), 0, 0.4), surroundings[around]);
  const mesh = yield* part(meshSteps(volume, state.threshold, state.smooth), 0.4, 0.5);
  const { form, section, outlines, outside } = known[object];
  const exact = volumeOf(form)!;
  const cutPicture = yield* part(cutSteps(volume, section, { grid: sectionGrid }), 0.5, 0.55);
  const curve = withCurve ? yield* part(curveSteps(volume, state, exact), 0.55, 1) : { threshold: new Float64Array(0), excess: new Float64Array(0) };
  return {
    solid: shaded(mesh, cameraFor(volume, state.turn)),
    section: cutPicture,
    crossing: crossingOf(mesh, section),
    outlines,
    measures: measure(mesh, outside, exact),
    curve,
    half: (surroundings[around] + metal) / 2,
  };
}

const capital = (text: string) => text[0].toUpperCase() + text.slice(1);

/** Metal where the object is, and something else around it. */
function filled({ data, ...grid }: Volume, around: number): Volume {
  return { ...grid, data: data.map((share) => around + (metal - around) * share) };
}

/** The surface, or a mesh of no triangle where no voxel reaches the threshold. */
function* meshSteps(volume: Volume, at: number, smooth: number): Steps<Mesh> {
  if (greatest(volume) < at) return { positions: new Float32Array(0), triangles: new Uint32Array(0) };
  return yield* surfaceSteps(volume, at, { smooth });
}

function greatest({ data }: Volume): number {
  let most = -Infinity;
  for (let i = 0; i < data.length; i++) if (data[i] > most) most = data[i];
  return most;
}

function* curveSteps(volume: Volume, state: ThresholdState, exact: number): Steps<ThresholdResult['curve']> {
  const made = curveFor(state);
  if (!made.curve) {
    const around = surroundings[state.around];
    const at = Float64Array.from({ length: steps - 1 }, (_, k) => around + ((metal - around) * (k + 1)) / steps);
    const excess = new Float64Array(at.length);
    const most = greatest(volume);
    for (let k = 0; k < at.length; k++) {
      excess[k] = 100 * ((at[k] > most ? 0 : meshVolume(surface(volume, at[k]))) / exact - 1);
      yield (k + 1) / at.length;
    }
    made.curve = { threshold: at, excess };
  }
  return { threshold: made.curve.threshold.slice(), excess: made.curve.excess.slice() };
}

/** Kept, because it is the same for every threshold. */
function curveFor({ object, around, voxel, blur }: ThresholdState): { curve?: ThresholdResult['curve'] } {
  return remember('threshold-curve', `${object} ${around} ${voxel} ${blur}`, (): { curve?: ThresholdResult['curve'] } => ({}), 12);
}

function cameraFor(volume: Volume, turn: number): Camera {
  return { ...cameraAround(volume, { azimuth: (turn * Math.PI) / 180, elevation: 0.6, width: 160, height: 160 }), field };
}

export function measure(mesh: Mesh, outside: Known['outside'], exact: number): Measures {
  const { positions: p, triangles } = mesh;
  const count = p.length / 3;
  let sum = 0, squares = 0, farthest = 0;
  for (let i = 0; i < p.length; i += 3) {
    const distance = outside([p[i], p[i + 1], p[i + 2]]);
    sum += distance;
    squares += distance * distance;
    farthest = Math.max(farthest, Math.abs(distance));
  }
  const volume = triangles.length > 0 ? meshVolume(mesh) : 0;
  return {
    triangles: triangles.length / 3, watertight: watertight(mesh).watertight, volume, exact, excess: 100 * (volume / exact - 1),
    mean: count > 0 ? sum / count : 0, rms: count > 0 ? Math.sqrt(squares / count) : 0, farthest,
  };
}

/** Where the triangles cross a plane: a stretch each, u, v to u, v. */
export function crossingOf({ positions: p, triangles }: Mesh, { origin, across, up }: Plane): Float32Array {
  const normal: Point3 = [across[1] * up[2] - across[2] * up[1], across[2] * up[0] - across[0] * up[2], across[0] * up[1] - across[1] * up[0]];
  const count = p.length / 3;
  const own = new Float64Array(3 * count); // u, v and the height over the plane
  for (let i = 0; i < count; i++) {
    const d = [p[3 * i] - origin[0], p[3 * i + 1] - origin[1], p[3 * i + 2] - origin[2]];
    [across, up, normal].forEach((axis, k) => { own[3 * i + k] = d[0] * axis[0] + d[1] * axis[1] + d[2] * axis[2]; });
  }
  const found: number[] = [];
  for (let t = 0; t < triangles.length; t += 3) {
    for (let corner = 0; corner < 3; corner++) {
      const a = 3 * triangles[t + corner], b = 3 * triangles[t + ((corner + 1) % 3)];
      if (own[a + 2] >= 0 === own[b + 2] >= 0) continue;
      const share = own[a + 2] / (own[a + 2] - own[b + 2]);
      found.push(own[a] + share * (own[b] - own[a]), own[a + 1] + share * (own[b + 1] - own[a + 1]));
    }
  }
  return Float32Array.from(found);
}
