import { BadInput } from '../files/bad-input.ts';
import { planToScan } from '../files/plan-to-scan.ts';
import type { Plan } from '../files/plan.ts';
import { scanGeometry } from '../files/scan-geometry.ts';
import { workingGeometry } from '../photos/working-geometry.ts';
import type { ConeBeam } from '../types.ts';

/**
 * The cone beam of a plan whose photographs are binned by `bin`: also for a plan with one row of pixels. The axis is upright and on the middle, as planToScan has it.
 * reached: at the angles that the stage reaches; those that are wanted when left out.
 * Throws BadInput for a bin that leaves fewer than 2 columns or no row; as planToScan.
 */
export function planGeometry(plan: Plan, bin = 1, reached = false): ConeBeam {
  const { columns, rows } = plan.camera;
  if (!Number.isInteger(bin) || bin < 1 || columns / bin < 2 || rows / bin < 1) {
    throw new BadInput(`Binning by ${bin} does not suit photographs of ${columns} × ${rows} pixels: a whole number is needed that leaves two columns and a row at least.`);
  }
  const scan = planToScan(plan, { reached });
  const { sourceToAxis, sourceToDetector } = plan.distances;
  const geometry = scanGeometry({ ...scan, beam: { shape: 'cone', sourceToAxis, sourceToDetector } }) as ConeBeam;
  return workingGeometry(geometry, { width: columns, height: rows }, { bin });
}

/** The binning with which a volume of `size` voxels an edge has about as many cells across as voxels: at most a fifth more. */
export function workingBin({ camera }: Pick<Plan, 'camera'>, size: number): number {
  return Math.max(1, Math.min(camera.rows, Math.ceil(camera.columns / (1.2 * size))));
}
