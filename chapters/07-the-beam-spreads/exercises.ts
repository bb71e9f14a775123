import type { ExerciseDefinition } from '../../src/widgets/exercise/definition.ts';
import { values } from '../../src/widgets/values/the-beam-spreads.ts';

const v = Object.fromEntries(Object.entries(values.ask).map(([name, { value }]) => [name, value])) as Record<keyof typeof values.ask, number>;
const show = (value: number, digits = 3) => String(Number(value.toPrecision(digits))).replace('-', '−');
const sine = v.wideRadius / v.wideToObject;

export const exercises: readonly ExerciseDefinition[] = [
  {
    id: 'pitch-at-the-object',
    prompt: `The source is ${v.pitchToObject} mm from the axis and ${v.pitchToScreen} mm from the screen. A cell of the camera covers ${v.pitch} mm of the screen. How much does it cover at the axis?`,
    answer: v.pitchThere,
    unit: 'mm',
    tolerance: 0.01,
    wrong: [
      { value: (v.pitch * v.pitchToScreen) / v.pitchToObject, says: 'You multiplied by the magnification. The shadow is larger than the object, so a cell covers *less* of the object than of the screen.' },
      { value: (v.pitch * (v.pitchToScreen - v.pitchToObject)) / v.pitchToObject, says: 'You took the way from the object to the screen. Similar triangles have their tip at the source, so both distances are counted from there.' },
      { value: v.pitch, says: 'That is the pitch on the screen. It has to be divided by the magnification.' },
      { value: v.pitchToScreen / v.pitchToObject, says: 'That is the magnification. Divide the pitch by it.' },
    ],
    hint: 'How many times larger than life is the shadow?',
    solution: `$M = ${v.pitchToScreen}/${v.pitchToObject} = ${v.pitchToScreen / v.pitchToObject}$, so $\\Delta = ${v.pitch}/${v.pitchToScreen / v.pitchToObject} =$ ${show(v.pitchThere)} mm.`,
  },
  {
    id: 'penumbra',
    prompt: `A spot ${v.spot} mm wide stands ${v.spotToObject} mm from the axis and ${v.spotToScreen} mm from the screen. Over what width of the *object* does it blur an edge?`,
    answer: v.spotUnsharpThere,
    unit: 'mm',
    tolerance: 0.01,
    wrong: [
      { value: v.spotUnsharp, says: 'That is the penumbra on the screen. The question asks for the object: divide by the magnification.' },
      { value: v.spot, says: 'That would be so at an endless magnification. The penumbra at the object is $a(M-1)/M$, less than the spot.' },
      { value: v.spot * v.spotMagnification, says: 'You enlarged the spot by $M$. Through a pinhole at the edge it is enlarged by $M - 1$, the ratio of the ways behind and before the edge.' },
      { value: v.spot / v.spotMagnification, says: 'You divided the spot by $M$. First find the penumbra on the screen, $a(M - 1)$.' },
    ],
    hint: 'The edge acts as a pinhole for the spot. How long are the ways before it and behind it? And then: what does that width on the screen cover at the object?',
    solution: `$M = ${v.spotToScreen}/${v.spotToObject} = ${v.spotMagnification}$. On the screen the penumbra is $a(M-1) =$ ${show(v.spotUnsharp)} mm; at the object it is $${show(v.spotUnsharp)}/${v.spotMagnification} =$ ${show(v.spotUnsharpThere)} mm.`,
  },
  {
    id: 'best-magnification',
    prompt: `The cells are ${v.bestPitch} mm on the screen, the spot is ${v.bestSpot} mm wide. At what magnification is the effective pixel least?`,
    answer: v.best,
    unit: '',
    tolerance: 0.01,
    wrong: [
      { value: v.bestSwapped, says: 'Spot and pitch have changed places. The smaller the spot, the larger the magnification that it can bear.' },
      { value: 1 + v.bestPitch / v.bestSpot, says: 'The ratio of pitch to spot enters squared.' },
      { value: v.best - 1, says: 'The 1 is missing. A magnification below 1 would put the screen before the object.' },
      { value: v.bestEffective, says: 'That is the effective pixel there, in mm. The question asks for the magnification.' },
    ],
    hint: 'Use the formula for the best magnification, or find it with the graph of the plate.',
    solution: `$M = 1 + (\\tau/a)^2 = 1 + (${v.bestPitch}/${v.bestSpot})^2 = ${v.best}$. The effective pixel is then $a\\tau/\\sqrt{a^2 + \\tau^2} =$ ${show(v.bestEffective)} mm, finer than the cells and than the spot.`,
  },
  {
    id: 'width-of-the-screen',
    prompt: `An object of radius ${v.wideRadius} mm turns ${v.wideToObject} mm from the source; the screen is ${v.wideToScreen} mm from the source. How wide, in all, must the screen be to catch its whole shadow in every view?`,
    answer: v.wideScreen,
    unit: 'mm',
    tolerance: 0.005,
    wrong: [
      { value: (2 * v.wideRadius * v.wideToScreen) / v.wideToObject, says: 'You enlarged the diameter by $M$, or took $r/R$ for the tangent of the outermost ray. The outermost rays touch the object before they reach its middle, where it is nearer to the source, and so they spread further.' },
      { value: v.wideScreen / 2, says: 'That is half of it, from the axis to one end.' },
      { value: 2 * v.wideRadius, says: 'The rays spread: the shadow is larger than the object.' },
    ],
    hint: 'Which ray from the source just touches the circle? Its angle $\\delta$ has $\\sin\\delta = r/R$.',
    solution: `$\\delta = \\arcsin(${v.wideRadius}/${v.wideToObject}) =$ ${show(v.wideHalfFan, 4)}°, and $2S\\tan\\delta = 2 \\cdot ${v.wideToScreen} \\cdot \\tan ${show(v.wideHalfFan, 4)}° =$ ${show(v.wideScreen, 4)} mm. The magnification alone would have given ${show((2 * v.wideRadius * v.wideToScreen) / v.wideToObject)} mm.`,
  },
  {
    id: 'short-scan',
    prompt: `Through what angle must the same object (radius ${v.wideRadius} mm, ${v.wideToObject} mm from the source) be turned at least, so that every ray is measured?`,
    answer: v.wideTurn,
    unit: '°',
    tolerance: 0.003,
    wrong: [
      { value: 180, says: 'That is enough for parallel rays. In a fan the rays at its edge lag behind the view angle, and some lines are never met.' },
      { value: 180 + v.wideHalfFan, says: 'You added half of the fan. The rays of both edges have to go half-way round.' },
      { value: 360, says: 'A whole turn is more than enough: it measures every line twice.' },
      { value: 180 + (360 / Math.PI) * Math.atan(sine), says: 'The ray that touches the circle has $\\sin\\delta = r/R$, not $\\tan\\delta$.' },
    ],
    hint: 'Half a turn, and the full fan.',
    solution: `$180^\\circ + 2\\arcsin(${v.wideRadius}/${v.wideToObject}) = 180^\\circ + 2 \\cdot ${show(v.wideHalfFan, 5)}^\\circ =$ ${show(v.wideTurn, 4)}°.`,
  },
  {
    id: 'open-gap',
    prompt: `Round plates of radius ${v.platesRadius} mm are stacked square to the axis with gaps of ${v.platesGap} mm, ${v.platesToObject} mm from the source. How far above the plane of the source may a gap lie so that some ray still crosses it from side to side through the axis?`,
    answer: v.platesOpen,
    unit: 'mm',
    tolerance: 0.01,
    wrong: [
      { value: 2 * v.platesOpen, says: 'You let the ray cross only half of the plate. It has to cross the whole diameter inside the gap.' },
      { value: v.platesOpen / 2, says: 'You allowed half of the gap. A ray may enter at the top of the gap and leave at its bottom.' },
      { value: (v.platesGap * v.platesToObject) / (v.platesRadius / 2), says: 'Four times too far: the way across is the whole diameter, $2r$, and it divides.' },
    ],
    hint: 'On its way across the plate the ray rises by $2r$ times its slope, and its slope at the height $z$ is $z/R$.',
    solution: `The slope is $z/R$ and the way across is $2r$, so $2r z/R \\le g$ gives $z \\le gR/2r = ${v.platesGap} \\cdot ${v.platesToObject}/${2 * v.platesRadius} =$ ${show(v.platesOpen)} mm.`,
  },
];
