import { stretchTracer } from '../phantom/chord.ts';
import { substancesOf } from '../phantom/project-solids.ts';
import type { Solid } from '../phantom/solids.ts';
import type { VolumeGrid } from '../types.ts';
import { labelSolids } from './label-solids.ts';
import type { PlanObject } from './plan-object.ts';

/** A solid of the object and what it lies in. */
export interface ObjectPart {
  readonly name: string;
  /** Its place among the solids; −1 where the object is a volume. */
  readonly solid: number;
  /** Its place among the object's substances. */
  readonly substance: number;
  /** The substance that most of its surface touches, −1 for empty space, and what that is called. */
  readonly against: number;
  readonly againstName: string;
  /** How thick it mostly is, mm: of the lines along each axis the middle one of all stretches in it, and of the three the shortest; 0 where no line met it, Infinity of a volume. */
  readonly thickness: number;
}

/** Voxels along the longest edge of the grid on which it is looked up what touches what. */
const edge = 72;

/**
 * The parts of an object that are of something, each with what most of its surface touches. Parts that no voxel of a coarse grid meets (wires far thinner than a seventieth of
 * the object) are taken to lie in empty space.
 */
export function objectParts(object: PlanObject): readonly ObjectPart[] {
  const known = found.get(object);
  if (known) return known;
  const { solids, substances, radius, bottom, top, around = 'air' } = object;
  const nameOf = (k: number) => (k < 0 ? around : substances[k].name ?? substances[k].material ?? `substance ${k + 1}`);
  if (!solids) return [{ name: nameOf(0), solid: -1, substance: 0, against: -1, againstName: around, thickness: Infinity }];
  const { of } = substancesOf(solids);
  const voxelSize = Math.max(2 * radius, top - bottom) / edge;
  const size = (length: number) => Math.ceil(length / voxelSize) + 2;
  const grid: VolumeGrid = { width: size(2 * radius), height: size(2 * radius), depth: size(top - bottom), voxelSize, centre: [0, 0, (top + bottom) / 2] };
  const labels = labelSolids(solids, grid);
  const thickness = thicknessOf(solids, grid);
  const touches = solids.map(() => new Map<number, number>());
  const meet = (a: number, b: number) => {
    if (a === b || a < 0) return;
    const other = b < 0 ? -1 : of[b];
    if (other !== of[a]) touches[a].set(other, (touches[a].get(other) ?? 0) + 1);
  };
  const steps = [1, grid.width, grid.width * grid.height];
  for (let i = 0; i + steps[2] < labels.length; i++) {
    for (const step of steps) {
      meet(labels[i], labels[i + step]);
      meet(labels[i + step], labels[i]);
    }
  }
  const parts = solids.flatMap((solid, k): ObjectPart[] => {
    if (of[k] < 0) return [];
    let [against, most] = [-1, 0];
    for (const [other, count] of touches[k]) if (count > most) [against, most] = [other, count];
    const name = solid.name ?? solid.material ?? `solid ${k + 1}`;
    return [{ name, solid: k, substance: of[k], against, againstName: nameOf(against), thickness: thickness[k] }];
  });
  found.set(object, parts);
  return parts;
}

/** Along lines through the grid, the middle of the lengths that are in each solid; of three directions the shortest. */
function thicknessOf(solids: readonly Solid[], { width, height, depth, voxelSize, centre = [0, 0, 0] }: VolumeGrid): number[] {
  const trace = stretchTracer(solids);
  const counts = [width, height, depth];
  const shortest = solids.map(() => Infinity);
  const ray = new Float64Array(6);
  for (let along = 0; along < 3; along++) {
    const [one, other] = [0, 1, 2].filter((axis) => axis !== along);
    const lengths: number[][] = solids.map(() => []);
    ray.fill(0);
    ray[3 + along] = 1;
    ray[along] = centre[along] - counts[along] * voxelSize;
    for (let i = 0; i < counts[one]; i++) {
      for (let j = 0; j < counts[other]; j++) {
        ray[one] = centre[one] + (i - (counts[one] - 1) / 2) * voxelSize;
        ray[other] = centre[other] + (j - (counts[other] - 1) / 2) * voxelSize;
        trace(ray, (solid, from, to) => lengths[solid].push(to - from));
      }
    }
    lengths.forEach((list, k) => {
      if (list.length > 0) shortest[k] = Math.min(shortest[k], list.sort((a, b) => a - b)[list.length >> 1]);
    });
  }
  return shortest.map((length) => (length === Infinity ? 0 : length));
}

const found = new WeakMap<PlanObject, readonly ObjectPart[]>();
