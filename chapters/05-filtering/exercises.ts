import type { ExerciseDefinition } from '../../src/widgets/exercise/definition.ts';
import { values } from '../../src/widgets/values/filtering.ts';

const v = Object.fromEntries(Object.entries(values).map(([name, { value }]) => [name, value])) as Record<keyof typeof values, number>;
const show = (value: number, digits = 3) => String(Number(value.toPrecision(digits))).replace('-', '−');

const kernelMiddle = v.kernel0 / v.pitch ** 2;

export const exercises: readonly ExerciseDefinition[] = [
  {
    id: 'kernel-value',
    prompt: `A detector has cells ${v.pitch} mm apart, referred to the object. What is the middle value $h_0$ of the ramp's kernel?`,
    answer: kernelMiddle,
    unit: '1/mm²',
    tolerance: 0.01,
    wrong: [
      { value: v.kernel0, says: 'That is the kernel of a pitch of 1 mm. The pitch enters squared: finer cells let the ramp run further.' },
      { value: v.kernel0 / v.pitch, says: 'The pitch is divided out once. $h_0 = f_N^2$, and $f_N$ already has the pitch under the line, so it must appear squared.' },
      { value: 4 * kernelMiddle, says: 'That is $1/\\tau^2$. The ramp stops at the Nyquist frequency $1/(2\\tau)$, not at $1/\\tau$.' },
      { value: v.kernel0 * v.pitch ** 2, says: 'The pitch belongs under the line: a finer detector has a taller kernel.' },
    ],
    hint: 'Put $s = 0$ into the integral of the kernel before doing anything else. What is the area under a ramp that stops at $f_N$?',
    solution: `At $s = 0$ the kernel is the area under $|f|$ from $-f_N$ to $f_N$: two triangles, $f_N^2$ together. With $f_N = 1/(2\\tau) =$ ${show(0.5 / v.pitch)} cycles/mm this is ${show(kernelMiddle)} per mm².`,
  },
  {
    id: 'content',
    prompt: `What is $P(\\theta, 0)$, the transform of a view at frequency zero, for a disc of ${v.attenuation}/mm with a radius of ${v.radius} mm?`,
    answer: v.content,
    unit: 'mm',
    tolerance: 0.01,
    wrong: [
      { value: 2 * v.attenuation * v.radius, says: 'That is the longest line integral, $2\\mu R$. The transform at zero adds up the whole shadow.' },
      { value: 4 * v.attenuation * v.radius ** 2, says: 'That takes the shadow for a rectangle of height $2\\mu R$ and width $2R$. It is half an ellipse.' },
      { value: 2 * v.content, says: 'Twice too much: did the diameter slip in, or the whole ellipse instead of its upper half?' },
      { value: v.attenuation * Math.PI * (2 * v.radius) ** 2, says: 'The area of a disc takes the radius, not the diameter.' },
    ],
    hint: 'At $f = 0$ the exponential is one everywhere. What is the sum of all line integrals of a slice?',
    solution: `$P(\\theta, 0) = \\int p\\,ds$ is the slice's whole content, whatever the angle: attenuation times area, $\\mu\\pi R^2 =$ ${show(v.content, 4)} mm. By the slice theorem it is also $F(0, 0)$.`,
  },
  {
    id: 'plateau',
    prompt: `The same disc is filtered with the ramp. How high is the plateau of the filtered view?`,
    answer: v.plateau,
    unit: '1/mm',
    tolerance: 0.01,
    wrong: [
      { value: v.attenuation, says: 'That is what the picture shows after smearing back. Smearing back over half a turn multiplies a plateau by $\\pi$.' },
      { value: v.attenuation / 2, says: 'Half, as if two views made the disc. All directions do, over an angle of $\\pi$.' },
      { value: v.attenuation / (2 * Math.PI), says: 'This spreads the attenuation over a whole turn. The integral in the formula runs over half a turn.' },
      { value: Math.PI * v.attenuation, says: 'Upside down: $\\pi$ times the plateau is the attenuation.' },
      { value: 2 * v.attenuation * v.radius, says: 'That is the unfiltered view at its middle. It grows with the radius; the plateau does not.' },
    ],
    hint: 'Look at the middle of the disc. Every view contributes the same value there, and the angles add up to half a turn.',
    solution: `At the middle $\\int_0^\\pi q(0)\\,d\\theta = \\pi q(0)$, and this must be $\\mu$. So $q = \\mu/\\pi =$ ${show(v.plateau, 4)}/mm, for any radius.`,
  },
  {
    id: 'pixel-noise',
    prompt: `A scan has ${4 * v.noiseViews} views, cells of ${2 * v.pitch} mm at the object, and noise of ${v.noiseSigma} in each line integral. What standard deviation does a pixel carry after filtering with the ramp (the formula, for a pixel on the samples)?`,
    answer: v.noiseRamp / 4,
    unit: '1/mm',
    tolerance: 0.02,
    wrong: [
      { value: v.noiseRamp / 8, says: 'Four times the views halve the noise; they do not quarter it. Independent errors add up in squares.' },
      { value: v.noiseRamp, says: 'You have one of the two changes the wrong way round: both more views and a larger pitch make the picture quieter.' },
      { value: v.noiseRamp / 2, says: 'One of the two changes is in, the other is missing. Look at both $N$ and $\\tau$.' },
      { value: (v.noiseRamp / 4) * Math.sqrt(12), says: 'The factor $\\sqrt{12}$ is missing. It is what the ramp does to the noise: $\\sum h_n^2 = 1/(12\\,\\tau^4)$.' },
    ],
    hint: 'Use $\\sigma_\\mu = \\pi\\sigma_p/(\\sqrt{12 N}\\,\\tau)$, and check the unit: $\\sigma_p$ has none, so the pitch must supply it.',
    solution: `$\\pi \\cdot ${v.noiseSigma} / (\\sqrt{12 \\cdot ${4 * v.noiseViews}} \\cdot ${2 * v.pitch}) =$ ${show(v.noiseRamp / 4)} per mm: a quarter of the chapter's example, half for the views and half for the pitch.`,
  },
  {
    id: 'hann-dose',
    prompt: `By the formula, the Hann window lets through ${show(v.hannGain, 4)} of the ramp's noise. You are content with the noise that the ramp gave. What percentage of the exposure do you need with Hann?`,
    answer: v.hannDose,
    unit: '%',
    tolerance: 0.02,
    wrong: [
      { value: 100 * v.hannGain, says: 'Noise falls with the square root of the number of photons, so the saving in exposure is the square of the factor.' },
      { value: 100 * Math.sqrt(v.hannGain), says: 'The square, not the root: for a third of the noise one needs nine times the photons.' },
      { value: 100 * (1 - v.hannDose / 100), says: 'That is what you save. The question asks what remains.' },
      { value: 100 * (1 - v.hannGain), says: 'Noise falls with the square root of the photons; square the factor first, and then mind what is asked.' },
      { value: 1e4 / v.hannDose, says: 'Upside down: Hann makes the picture quieter, so less exposure will do.' },
    ],
    hint: 'Noise goes as one over the square root of the photons. By what factor may the photons fall if the filter takes the noise down to a third?',
    solution: `$\\sigma \\propto g/\\sqrt{\\text{exposure}}$ with the window's factor $g$. For equal noise the exposure goes as $g^2 = ${show(v.hannGain, 4)}^2$, which is ${show(v.hannDose, 2)} %. The price is a spot ${show(v.hannWidening, 2)} times as wide, and in a picture the saving is smaller than the formula's, as the second noise column shows.`,
  },
];
