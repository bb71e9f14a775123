import type { ExerciseDefinition } from '../../src/widgets/exercise/definition.ts';
import { quantityText as say } from '../../src/widgets/value/format.ts';
import { values } from '../../src/widgets/values/turning.ts';

const { ask } = values;
const figures = { digits: 4 };
const cos = (degrees: number) => Math.cos(degrees * Math.PI / 180);
const sin = (degrees: number) => Math.sin(degrees * Math.PI / 180);
const [x, y, angle] = [ask.x.value, ask.y.value, ask.angle.value];
const between = ask.between.value;
const [R, screen, column] = [ask.sourceToAxis.value, ask.sourceToDetector.value, ask.column.value];

export const exercises: readonly ExerciseDefinition[] = [
  {
    id: 'where-it-falls',
    prompt: `A bead sits at $x =$\u00a0${say(ask.x)}, $y =$\u00a0${say(ask.y)}. Where on the detector does its shadow fall in the view at ${say(ask.angle)}?`,
    answer: ask.falls.value,
    unit: 'mm',
    tolerance: 0.005,
    wrong: [
      { value: x * Math.cos(angle) + y * Math.sin(angle), says: 'The angle was taken in radians. Set the calculator to degrees.' },
      { value: x * sin(angle) + y * cos(angle), says: 'Sine and cosine have changed places. At 0° the shadow must fall at $x$.' },
      { value: x * cos(angle) - y * sin(angle), says: 'The second term has the wrong sign. At 90° the shadow must fall at $+y$.' },
      { value: -x * sin(angle) + y * cos(angle), says: 'That is how far along the ray the bead lies, $t$. The detector shows $s$.' },
      { value: Math.hypot(x, y), says: 'That is the distance from the axis, the furthest that the shadow ever gets.' },
    ],
    hint: 'The shadow falls at $s = x\\cos\\theta + y\\sin\\theta$. Both the cosine of this angle and $x$ are negative.',
    solution: `The cosine is ${say({ value: cos(angle) }, figures)}, the sine ${say({ value: sin(angle) }, figures)}. So $s$ is ${say({ value: x * cos(angle) }, figures)} plus ${say({ value: y * sin(angle) }, figures)}, together ${say(ask.falls, figures)}.`,
  },
  {
    id: 'through-the-axis',
    prompt: `For the bead of the worked example, at $x =$\u00a0${say(values.x)} and $y =$\u00a0${say(values.y)}: at which angle between 0° and 180° does the ray through the bead also go through the axis?`,
    answer: ask.crossing.value,
    unit: '°',
    tolerance: 0.003,
    wrong: [
      { value: values.direction.value, says: 'That is the bead\'s own direction, the view in which its shadow is furthest from the axis. The crossing is a quarter turn away.' },
      { value: 90 - values.direction.value, says: 'That is the bead\'s direction counted from the $y$ axis. Find where $\\cos(\\theta - \\varphi)$ is zero.' },
      { value: 180 - values.direction.value, says: 'The quarter turn has to be added to $\\varphi$, not the angle taken from half a turn.' },
      { value: ask.crossing.value * Math.PI / 180, says: 'That is the angle in radians.' },
      { value: ask.crossing.value + 180, says: 'There the bead crosses once more, but this view lies beyond 180°.' },
    ],
    hint: 'A ray through the axis has $s = 0$. When is a cosine zero?',
    solution: `$s = r\\cos(\\theta - \\varphi)$ is zero when $\\theta - \\varphi$ is 90°. With $\\varphi =$\u00a0${say(values.direction, figures)} this gives ${say(ask.crossing, { digits: 5 })}, the fifth line of the table.`,
  },
  {
    id: 'from-two-views',
    prompt: `A bead's shadow falls at ${say(ask.atZero)} in the view at 0° and at ${say(ask.atQuarter)} in the view at 90°. Where does it fall at ${say(ask.between)}?`,
    answer: ask.fallsBetween.value,
    unit: 'mm',
    tolerance: 0.01,
    wrong: [
      { value: (ask.atZero.value + ask.atQuarter.value) / 2, says: 'That is the mean of the two places. The shadow does not move along a straight line; it follows a cosine.' },
      { value: ask.atZero.value + ask.atQuarter.value, says: 'Each place has to be multiplied by the cosine or the sine of 45°.' },
      { value: (ask.atZero.value - ask.atQuarter.value) * cos(between), says: 'Mind the sign of the second place: the bead lies below the $x$ axis.' },
      { value: Math.hypot(ask.atZero.value, ask.atQuarter.value), says: 'That is the bead\'s distance from the axis.' },
    ],
    hint: 'The two views give the bead\'s coordinates.',
    solution: `At 0° the shadow falls at $x$, at 90° at $y$. So at ${say(ask.between)} it falls at ${say(ask.atZero)} times the cosine plus ${say(ask.atQuarter)} times the sine, ${say(ask.fallsBetween, figures)}.`,
  },
  {
    id: 'weigh-a-disc',
    prompt: `A disc of radius ${say(ask.discRadius)} has an attenuation of ${say(ask.discMu)}. The detector's cells are ${say(ask.discPitch)} apart. What do the line integrals of one view add up to? (The plain sum over the cells.)`,
    answer: ask.discSum.value,
    unit: '',
    tolerance: 0.01,
    wrong: [
      { value: ask.discMass.value, says: 'That is the mass in mm, which is the sum *times the pitch*. The question is about the plain sum.' },
      { value: ask.discMass.value * ask.discPitch.value, says: 'The mass is the sum times the pitch, so the sum is the mass *divided* by it.' },
      { value: 4 * ask.discMu.value * ask.discRadius.value ** 2 / ask.discPitch.value, says: 'That takes every ray for as long as the diameter. The shadow of a disc is half an ellipse, not a rectangle.' },
      { value: 4 * ask.discSum.value, says: 'The diameter was used for the radius.' },
      { value: 2 * ask.discMu.value * ask.discRadius.value, says: 'That is the greatest line integral, through the middle. The others are to be added.' },
    ],
    hint: 'You know the mass of the view without looking at it: the attenuation times the area.',
    solution: `The mass is $\\mu\\pi R^2 =$\u00a0${say(ask.discMass, figures)}. It is the sum times the pitch, so the sum is ${say(ask.discSum, figures)}, in every view.`,
  },
  {
    id: 'find-the-axis',
    prompt: `Over a full turn a bead's shadow swings between ${say(ask.swingLeast)} and ${say(ask.swingMost)}, counted from the middle of the detector. Where on the detector does the axis fall?`,
    answer: ask.swingAxis.value,
    unit: 'mm',
    tolerance: 0.02,
    wrong: [
      { value: 2 * ask.swingAxis.value, says: 'That is the sum of the two ends. The axis lies half way between them.' },
      { value: (ask.swingMost.value - ask.swingLeast.value) / 2, says: 'That is half the width of the swing, the bead\'s distance from the axis.' },
      { value: ask.swingMost.value - ask.swingLeast.value, says: 'That is the width of the swing, twice the bead\'s distance from the axis.' },
      { value: -ask.swingAxis.value, says: 'The swing reaches further to the right, so the axis lies to the right as well.' },
      { value: 0, says: 'The swing would then be the same to both sides.' },
    ],
    hint: 'The bead swings equally far to both sides of the axis.',
    solution: `The axis falls half way between the ends: half the sum of ${say(ask.swingMost)} and ${say(ask.swingLeast)} is ${say(ask.swingAxis, { digits: 1 })}. This is the axis offset.`,
  },
  {
    id: 'ray-of-a-fan',
    prompt: `A lamp stands ${say(ask.sourceToAxis)} from the axis and ${say(ask.sourceToDetector)} from the screen. How far from the axis does the ray pass that ends on the screen ${say(ask.column)} beside the middle? (Three figures do not suffice here; give four.)`,
    answer: ask.fanS.value,
    unit: 'mm',
    tolerance: 0.002,
    wrong: [
      { value: R * column / screen, says: 'That is where the ray crosses the line through the axis parallel to the screen, $R\\tan\\gamma$. The nearest it comes to the axis is a little less: $R\\sin\\gamma$.' },
      { value: column, says: 'That is the place on the screen. The fan is still narrower at the axis.' },
      { value: screen * Math.sin(Math.atan(column / screen)), says: 'The sine has to be multiplied by the distance from source to axis, not to the screen.' },
      { value: ask.fanAngle.value, says: 'That is the angle $\\gamma$ in degrees.' },
    ],
    hint: 'The angle $\\gamma$ at the lamp has the tangent: place on the screen over distance to the screen. Then look at the right-angled triangle of lamp, axis and nearest point of the ray.',
    solution: `$\\tan\\gamma$ is ${say(ask.column)} over ${say(ask.sourceToDetector)}, so $\\gamma$ is ${say(ask.fanAngle, figures)}. The ray passes the axis at $R\\sin\\gamma =$\u00a0${say(ask.fanS, figures)}.`,
  },
];
