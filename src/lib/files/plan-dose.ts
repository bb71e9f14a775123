import { airKerma } from '../physics/air-kerma.ts';
import { doseEstimate, type DoseEstimate, type DoseQuestion } from '../physics/dose-estimate.ts';
import { tubeSpectrum } from '../physics/tube-spectrum.ts';
import type { XrayPlan } from './plan.ts';

/**
 * What a planned scan may give to the person in its room: doseEstimate with the plan's figures; undefined where the plan has no room.
 * Air kerma in the open beam: the plan's own, which is measured, or else that of its tube and filters by calculation.
 * Throws RangeError, one sentence, as doseEstimate.
 */
export function planDose({ tube, filters = [], exposure, views, distances, room }: Pick<XrayPlan, 'tube' | 'filters' | 'exposure' | 'views' | 'distances' | 'room'>): DoseEstimate | undefined {
  if (!room) return undefined;
  const seconds = exposure.seconds * (exposure.frames ?? 1) * views.count;
  const otherSeconds = 60 * (room.minutes ?? 0);
  const { anode, kVp, anodeAngle } = tube;
  const known: DoseQuestion['output'] = tube.output !== undefined ? { value: tube.output, basis: 'measured' } : { value: airKerma(tubeSpectrum({ anode, kVp, ...(anodeAngle !== undefined && { anodeAngle }), filters })), basis: 'calculated' };
  return doseEstimate({
    kVp: tube.kVp, mAs: tube.mA * seconds, seconds, otherMAs: tube.mA * otherSeconds, otherSeconds,
    sourceToObject: distances.sourceToAxis, distance: room.distance, barrier: room.barrier, output: known,
    housing: tube.housing, occupancy: room.occupancy, scansPerYear: room.scansPerYear,
  });
}
