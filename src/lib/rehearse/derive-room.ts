import { planDose } from '../files/plan-dose.ts';
import type { XrayPlan } from '../files/plan.ts';
import { short, type DerivedFigure } from './derived.ts';

/**
 * What may reach the person in the room, as a range. Never a mark: these are estimates, and whether a room may be used is for those who answer for it.
 */
export function deriveRoom(plan: XrayPlan): DerivedFigure[] {
  const dose = planDose(plan);
  if (!dose) return [];
  const figure = (key: string, label: string, { low, likely, high }: { readonly low: number; readonly likely: number; readonly high: number }, what: string): DerivedFigure => ({
    key, group: 'room', label, value: high, unit: 'µSv', parts: { low, likely, high },
    rule: 'air kerma by the spectrum or as measured · inverse square · scatter and leakage · barrier · Sv for each Gy, all high figures together (doseEstimate)',
    sentence: `${what} ${short(low)} to ${short(high)} µSv, likely ${short(likely)}. ${dose.caution}`,
  });
  return [
    figure('dosePerScan', 'Dose in a scan, high end of the estimate', dose.perScan, 'By this estimate a scan gives the person in the room'),
    figure('dosePerYear', 'Dose in a year, high end of the estimate', dose.perYear, 'By this estimate a year of such scans gives the person in the room'),
    figure('doseInBeam', 'Dose in the open beam, high end of the estimate', dose.inOpenBeam, 'By this estimate one scan gives somebody who stands in the open beam at this distance, with nothing between,'),
  ];
}
