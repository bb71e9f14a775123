import { doseEstimate, type DoseEstimate, type DoseQuestion } from '../physics/dose-estimate.ts';
import type { XrayPlan } from './plan.ts';

/**
 * What a planned scan may give to the person in its room: doseEstimate with the plan's figures; undefined where the plan has no room.
 * output: air kerma in the open beam by calculation, µGy for each mAs at 1 m, where there is one; the plan's own, which is measured, goes before it.
 * Throws RangeError, one sentence, as doseEstimate.
 */
export function planDose({ tube, exposure, views, distances, room }: Pick<XrayPlan, 'tube' | 'exposure' | 'views' | 'distances' | 'room'>, output?: number): DoseEstimate | undefined {
  if (!room) return undefined;
  const seconds = exposure.seconds * (exposure.frames ?? 1) * views.count;
  const otherSeconds = 60 * (room.minutes ?? 0);
  const known: DoseQuestion['output'] = tube.output !== undefined ? { value: tube.output, basis: 'measured' } : output !== undefined ? { value: output, basis: 'calculated' } : undefined;
  return doseEstimate({
    kVp: tube.kVp, mAs: tube.mA * seconds, seconds, otherMAs: tube.mA * otherSeconds, otherSeconds,
    sourceToObject: distances.sourceToAxis, distance: room.distance, barrier: room.barrier, output: known,
    housing: tube.housing, occupancy: room.occupancy, scansPerYear: room.scansPerYear,
  });
}
