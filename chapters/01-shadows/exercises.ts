import type { ExerciseDefinition } from '../../src/widgets/exercise/definition.ts';
import { quantityText as say, tex } from '../../src/widgets/value/format.ts';
import { values } from '../../src/widgets/values/shadows.ts';

const { ask } = values;
const figures = { digits: 4 };

export const exercises: readonly ExerciseDefinition[] = [
  {
    id: 'brightness-to-integral',
    prompt: `One cell of the screen reads ${say(ask.bright)} in the flat picture and ${say(ask.dim)} with the object in the beam. (The reading in the dark has been subtracted from both.) What is the line integral along its ray?`,
    answer: ask.integral.value,
    unit: '',
    tolerance: 0.01,
    wrong: [
      { value: Math.log10(ask.bright.value / ask.dim.value), says: 'That is the logarithm to the base of ten. The law has an $e$ in it, so it takes the natural logarithm.' },
      { value: ask.dim.value / ask.bright.value, says: 'That is the transmission. The logarithm is still to come.' },
      { value: 1 - ask.dim.value / ask.bright.value, says: 'That is the share of the light that was stopped. It does not add up along a ray; the logarithm of the transmission does.' },
      { value: ask.ratio.value, says: 'That is the ratio of the brightnesses. Its natural logarithm is the line integral.' },
      { value: -ask.integral.value, says: 'The ratio is upside down: it was $\\ln(I/I_0)$. A ray that lost light has a positive line integral.' },
    ],
    hint: 'Divide the brightness with the object by the brightness without it. What does $e^{-p}$ have to be?',
    solution: `$I_0/I$ is ${say(ask.bright)}/${say(ask.dim)} = ${say(ask.ratio)}, so $p = -\\ln(I/I_0) = \\ln(I_0/I) =$ ${say(ask.integral, figures)}.`,
  },
  {
    id: 'half-value-layer',
    prompt: `For aluminium at ${say(ask.keV)} the table says ${say(ask.mass)}, and the density is ${say(ask.density)}. How thick is its half-value layer?`,
    answer: ask.halfValue.value,
    unit: 'mm',
    tolerance: 0.01,
    wrong: [
      { value: ask.halfValue.value / 10, says: 'That is the thickness in centimetres. The table counts in cm.' },
      { value: 1 / ask.mu.value, says: `That is $1/\\mu$, after which ${say(values.leftAfterOne, { digits: 2 })} are left. For one half it takes $\\ln 2/\\mu$.` },
      { value: 10 * Math.LN2 / ask.mass.value, says: 'The density is missing. The table gives attenuation for each gram on a square centimetre, not for each centimetre.' },
      { value: Math.LN2 / ask.mass.value, says: 'The density is missing, and the result is in centimetres.' },
      { value: 0.5 / ask.mu.value, says: 'Half of the light is not half of $1/\\mu$. Solve $e^{-\\mu L} = \\tfrac12$ for $L$.' },
      { value: ask.mu.value, says: 'That is $\\mu$ in 1/mm. The layer is $\\ln 2$ divided by it.' },
    ],
    hint: 'First bring the attenuation to 1/mm: table value times density, divided by ten. Then ask for which $L$ the beam is down to one half.',
    solution: `$\\mu$ is ${say(ask.mass)} times ${say(ask.density)}, divided by ten: ${say(ask.mu, figures)}. From $e^{-\\mu L} = \\tfrac12$ follows $L = \\ln 2/\\mu =$ ${say(ask.halfValue, figures)}.`,
  },
  {
    id: 'two-layers',
    prompt: `A ray at ${say(ask.stackEnergy)} crosses ${say(ask.plastic)} of polyethylene ($\\mu =$\u00a0${say(ask.plasticMu, figures)}) and then ${say(ask.iron)} of iron ($\\mu =$\u00a0${say(ask.ironMu, figures)}). What share of the photons gets through?`,
    answer: ask.stackThrough.value,
    unit: '%',
    tolerance: 0.01,
    wrong: [
      { value: (ask.plasticThrough.value + ask.ironThrough.value) / 2, says: 'That is the mean of the two transmissions. The iron stops a share of what the plastic has let through, so they multiply.' },
      { value: ask.plasticThrough.value + ask.ironThrough.value, says: 'The transmissions were added. They multiply; what adds up are the line integrals.' },
      { value: 100 - ask.stackThrough.value, says: 'That is the share that is stopped.' },
      { value: (100 - ask.plasticThrough.value) * (100 - ask.ironThrough.value) / 100, says: 'The shares that are stopped were multiplied. Multiply the shares that get through.' },
      { value: 100 * ask.stackIntegral.value, says: 'That is the line integral, as a percentage. Take $e$ to minus this power.' },
      { value: ask.plasticThrough.value, says: 'That is what the plastic alone lets through.' },
      { value: ask.ironThrough.value, says: 'That is what the iron alone lets through.' },
      { value: ask.stackThrough.value / 100, says: 'That is the share as a fraction of one. The question asks for per cent.' },
    ],
    hint: 'Add up $\\mu L$ over the two layers. The order does not matter.',
    solution: `$p$ is ${say(ask.plasticMu, figures)} times ${say(ask.plastic)} plus ${say(ask.ironMu, figures)} times ${say(ask.iron)}, together ${say(ask.stackIntegral, figures)}. And $e^{-p}$ is ${say(ask.stackThrough, figures)}. Or: ${say(ask.plasticThrough, figures)} of ${say(ask.ironThrough, figures)}.`,
  },
  {
    id: 'how-deep',
    prompt: `Behind a tank of water the line integral at ${say(values.energy)} is ${say(ask.depthIntegral)}. How much water did the ray cross? ($\\mu =$\u00a0${say(values.waterMu, figures)})`,
    answer: ask.depth.value,
    unit: 'mm',
    tolerance: 0.01,
    wrong: [
      { value: ask.depth.value / 10, says: 'That is the way in centimetres.' },
      { value: ask.depthIntegral.value * values.waterMu.value, says: 'Multiplied where it should be divided. The line integral is already $\\mu$ times the way.' },
      { value: ask.depthIntegral.value * values.waterHalf.value, says: 'A line integral of 1 means a factor of $e$, not a half. Half-value layers are counted with $p/\\ln 2$.' },
      { value: Math.log(ask.depthIntegral.value) / values.waterMu.value, says: 'The logarithm was taken once too often. A line integral is a logarithm already.' },
    ],
    hint: 'In a single material the line integral is $\\mu L$.',
    solution: `$L = p/\\mu$, that is ${say(ask.depthIntegral)} divided by ${say(values.waterMu, figures)}: ${say(ask.depth, figures)}. Only a line integral allows this; from the brightness alone one would have to take the logarithm first.`,
  },
  {
    id: 'gelatine',
    prompt: `A block of dyed gelatine, ${say(ask.gelBlock)} thick, lets ${say(ask.gelShare)} of green light through. What does a block of ${say(ask.gelDepth)} let through?`,
    answer: ask.gelThrough.value,
    unit: '%',
    tolerance: 0.01,
    wrong: [
      { value: ask.gelShare.value / ask.gelBlocks.value, says: 'The share was divided by the number of blocks. Every block takes a share of what is left, so the share is raised to that power.' },
      { value: 100 - ask.gelBlocks.value * (100 - ask.gelShare.value), says: 'The loss was multiplied by the number of blocks. That would leave less than no light.' },
      { value: 100 * (1 - ask.gelShare.value / 100) ** ask.gelBlocks.value, says: 'The share that is stopped was raised to the power. Raise the share that gets through.' },
      { value: 100 * (ask.gelShare.value / 100) ** 3, says: 'That is for three whole blocks. There is half a block more.' },
      { value: 100 - ask.gelThrough.value, says: 'That is the share that is stopped.' },
      { value: ask.gelThrough.value / 100, says: 'That is the share as a fraction of one. The question asks for per cent.' },
    ],
    hint: 'How many of the thin blocks make the thick one? It need not be a whole number.',
    solution: `The thick block is ${say(ask.gelBlocks)} thin ones. The share that gets through is $${tex(ask.gelShare.value / 100)}^{${tex(ask.gelBlocks)}}$, or ${say(ask.gelThrough, figures)}. By line integrals it is the same: each thin block has $-\\ln ${tex(ask.gelShare.value / 100)}$, the thick one ${say(ask.gelBlocks)} times as much.`,
  },
];
