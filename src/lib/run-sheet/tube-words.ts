import type { XrayPlan } from '../files/plan.ts';
import { duration, figure } from './duration.ts';
import type { SheetNote, SheetWords } from './run-sheet.ts';
import type { RunTimes } from './run-times.ts';
import { sheetChecks } from './sheet-checks.ts';

/**
 * What the sheet of a run with an X-ray tube says. peakShare: of the tube's limit, the most that the run comes to, where the plan has one.
 * Throws RangeError, one sentence, as sheetChecks.
 */
export function tubeWords(plan: XrayPlan, times: RunTimes, peakShare?: number): SheetWords {
  return {
    cautions: [
      'X-rays, high voltage and a hot tube injure and kill. This sheet is a list to work by: it makes nothing safe and says of nothing that it is. The law of the place and the licensed person who answers for the set-up stand above every line of it.',
      'If a line cannot be ticked, the tube stays without power. If in doubt, switch off, and ask that person.',
      'The same run with a lamp and a translucent object teaches the same, without X-rays or high voltage.',
      ...(peakShare !== undefined && peakShare > times.fraction + 1e-9 ? [`The plan’s own rest takes the tube to ${Math.ceil(100 * peakShare)} % of its limit by estimate; ${figure(100 * times.fraction)} % is what this sheet would use. Rest longer.`] : []),
    ],
    checks: sheetChecks(plan, times),
    darkAndFlat: darkAndFlat(times),
    rests: restsOf(plan, times),
    notes: notesOf(plan, times),
    resume: [
      'Supply off, interlock open, warning light out, meter back at the reading taken with everything off. Nobody goes in before; high voltage is discharged and earthed by whoever is qualified to.',
      'The cause is found, put right and written down. An arc, a smell, a crack, a hot housing, or a meter that read more than before ends the run: the licensed person decides whether there is another.',
      'Object, camera, screen and source stand where they stood: compare a photograph taken now with the last good one. If anything has moved, the run begins again at the first frame.',
      'The camera’s settings are still locked, and the card has room. The photograph of the frame that was cut short is marked as lost, and kept.',
      'Every line before power holds again, and is ticked again: doors, warning light, nobody in the room.',
    ],
  };
}

function darkAndFlat({ dark, flat, seconds, lead }: RunTimes): string[] {
  const open = `exposure ${seconds} s, shutter open ${Number((seconds + 2 * lead).toFixed(3))} s, no setting changed`;
  return [
    dark > 0 ? `Dark frames: ${dark} before and ${dark} after, as the views (${open}), with the tube’s supply off and the room as dark as for the views.` : 'No dark frame is planned: what the camera gives without light cannot be taken off.',
    flat > 0 ? `Flat frames: ${flat} before and ${flat} after, as the views, with the beam on and the object away; everything else stays. The interlock chain is open, and the supply off, whenever somebody puts the object on or takes it away.` : 'No flat frame is planned: the screen’s own unevenness cannot be divided out.',
    'If the flats after differ from those before, the source or the camera has drifted, and both are needed.',
  ];
}

function restsOf({ stage }: XrayPlan, { rest, settle, lead, handling, byHand, warning, tube, stepTime }: RunTimes): string[] {
  return [
    `After every exposure ${duration(rest)} of rest${tube ? '' : ', which is the plan’s or the camera’s, for the plan does not tell what the tube may hold'}. Longer does no harm; shorter is not allowed.`,
    stage ? `Then the table turns, a microstep every ${figure(1000 * stepTime)} ms, and stands for ${duration(settle)}; the shutter opens ${duration(lead)} before the exposure and closes ${duration(lead)} after it.` : `Then the object is turned by hand, for which ${duration(byHand)} are counted, and stands for ${duration(settle)}. Take as long as it needs: switching off, discharging and looking for people are not to be hurried.`,
    `${duration(handling)} are counted for putting the object on, and for taking it away; it takes as long as it takes. The lamp warns for ${duration(warning)} before the first exposure after it.`,
  ];
}

function notesOf(plan: XrayPlan, times: RunTimes): SheetNote[] {
  const { tube, distances, camera, filters = [], stage, views } = plan;
  return [
    { what: 'Date, place, operator, who is within call' },
    { what: 'Tube voltage at the start, in the middle, at the end', planned: `${tube.kVp} kV` },
    { what: 'Tube current at the start, in the middle, at the end', planned: `${tube.mA} mA` },
    { what: 'Length of an exposure', planned: `${times.seconds} s` },
    { what: 'Filters in the beam', planned: filters.length > 0 ? filters.map(({ material, thickness }) => `${thickness} mm ${material}`).join(', ') : 'none' },
    { what: 'Source to axis, measured', planned: `${distances.sourceToAxis} mm` },
    { what: 'Source to screen, measured', planned: `${distances.sourceToDetector} mm` },
    { what: 'A length on the screen, and how many pixels of the picture it covers', planned: `${camera.pitch} mm a pixel` },
    { what: 'Camera: exposure, gain, aperture, focus, white balance, file format; all locked', planned: `f/${camera.fNumber}, ${camera.bits} bits, ${camera.columns} × ${camera.rows} pixels as used` },
    { what: 'Direction in which the table turns, seen from above', planned: views.direction === 'clockwise' ? 'counterclockwise' : 'clockwise' },
    ...(stage ? [{ what: 'Microsteps in a full step, as set on the driver', planned: String(stage.microsteps) }] : []),
    { what: 'Frames lost, cut short or taken twice: number, time, why' },
    { what: 'Meter in the room with everything off, µSv/h: before and after' },
    { what: 'Meter where people are, with the beam on, µSv/h: first exposure, middle, last' },
    { what: 'Personal dosimeters: numbers, and readings where they can be read' },
    { what: 'Temperature of the housing: before, middle, after' },
    { what: 'Anything that was not as planned' },
  ];
}
