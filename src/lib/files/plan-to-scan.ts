import { stageTable } from '../physics/stage-table.ts';
import type { Plan } from './plan.ts';
import type { Scan } from './scan.ts';

export interface PlanToScanOptions {
  /** The frames, where they have been taken; photographs view-001.png … in the folder `views`, written with sRGB's curve, when left out. */
  readonly frames?: Scan['frames'];
  /** Whether the angles are those that the stage reaches, as a list; those that were wanted, in equal steps, when left out. */
  readonly reached?: boolean;
}

/**
 * The scan file of a plan: the geometry that its frames will have if all goes as planned. The axis is taken to fall on the middle of the picture
 * and to stand upright, which no rig does by itself: align the scan afterwards. With a lamp the camera stands where the source would, and not behind a screen: what it
 * takes is mirrored.
 * Throws RangeError or BadInput, one sentence, as stageTable where `reached` angles are asked for.
 */
export function planToScan(plan: Plan, { frames, reached = false }: PlanToScanOptions = {}): Scan {
  const { distances: { sourceToAxis, sourceToDetector }, camera: { pitch, columns, rows } } = plan;
  const { count, turn = 360, start = 0, direction = 'counterclockwise' } = plan.views;
  return {
    format: 'scan', version: 1,
    ...(plan.title !== undefined && { title: plan.title }),
    beam: { shape: rows > 1 ? 'cone' : 'fan', sourceToAxis, sourceToDetector },
    detector: { pitch, columns, rows, ...(plan.lamp && { mirrored: true }) },
    angles: reached && plan.stage ? { list: reachedAngles(plan) } : { start, step: Number((turn / count).toPrecision(12)), count },
    turn: direction,
    frames: frames ?? { kind: 'photographs', files: namesOf(count), encoding: 'srgb' },
  };
}

function reachedAngles({ stage, views: { count, turn = 360, start = 0 } }: Plan): number[] {
  const { rows } = stageTable(stage!, count, (turn * Math.PI) / 180);
  return rows.map(({ reached }) => start + Number(((reached * 180) / Math.PI).toFixed(9)));
}

/** view-001.png …, with as many figures as the last one needs, so that any program sorts them rightly. */
function namesOf(count: number): string[] {
  const figures = Math.max(3, String(count).length);
  return Array.from({ length: count }, (_, k) => `views/view-${String(k + 1).padStart(figures, '0')}.png`);
}
