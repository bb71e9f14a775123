import type { LampPlan } from '../files/plan.ts';
import { duration, figure } from './duration.ts';
import type { SheetNote, SheetWords } from './run-sheet.ts';
import type { RunTimes } from './run-times.ts';
import { senseOf } from './sheet-checks.ts';

/**
 * What the sheet of a run in visible light says: lamp, glass and liquid in the place of X-rays, high voltage and heat. It errs on the side of care too.
 * Source: common practice, no source.
 */
export function lampWords(plan: LampPlan, times: RunTimes): SheetWords {
  const { dark, flat, seconds, rest, settle, byHand, handling, stepTime } = times;
  const { stage } = plan;
  return {
    cautions: [
      'This run is for visible light alone. There are no X-rays and no high voltage in it; a lamp, the mains beside a liquid, bright light and glass can still hurt, and no line here promises that they will not.',
      'If a line cannot be ticked, the lamp stays off. Where children or a class work, an adult who answers for it is in the room.',
    ],
    checks: checksOf(plan),
    darkAndFlat: [
      dark > 0 ? `Dark frames: ${dark} before and ${dark} after, as the views (exposure ${seconds} s, no setting changed), with the lens capped and the room dark.` : 'No dark frame is planned: what the camera gives without light cannot be taken off.',
      flat > 0 ? `Flat frames: ${flat} before and ${flat} after, as the views, through the full tank without the object; everything else stays.` : 'No flat frame is planned: the sheet’s own unevenness cannot be divided out.',
      'If the flats after differ from those before, the lamp or the camera has drifted, or dye has gone into the liquid; both are needed.',
    ],
    rests: [
      `Nothing rests for heat: after an exposure ${duration(rest)} for the camera${plan.exposure.rest === undefined ? '' : ', or as the plan has it'}.`,
      stage ? `Then the table turns, a microstep every ${figure(1000 * stepTime)} ms, and ${duration(settle)} are left for the liquid to stand still; wait longer while it still sways.` : `Then the object is turned by hand, for which ${duration(byHand)} are counted, and ${duration(settle)} are left for the liquid to stand still; wait longer while it still sways.`,
      `${duration(handling)} are counted for putting the object into the liquid, and for taking it out; it takes as long as it takes, and bubbles are wiped away.`,
    ],
    notes: notesOf(plan, times),
    resume: [
      'Lamp, cable and tank are looked at first: no spill, nothing hot, nothing cracked. A spill near a plug is wiped up with the plug out.',
      'The cause is found, put right and written down.',
      'Object, camera, tank and sheet stand where they stood: compare a photograph taken now with the last good one. If anything has moved, the run begins again at the first frame.',
      'The camera’s settings are still locked, and the card has room. The photograph of the frame that was cut short is marked as lost, and kept.',
      'The dye has not wandered: a channel that was clear still is. If it has, cast the object anew.',
    ],
  };
}

function checksOf(plan: LampPlan): SheetWords['checks'] {
  const { lamp, stage, camera } = plan;
  return [
    {
      heading: 'Lamp, mains, glass and liquid',
      lines: [
        'The lamp is a panel or a bulb behind a sheet that spreads its light: no laser, no flash, no sunlight gathered by a lens. Nobody looks into it at close range.',
        'It is cool enough to touch after ten minutes, and nothing that burns is near it; a lamp that gets hot stands away from paper, wax and the tank.',
        'Mains parts stand dry, higher than the liquid or out of reach of a spill, on a socket behind a residual-current breaker; the cable has no damage and hangs in a loop below its plug. A panel of low voltage is better.',
        'The tank stands level and firm, has no crack, and is no fuller than it can be carried; a tray under it takes what it holds. Broken glass is picked up with gloves and a brush.',
        'The label of liquid and dye has been read, and what it asks for is done: gloves, fresh air, no food beside. Nothing here is eaten afterwards.',
        'Cables lie where nobody stumbles in the dark, and a torch is at hand.',
      ],
    },
    {
      heading: 'The rig',
      lines: [
        `The light has one colour${lamp.wavelength === undefined ? '' : `, about ${lamp.wavelength} nm`}, that which the dye takes; −ln of what arrives against depth has been seen to be a straight line through the origin.`,
        'Lens, axis and plane in focus stand where the plan has them; the distances have been measured, through the tank counted as the liquid makes them, and are written down below.',
        'The object hangs in the liquid of its own refractive index and its rim can hardly be seen; it cannot shift in a whole turn, and no bubble sits on it or on the glass.',
        stage ? `The table turns ${senseOf(plan)} seen from above, has no play that a hand can feel, and finds its mark again from both sides.` : `The object is turned by hand between views, ${senseOf(plan)} seen from above, from mark to mark and never back.`,
        `The camera is fixed and level; exposure, gain, aperture${camera.fNumber === undefined ? '' : ` (f/${camera.fNumber})`}, focus and white balance are set by hand and locked, no flash, and nothing in it corrects pictures by itself. Battery and card last for the whole run.`,
        'No pixel of the open sheet is full, and a photograph of it is as bright as the plan has it.',
        'The room is dark but for the sheet; no daylight, window or indicator is mirrored in the tank. Nothing but the object moves or is moved from the first frame to the last.',
      ],
    },
    { heading: 'Who does it', lines: ['Operator: name, date.', 'Adult who answers for it, where children or a class take part: name, date.'] },
  ];
}

function notesOf({ lamp, distances, camera, stage, views }: LampPlan, times: RunTimes): SheetNote[] {
  return [
    { what: 'Date, place, operator' },
    { what: 'Lamp and its colour', ...(lamp.wavelength !== undefined && { planned: `${lamp.wavelength} nm` }) },
    { what: 'Liquid, dye, and when the object was cast' },
    { what: 'Length of an exposure', planned: `${times.seconds} s` },
    { what: 'Lens to axis, measured; in air and in liquid apart', planned: `${distances.sourceToAxis} mm as the liquid makes it` },
    { what: 'Lens to plane in focus, measured', planned: `${distances.sourceToDetector} mm as the liquid makes it` },
    { what: 'A length in the plane in focus, and how many pixels of the picture it covers', planned: `${camera.pitch} mm a pixel` },
    { what: 'Camera: exposure, gain, aperture, focus, white balance, file format; all locked', planned: `${camera.fNumber === undefined ? `opening ${lamp.opening} mm` : `f/${camera.fNumber}, opening ${lamp.opening} mm`}, ${camera.bits} bits, ${camera.columns} × ${camera.rows} pixels as used` },
    { what: 'Direction in which the object turns, seen from above', planned: views.direction === 'clockwise' ? 'counterclockwise' : 'clockwise' },
    ...(stage ? [{ what: 'Microsteps in a full step, as set on the driver', planned: String(stage.microsteps) }] : []),
    { what: 'Grey value of the open sheet: first flat, last flat' },
    { what: 'Frames lost, cut short or taken twice: number, time, why' },
    { what: 'Anything that was not as planned' },
  ];
}
