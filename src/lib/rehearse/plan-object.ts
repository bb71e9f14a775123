import type { Steps } from '../engine/steps.ts';
import { BadInput } from '../files/bad-input.ts';
import { planSolids } from '../files/plan-solids.ts';
import type { Plan } from '../files/plan.ts';
import { stretchTracer } from '../phantom/chord.ts';
import { cutterOf } from '../phantom/cut-solid.ts';
import { projectPathsSteps, substancesOf } from '../phantom/project-solids.ts';
import type { Solid, Substance } from '../phantom/solids.ts';
import { linearAttenuation } from '../physics/attenuation.ts';
import { projectFrameSteps } from '../project/forward-project-cone.ts';
import type { ConeBeam, Volume } from '../types.ts';

/** The object of a plan, as light meets it. */
export interface PlanObject {
  /** What it is made of, empty space left out; two densities of one material are two. */
  readonly substances: readonly Substance[];
  /** The upright cylinder about the axis that holds it, mm. */
  readonly radius: number;
  readonly bottom: number;
  readonly top: number;
  /** The solids, where it is made of them. */
  readonly solids?: readonly Solid[];
  /** What is around it and in what is empty, where that is not air: with a lamp, the liquid that it hangs in. */
  readonly around?: 'liquid';
  /** How far the rays to all cells of a beam run in each substance, mm: one frame of rows × columns a substance for each view, row 0 at the bottom. */
  readonly pathsOf: (geometry: ConeBeam, view: number) => Steps<Float32Array[]>;
}

/** Without a material a volume is taken as water of changing density, and without an energy as values at 60 keV. */
const usualMaterial = 'water', usualEnergy = 60;

/**
 * Makes the object of a plan ready. volume: the values, 1/mm, of an object that is a volume in a file of its own.
 * A volume is one substance: its material, as dense in each voxel as the value says (a path of p/μ mm at the energy of the plan); with a lamp, its values as they stand.
 * Throws BadInput where the object is a volume that was not handed over, or holds nothing at all; as planSolids.
 */
export function planObject(plan: Pick<Plan, 'object' | 'lamp'>, volume?: Volume): PlanObject {
  const known = ready.get(plan.object);
  const inLight = plan.lamp !== undefined;
  if (known && known.volume === volume && known.inLight === inLight) return known.object;
  const object = plan.object.kind === 'volume' ? ofVolume(plan.object, volume, inLight) : ofSolids(planSolids(plan)!, inLight);
  ready.set(plan.object, { object, volume, inLight });
  return object;
}

/** A page asks for the same object with every move of a slider. */
const ready = new WeakMap<object, { readonly object: PlanObject; readonly volume: Volume | undefined; readonly inLight: boolean }>();

function ofSolids(solids: readonly Solid[], inLight: boolean): PlanObject {
  const { substances } = substancesOf(solids);
  return {
    substances, solids, ...extentOf(solids), ...(inLight && { around: 'liquid' }),
    *pathsOf(geometry, view) {
      const paths = yield* projectPathsSteps(solids, { ...geometry, angles: [geometry.angles[view]] });
      return paths.map(({ paths: { data } }) => data);
    },
  };
}

function ofVolume({ file, material = usualMaterial, energy = usualEnergy }: Plan['object'] & { kind: 'volume' }, volume: Volume | undefined, inLight: boolean): PlanObject {
  if (!volume) throw new BadInput(`The object of this plan is the volume ${file}, whose values are needed too.`);
  const { width, height, depth, voxelSize, centre = [0, 0, 0], data } = volume;
  const most = data.reduce((top, value) => Math.max(top, value), 0);
  if (!(most > 0)) throw new BadInput(`The volume ${file} holds no value above 0: it should be attenuation in 1/mm.`);
  let [radius, bottom, top] = [0, Infinity, -Infinity];
  for (let z = 0, i = 0; z < depth; z++) {
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++, i++) {
        if (!(data[i] > 0.02 * most)) continue;
        radius = Math.max(radius, Math.hypot(centre[0] + (x - (width - 1) / 2) * voxelSize, centre[1] + ((height - 1) / 2 - y) * voxelSize));
        const at = centre[2] + (z - (depth - 1) / 2) * voxelSize;
        [bottom, top] = [Math.min(bottom, at), Math.max(top, at)];
      }
    }
  }
  const mu = inLight ? 1 : linearAttenuation(material, energy);
  return {
    substances: [inLight ? { name: 'volume', attenuation: 1 } : { name: material, material }], radius: radius + voxelSize / 2, bottom: bottom - voxelSize / 2, top: top + voxelSize / 2, ...(inLight && { around: 'liquid' }),
    *pathsOf(geometry, view) {
      const frame = new Float32Array(geometry.rows * geometry.detectors);
      yield* projectFrameSteps(volume, geometry, view, frame);
      return [frame.map((value) => Math.max(0, value) / mu)];
    },
  };
}

/** By lines along x through the solids, and once more where they met something: right within a hundredth of its size, on the large side. */
function extentOf(solids: readonly Solid[]): { radius: number; bottom: number; top: number } {
  const filled = solids.map(({ material, attenuation }) => material !== undefined || attenuation !== undefined);
  const bounds = solids.filter((_, k) => filled[k]).map(cutterOf);
  if (bounds.length === 0) throw new BadInput('The object is all empty space: at least one solid needs a material, or with a lamp an attenuation.');
  if (bounds.some(({ radius }) => radius === Infinity)) throw new BadInput('The object has no end: a half-space is a cut for other forms, and no solid by itself.');
  const range = (axis: 1 | 2) => [Math.min(...bounds.map(({ centre, radius }) => centre[axis] - radius)), Math.max(...bounds.map(({ centre, radius }) => centre[axis] + radius))];
  const trace = stretchTracer(solids);
  let box = { y: range(1), z: range(2) };
  let radius = 0;
  for (let pass = 0; pass < 2; pass++) {
    const lines = 80;
    const [stepY, stepZ] = [(box.y[1] - box.y[0]) / lines, (box.z[1] - box.z[0]) / lines];
    const met = { y: [Infinity, -Infinity], z: [Infinity, -Infinity] };
    radius = 0;
    for (let i = 0; i < lines; i++) {
      for (let j = 0; j < lines; j++) {
        const [y, z] = [box.y[0] + (i + 0.5) * stepY, box.z[0] + (j + 0.5) * stepZ];
        const start = -1e6;
        trace(Float64Array.of(start, y, z, 1, 0, 0), (solid, from, to) => {
          if (!filled[solid]) return;
          radius = Math.max(radius, Math.hypot(start + from, y), Math.hypot(start + to, y));
          met.y = [Math.min(met.y[0], y - stepY), Math.max(met.y[1], y + stepY)];
          met.z = [Math.min(met.z[0], z - stepZ), Math.max(met.z[1], z + stepZ)];
        });
      }
    }
    if (!(radius > 0)) throw new BadInput('The object is so small, or so hidden by its own empty parts, that nothing of it was found.');
    box = { y: [Math.max(box.y[0], met.y[0]), Math.min(box.y[1], met.y[1])], z: [Math.max(box.z[0], met.z[0]), Math.min(box.z[1], met.z[1])] };
  }
  return { radius, bottom: box.z[0], top: box.z[1] };
}
