import type { ExerciseDefinition } from '../../src/widgets/exercise/definition.ts';
import { values } from '../../src/widgets/values/rehearse-your-scan.ts';

const v = Object.fromEntries(Object.entries(values.ask).map(([name, { value }]) => [name, value])) as Record<keyof typeof values.ask, number>;
const show = (value: number, digits = 3) => String(Number(value.toPrecision(digits)));
const squared = v.pitch ** 2 + v.screen ** 2;

export const exercises: readonly ExerciseDefinition[] = [
  {
    id: 'best-with-a-screen',
    prompt: `A pixel covers ${v.pitch} mm of the screen, the screen blurs over ${v.screen} mm, and the spot is ${v.spot} mm wide. At what magnification is the whole blur least?`,
    answer: v.best,
    unit: '',
    tolerance: 0.01,
    wrong: [
      { value: v.bestCell, says: 'You left the screen out. It blurs at the same place as the pixel, on the screen, and shrinks with it.' },
      { value: v.bestSum, says: 'You added pixel and screen as they are. Independent blurs add as squares.' },
      { value: v.best - 1, says: 'The 1 is missing: below $M = 1$ the screen would stand before the object.' },
    ],
    hint: 'Pixel and screen together take the place of $\\tau$ in $1 + (\\tau/a)^2$.',
    solution: `$\\tau^2 = ${v.pitch}^2 + ${v.screen}^2 = ${show(squared)}$ mm², and $M = 1 + ${show(squared)}/${v.spot}^2 =$ ${show(v.best)}.`,
  },
  {
    id: 'views-for-a-wall',
    prompt: `An object ${v.diameter} mm wide has walls of ${v.wall} mm, which must be seen out to its rim. How many views over half a turn does the rule $N = \\pi D/d$ ask for?`,
    answer: v.needed,
    unit: '',
    tolerance: 0.01,
    wrong: [
      { value: v.neededWall, says: 'You took the wall for $d$. It is a full period, a wall and a gap as wide.' },
      { value: 2 * v.neededWall, says: 'Twice too many, twice over: $d$ is a wall and a gap, and the number is for half a turn.' },
      { value: v.needed / 2, says: 'That keeps the walls sharp out to half of the radius only. $D$ is the diameter.' },
    ],
    hint: 'What is the full period of walls of this width?',
    solution: `$d = 2 \\cdot ${v.wall}$ mm, so $N = \\pi \\cdot ${v.diameter}/${2 * v.wall} =$ ${show(v.needed, 4)}, rounded up to ${Math.ceil(v.needed)}.`,
  },
  {
    id: 'equal-steps',
    prompt: `A motor with ${v.inTurn} microsteps in a turn is to take ${v.views} views, and somebody lets it go ${v.equal} microsteps each time. By what angle does the whole turn of ${v.views} steps come out short or long?`,
    answer: v.short,
    unit: '°',
    tolerance: 0.01,
    wrong: [
      { value: v.perStep, says: 'That is the error of one step. It is made again at each of them, and always to the same side.' },
      { value: 180 / v.inTurn, says: 'Half a microstep is the most that is wrong when every *position* is rounded. Here every *step* is.' },
      { value: v.short / v.views / 2, says: 'That is half of the error of one step.' },
    ],
    hint: `How many microsteps are ${v.views} steps of ${v.equal}? And how many degrees is a microstep?`,
    solution: `$${v.views} \\cdot ${v.equal} = ${v.views * v.equal}$, ${Math.abs(v.views * v.equal - v.inTurn)} microsteps short of ${v.inTurn}. A microstep is $360^\\circ/${v.inTurn} = ${show(360 / v.inTurn, 4)}^\\circ$, so ${show(v.short)}° are missing. With every position rounded by itself, none is off by more than ${show(v.worst)}°.`,
  },
  {
    id: 'longer-exposure',
    prompt: `A plan with exposures of ${v.seconds} s predicts noise of ${v.noise}/mm in its slice; ${v.allowed}/mm are allowed. Half of the sharpness can be given up: two by two pixels are put together. How long must an exposure be?`,
    answer: v.longer,
    unit: 's',
    tolerance: 0.01,
    wrong: [
      { value: v.unbinned, says: 'That is without putting pixels together. They help twice: four times the photons in a cell, and a cell twice as wide in the ramp.' },
      { value: (v.seconds * v.binned) / v.allowed, says: 'Noise goes with the root of the exposure, so the exposure goes with the square of the noise.' },
      { value: v.seconds * (v.noise / 2 / v.allowed) ** 2, says: 'You counted the photons and forgot the ramp, or the other way round. With cells twice as wide, the noise of the slice falls four times.' },
    ],
    hint: 'First the noise with the larger cells, at the same exposure. Then the square of what is still lacking.',
    solution: `Cells twice as wide: four times the photons (half the noise) and half the height of the ramp (half once more), ${show(v.binned)}/mm. It is still ${show(v.binned / v.allowed)} times too much, so $${v.seconds} \\cdot ${show(v.binned / v.allowed)}^2 =$ ${show(v.longer)} s.`,
  },
  {
    id: 'back-to-the-frame',
    prompt: `A scan of ${v.frameViews} views over a whole turn, on a motor with ${v.inTurn} microsteps, was cut short during frame ${v.frame}; the first frame, at the mark, was frame 1. To which microstep, counted from the mark, does the table go before it is taken again?`,
    answer: v.position,
    unit: '',
    tolerance: 0.0004,
    wrong: [
      { value: v.positionNext, says: 'That is the next frame. Frame 1 stands at the mark, so frame *k* is *k* − 1 steps from it.' },
      { value: (v.frame - 1) * Math.round(v.framePerView), says: 'You multiplied a step that was rounded before. Round the position, once, at the end.' },
      { value: (v.frame - 1) * Math.floor(v.framePerView), says: 'You multiplied a step whose fraction was cut off. Round the position, once, at the end.' },
    ],
    hint: 'How many steps lie between the mark and this frame? Round only the result.',
    solution: `${v.frame} − 1 = ${v.frame - 1} steps of ${v.inTurn}/${v.frameViews} are ${show(((v.frame - 1) * v.inTurn) / v.frameViews, 6)} microsteps, so ${v.position}.`,
  },
];
