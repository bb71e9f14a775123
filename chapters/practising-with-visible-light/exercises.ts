import type { ExerciseDefinition } from '../../src/widgets/exercise/definition.ts';
import { values } from '../../src/widgets/values/practising-with-visible-light.ts';

const v = Object.fromEntries(Object.entries(values.ask).map(([name, { value }]) => [name, value])) as Record<keyof typeof values.ask, number>;
const show = (value: number, digits = 3) => String(Number(value.toPrecision(digits)));
const water = values.water.value;

export const exercises: readonly ExerciseDefinition[] = [
  {
    id: 'bent-ray',
    prompt: `A solid glass rod of radius ${v.radius} mm, $n = ${v.glass}$, stands in air. A ray would pass its axis at ${v.place} mm if nothing bent it. At what distance from the axis does it pass inside the glass?`,
    answer: v.nearest,
    unit: 'mm',
    tolerance: 0.01,
    wrong: [
      { value: v.place, says: 'That would be so if the rod had the index of what surrounds it. At the face, $\\sin t = \\sin i / n$.' },
      { value: v.wrongWay, says: 'You multiplied by $n$. In the denser stuff the ray is bent towards the square to the face, and so towards the axis.' },
      { value: v.bend, says: 'That is the angle, in degrees, by which the ray is turned in all. The question asks how far from the axis it passes.' },
    ],
    hint: 'With $s$ for the distance without bending, $\\sin i = s/R$. Inside, the ray passes the axis at $R \\sin t$.',
    solution: `$\\sin i = ${v.place}/${v.radius}$, and $\\sin t = \\sin i/${v.glass}$. So the ray passes at $R\\sin t = ${v.place}/${v.glass} =$ ${show(v.nearest)} mm: the radius falls out. Everything that one sees in the rod is drawn ${v.glass} times too far from its axis.`,
  },
  {
    id: 'through-the-wall',
    prompt: `A camera's lens is ${v.toWall} mm before the flat wall of a tank of water ($n = ${water}$), and the axis is ${v.inWater} mm behind that wall. How far from the axis is the point from which the rays in the water seem to come?`,
    answer: v.apex,
    unit: 'mm',
    tolerance: 0.005,
    wrong: [
      { value: v.toWall + v.inWater, says: 'That is the distance on the ruler. In the water the rays spread less than in air, as if they came from farther away.' },
      { value: v.apparent, says: 'That is how near the axis seems to somebody who looks in from outside. The scan wants it the other way round: where the lens seems to be, for the rays in the water.' },
      { value: v.swapped, says: 'You stretched the way in the water. It is the way in air that grows: a ray at the angle $\\alpha$ there goes on at $\\alpha/n$.' },
    ],
    hint: 'At the wall the ray is $\\alpha$ times the way in air off the middle. With the smaller angle $\\alpha/n$, how long a way would have brought it there?',
    solution: `$${water} \\cdot ${v.toWall} + ${v.inWater} =$ ${show(v.apex, 4)} mm. This is the distance from source to axis to give with the scan.`,
  },
  {
    id: 'how-much-dye',
    prompt: `A jar ${v.testDepth} mm deep of a dyed liquid shows $-\\ln(I/I_0) =$ ${v.testSeen} in the camera's green. The object is to be ${v.width} mm wide, and should have a line integral of ${v.wanted} through its middle. How many times must the liquid be thinned?`,
    answer: v.dilution,
    unit: '',
    tolerance: 0.01,
    wrong: [
      { value: v.whole, says: 'That is the line integral that the liquid would have through the whole width. It has to come down to what is wanted.' },
      { value: v.testSeen / v.wanted, says: 'You compared the jar with the object as if both were equally deep.' },
      { value: v.wanted / v.whole, says: 'That is the share of dyed liquid in the mixture. The question asks how many times as much liquid there is afterwards: one over it.' },
    ],
    hint: 'A line integral grows with the depth, and with the amount of dye in each millilitre.',
    solution: `Through ${v.width} mm it would be $${v.testSeen} \\cdot ${v.width}/${v.testDepth} = ${show(v.whole)}$. For ${v.wanted}, thin it ${show(v.whole)}/${v.wanted} = ${show(v.dilution)} times.`,
  },
  {
    id: 'width-of-the-lamp',
    prompt: `A lamp ${v.chip} mm wide stands ${v.chipToAxis} mm from the axis, and the screen ${v.chipToScreen} mm from the lamp. Over what width at the object does it blur an edge?`,
    answer: v.chipBlur,
    unit: 'mm',
    tolerance: 0.01,
    wrong: [
      { value: v.chipOnScreen, says: 'That is the blur on the screen. Divide it by the magnification.' },
      { value: v.chip, says: 'A lamp blurs over its whole width only where the screen is very far behind the object.' },
      { value: v.chip * v.chipM, says: 'Through a pinhole at the object the lamp is enlarged by $M - 1$, not by $M$.' },
    ],
    hint: 'It is the focal spot of Chapter 7: $a(M - 1)$ on the screen.',
    solution: `$M = ${v.chipToScreen}/${v.chipToAxis} = ${show(v.chipM)}$. On the screen, $${v.chip} \\cdot ${show(v.chipM - 1)} = ${show(v.chipOnScreen)}$ mm; at the object ${show(v.chipBlur)} mm. The cure is to move the object to the screen, or the lamp away from both.`,
  },
];
