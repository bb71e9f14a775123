import type { ExerciseDefinition } from '../../src/widgets/exercise/definition.ts';
import { values } from '../../src/widgets/values/when-the-rig-misbehaves.ts';

const v = Object.fromEntries(Object.entries(values).map(([name, { value }]) => [name, value])) as Record<keyof typeof values, number>;
const show = (value: number, digits = 3) => String(Number(value.toPrecision(digits))).replace('-', '−');
const middle = (v.cells - 1) / 2;
const mean = (v.bead0 + v.bead180) / 2;
const radians = Math.PI / 180;

export const exercises: readonly ExerciseDefinition[] = [
  {
    id: 'axis-from-a-bead',
    prompt: `With parallel rays, a small bead falls on cell ${v.bead0} of a row at 0° and on cell ${v.bead180} at 180°. The row has ${v.cells} cells, numbered from 0, of ${v.exPitch} mm. How far from the middle of the row does the axis fall?`,
    answer: v.exOffset,
    unit: 'mm',
    tolerance: 0.02,
    wrong: [
      { value: (mean - v.cells / 2) * v.exPitch, says: `You took ${v.cells / 2} for the middle. Cells numbered 0 to ${v.cells - 1} have their middle at ${middle}.` },
      { value: ((v.bead0 - v.bead180) / 2) * v.exPitch, says: 'That is the distance of the bead from the axis. The axis lies half-way between its two places.' },
      { value: (v.bead0 - v.bead180) * v.exPitch, says: 'That is how far the two places lie apart. The axis lies half-way between them.' },
      { value: mean - middle, says: 'That is in cells. Multiply by the pitch.' },
      { value: 2 * v.exOffset, says: 'Twice too far: half of the sum of the two places is where the axis is.' },
      { value: mean * v.exPitch, says: 'That counts from cell 0. The offset counts from the middle of the row.' },
    ],
    hint: 'Opposite views are mirror images of each other about the axis. Which cell is half-way?',
    solution: `Half-way between ${v.bead0} and ${v.bead180} is ${show(mean)}. The middle of ${v.cells} cells is cell ${middle}. The difference, ${show(mean - middle)} cells, is ${show(v.exOffset)} mm, towards the higher cells.`,
  },
  {
    id: 'tilt-from-two-heights',
    prompt: `The axis falls ${v.leanHigh} cells right of the middle in the row ${v.leanRows} rows above the middle of the screen, and ${-v.leanLow} cells left of it in the row ${v.leanRows} rows below. The cells are square. By what angle is the screen tilted against the axis?`,
    answer: v.leanAngle,
    unit: '°',
    tolerance: 0.01,
    wrong: [
      { value: Math.atan((v.leanHigh + v.leanLow) / (2 * v.leanRows)) / radians, says: 'The two offsets lie on different sides, so that the axis moves by their sum from one row to the other.' },
      { value: Math.atan((v.leanHigh - v.leanLow) / v.leanRows) / radians, says: `The two rows are ${2 * v.leanRows} rows apart.` },
      { value: Math.atan(v.leanHigh / v.leanRows) / radians, says: 'That would be so if the axis crossed the middle of the screen. It is off there as well, by the mean of the two offsets.' },
      { value: (v.leanHigh - v.leanLow) / (2 * v.leanRows), says: 'That is the tangent of the angle, or the angle in radians.' },
    ],
    hint: 'How far does the axis move sideways, and over how many rows?',
    solution: `It moves by $${v.leanHigh} + ${-v.leanLow} = ${v.leanHigh - v.leanLow}$ cells over ${2 * v.leanRows} rows: $\\arctan(${v.leanHigh - v.leanLow}/${2 * v.leanRows}) =$ ${show(v.leanAngle)}°. It is also off by ${show((v.leanHigh + v.leanLow) / 2)} cells at the middle height.`,
  },
  {
    id: 'lost-in-the-middle',
    prompt: `Of ${v.runFrames} frames over a whole turn, ${v.runLost} in a row were lost unnoticed, so that all later frames are given angles that are too early. A detail lies ${v.runRadius} mm from the axis. How far apart do the frames before and after the gap draw it?`,
    answer: v.runApart,
    unit: 'mm',
    tolerance: 0.005,
    wrong: [
      { value: 2 * v.runRadius * Math.sin((180 / v.runFrames) * radians), says: `That is for one lost frame; ${v.runLost} were lost.` },
      { value: 2 * v.runRadius * Math.sin((v.runLost + 1) * (180 / v.runFrames) * radians), says: 'Three missing frames put the later ones three steps out, not four. The gap has four steps, but one of them is regular.' },
      { value: v.runRadius * Math.sin(v.runLost * (180 / v.runFrames) * radians), says: 'Half as far as it is. Two points on a circle of radius $r$, an angle $\\alpha$ apart, are $2r\\sin(\\alpha/2)$ from each other, and over a whole turn the step is 360° divided by the number of frames.' },
    ],
    hint: 'By what angle are the later frames wrong? Then it is the chord of a circle.',
    solution: `The step is $360°/${v.runFrames} = ${360 / v.runFrames}°$, the later frames are wrong by ${(v.runLost * 360) / v.runFrames}°, and the chord is $2 \\cdot ${v.runRadius} \\cdot \\sin ${(v.runLost * 180) / v.runFrames}° =$ ${show(v.runApart)} mm.`,
  },
  {
    id: 'dark-column',
    prompt: `The cell on which the axis falls has become ${v.darkShare} % darker since the flat picture was taken. The cells are ${v.darkPitch} mm wide, at the axis; the filter is the plain ramp. By how much is the slice too high on the axis?`,
    answer: v.darkSpike,
    unit: '1/mm',
    tolerance: 0.02,
    wrong: [
      { value: v.darkSpike / Math.PI, says: 'The factor $\\pi$ is missing: half a turn of views adds up, and the angle is in radians.' },
      { value: 2 * v.darkSpike, says: 'Twice too high: a whole turn with parallel rays sees every ray twice, and each counts half.' },
      { value: v.darkSpike / v.darkPitch, says: 'The kernel\'s middle is $1/(4\\tau^2)$, and the convolution multiplies by the pitch once more: $1/(4\\tau)$.' },
      { value: 4 * v.darkSpike, says: 'A factor of 4 is missing: the kernel\'s middle is $1/(4\\tau^2)$.' },
    ],
    hint: 'What does the cell add to one line integral? What does the ramp make of a lone cell? Every view lays it on the same point.',
    solution: `$\\delta = -\\ln(1 - ${v.darkShare / 100}) =$ ${show(-Math.log(1 - v.darkShare / 100))}, and $\\pi\\delta/(4\\tau) =$ ${show(v.darkSpike)}/mm, ${show(v.darkSpike / v.water, 2)} times the attenuation of water at 60 keV.`,
  },
  {
    id: 'veiled',
    prompt: `${v.veilShare} % of the light on a camera is spread evenly over the frame, whose mean, without glare, is ${v.veilLight} of the open screen. What line integral do you measure behind a part whose own is ${v.veilThick}? The flat picture, even all over, has the brightness 1 with glare or without.`,
    answer: v.veilSeen,
    unit: '',
    tolerance: 0.005,
    wrong: [
      { value: v.veilFull, says: `You let the open screen's own brightness be scattered. What is scattered is the mean of the frame, ${v.veilLight} of it.` },
      { value: v.veilThick * (1 - v.veilShare / 100), says: 'Glare adds light. The line integral is a logarithm, which does not shrink by a share of itself.' },
      { value: v.veilThick - Math.log(1 - v.veilShare / 100), says: 'You took the scattered light away and did not put it back. It falls on other parts of the frame, this one too.' },
      { value: -Math.log(Math.exp(-v.veilThick) + (v.veilShare / 100) * v.veilLight), says: 'The scattered light is missing where it should have gone: the part itself sends only the remaining share straight on.' },
    ],
    hint: 'How bright is the part without glare? Take the share off, then add what comes from everywhere.',
    solution: `Straight on arrive ${show(1 - v.veilShare / 100)} of $e^{-${v.veilThick}} =$ ${show(Math.exp(-v.veilThick))}, and ${show(v.veilShare / 100)} of ${v.veilLight} is added: ${show(Math.exp(-v.veilSeen))} in all, and $-\\ln$ of it is ${show(v.veilSeen)}.`,
  },
];
