import type { Plan, XrayPlan } from '../files/plan.ts';
import { planDose } from '../files/plan-dose.ts';
import { duration, figure } from './duration.ts';
import type { RunTimes } from './run-times.ts';

export interface SheetPart {
  readonly heading: string;
  /** Sentences, each to be ticked by itself. */
  readonly lines: readonly string[];
}

/**
 * What is ticked before any power of an X-ray tube, part by part. It errs on the safe side, says of nothing that it is safe, and ends with who signs.
 * Throws RangeError, one sentence, as planDose.   Source: common practice, no source; what holds is local law and the licensed person's word.
 */
export function sheetChecks(plan: XrayPlan, times: RunTimes): SheetPart[] {
  const { tube, room, stage } = plan;
  return [
    {
      heading: 'May this be done at all?',
      lines: [
        'The law of this place allows this tube to be run here, and the licence or registration that it asks for is at hand.',
        'A person who is qualified and licensed to do so has looked at the set-up as it stands today and has agreed to this run in writing.',
        'It has run through once with a lamp in place of the tube and the tube’s supply unplugged: turning, camera, stopping and resuming.',
        'Somebody else knows of this run, is within call, and knows which switch cuts all power.',
      ],
    },
    {
      heading: 'Radiation',
      lines: [
        'Nobody is in the room. Somebody has looked, behind things too, called out, and closed the last door from outside.',
        'Doors, lid and emergency stop are in one interlock chain that cuts the tube’s own supply with no program in between; each has been opened in turn today, and each time the supply went off.',
        'The warning light is outside every door, is lit by the supply itself and not by a program, and somebody has seen it light today. It is lit before the beam, not with it.',
        'A survey meter made for these energies, calibrated and in date, shows what it shows with everything off; that reading is written down. Low energies and short exposures deceive many meters.',
        'Everybody near wears a personal dosimeter from a recognised service, where the law or the licensed person asks for it. It tells afterwards what was received; it protects nobody.',
        room ? `Everybody is at least ${room.distance} mm from tube and object${room.barrier ? `, behind ${room.barrier.thickness} mm of ${room.barrier.material} that covers every way, floor, ceiling, gaps and door frames too` : ', and the plan has nothing between: more distance and a barrier come first'}. Nobody is ever in line with the beam, nor behind the screen.`
          : 'The plan says nothing of the room, so nothing can be estimated of what reaches a person: put distance and barrier into the plan first.',
        ...doseLine(plan, times),
        'The beam is collimated to the screen, and a beam stop stands behind the screen.',
      ],
    },
    {
      heading: 'High voltage',
      lines: [
        `${tube.kVp} kV kills, through air and over surfaces too. Nobody opens, touches or leans over the supply, the cable or the tube’s ends; whoever may service them is qualified to.`,
        'Every metal part that can be touched is bonded to earth, and the bond has been measured today.',
        'After switching off, charge stays: the supply is discharged and earthed with its own rod, by a qualified person, before anybody reaches in. Its meter at zero proves nothing.',
        'One switch outside the room cuts all power, within reach of where the operator stands.',
      ],
    },
    {
      heading: 'Heat',
      lines: [
        `An exposure puts ${figure(times.power * times.seconds)} J into the tube. The maker’s charts for a single exposure and for a series allow what this sheet asks for; where they and the sheet differ, the charts hold.`,
        times.tube ? `The sheet rests for ${duration(times.rest)} after every exposure, and assumes a tube that is cold at the start.` : 'The plan does not tell what heat the tube may hold, so the rests of this sheet protect it from nothing: take them from the maker’s charts.',
        'Oil, fan or water runs where the tube has it, and its failure opens the interlock chain.',
        'Nothing that burns is near the tube. Glass under vacuum can burst: it has a cover, and eyes are covered.',
      ],
    },
    {
      heading: 'The rig',
      lines: [
        'Source, axis and screen stand where the plan has them; the distances have been measured and are written down below.',
        'The object is fixed to the table and cannot shift, roll or leak, in a whole turn by hand with everything off.',
        stage ? `The table turns ${senseOf(plan)} seen from above, has no play that a hand can feel, and finds its mark again from both sides.` : `The object is turned by hand between views, ${senseOf(plan)} seen from above, with everything off, discharged and locked each time.`,
        'The camera is fixed; exposure, gain, aperture, focus and white balance are set by hand and locked, and nothing in it corrects pictures by itself. Battery and card last for the whole run.',
        'The room is dark; no lamp, daylight or indicator reaches the screen.',
      ],
    },
    {
      heading: 'Who signs',
      lines: ['Operator: name, date, signature.', 'Person who answers for radiation protection: name, licence, date, signature.'],
    },
  ];
}

/** The source goes round the object one way, so the object turns the other. */
export const senseOf = ({ views }: Pick<Plan, 'views'>) => (views.direction === 'clockwise' ? 'counterclockwise' : 'clockwise');

function doseLine(plan: XrayPlan, { heating, exposures }: RunTimes): string[] {
  // Flats count as views: they have the same beam.
  const whole = plan.views.count * (heating / exposures);
  const dose = planDose({ ...plan, views: { ...plan.views, count: whole } });
  if (!dose) return [];
  return [`The plan’s estimate for somebody there is as much as ${figure(dose.perScan.high)} µSv in this run, and ${figure(dose.inOpenBeam.high)} µSv in the open beam itself with nothing between. ${dose.caution}`];
}
