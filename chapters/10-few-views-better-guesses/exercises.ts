import type { ExerciseDefinition } from '../../src/widgets/exercise/definition.ts';
import { values as v } from '../../src/widgets/values/few-views-better-guesses.ts';

const show = (value: number, digits = 3) => String(Number(value.toPrecision(digits))).replace('-', '−');
const { ray, others, stopAt, heavier, work, free, four } = v;
const length = ray.pixels.value * ray.crossed.value;
const misses = ray.measured.value - ray.own.value;
const [left, upper] = [others.left.value, others.upper.value];

export const exercises: readonly ExerciseDefinition[] = [
  {
    id: 'one-ray',
    prompt: `A ray crosses ${ray.pixels.value} pixels, ${ray.crossed.value} mm in each. Its line integral was measured as ${ray.measured.value}; the present guess has ${ray.own.value} along it. Corrected by this ray alone with a relaxation of ${ray.relaxation.value}, by how much does each of the pixels change?`,
    answer: ray.change.value,
    unit: '1/mm',
    tolerance: 0.01,
    wrong: [
      { value: misses / length, says: 'That is the whole correction. The relaxation says how much of it is taken.' },
      { value: (ray.relaxation.value * misses) / ray.pixels.value, says: 'You shared it among the pixels by their number. A ray is shared out along its length in mm, or the unit does not come out as 1/mm.' },
      { value: (ray.relaxation.value * ray.measured.value) / length, says: 'You shared out all that was measured. The guess has a part of it already: share out what is missing.' },
      { value: ray.relaxation.value * misses, says: 'That is what the ray as a whole gains. Divide by its length in the pixels.' },
      { value: -ray.change.value, says: 'The size is right. The guess has too little along the ray, so it goes up.' },
    ],
    hint: 'What is missing, shared out along how many millimetres, and how much of it is taken?',
    solution: `Missing is $${ray.measured.value} - ${ray.own.value} = ${show(misses)}$, along $${ray.pixels.value} \\cdot ${ray.crossed.value} = ${show(length)}$ mm, so each pixel should gain ${show(misses / length)} per mm. With the relaxation it gains ${show(ray.change.value)}/mm. Afterwards the ray has ${show(ray.own.value + ray.change.value * length)}, half-way to what was measured.`,
  },
  {
    id: 'first-correction',
    prompt: `Four pixels of 1 mm have shadows ${others.left.value} (left column), ${others.right.value} (right column), ${others.upper.value} (upper row) and ${others.lower.value} (lower row). Begin with nothing. What is the upper left pixel after one iteration of SIRT with a relaxation of 1?`,
    answer: others.first.value,
    unit: '1/mm',
    tolerance: 0.005,
    wrong: [
      { value: left / 2, says: 'That is the column’s wish alone. The row has one too, and the pixel takes the mean of the two.' },
      { value: upper / 2, says: 'That is the row’s wish alone. The column has one too, and the pixel takes the mean of the two.' },
      { value: left / 2 + upper / 2, says: 'You added the two wishes, or forgot to share them out. A pixel that listened to every ray in full would overshoot: it takes their mean.' },
      { value: others.a.value, says: 'That is a value that fits. One iteration does not come so far.' },
    ],
    hint: 'Each ray wants its difference shared out evenly along its 2 mm. The pixel lies on two rays.',
    solution: `The left column wants $${left}/2 = ${show(left / 2)}$ in each pixel, the upper row $${upper}/2 = ${show(upper / 2)}$. The mean is ${show(others.first.value)}. The slice that cast these shadows has ${others.a.value} there, ${others.b.value} beside it, ${others.c.value} and ${others.d.value} below; the next iterations go half of the way that is left each time.`,
  },
  {
    id: 'left-open',
    prompt: `Go back to the worked example: pixels ${four.a.value} and ${four.b.value} above, ${four.c.value} and ${four.d.value} below. How large can the upper left pixel be in a picture that has the same four shadows and nothing below zero?`,
    answer: free.aMost.value,
    unit: '1/mm',
    tolerance: 0.005,
    wrong: [
      { value: four.a.value, says: 'That is the slice it came from. Other pictures cast the same four shadows: add to one diagonal what you take from the other.' },
      { value: v.shadow.left.value, says: 'That is all of the left column in one pixel. The upper row, which has only 3 in all, would then need a pixel below zero.' },
      { value: free.most.value, says: 'That is how much can be added. Add it.' },
    ],
    hint: 'Add $t$ to the upper left and the lower right pixel, and take it from the other two. Which of those reaches zero first?',
    solution: `With $t$ added, the pixels are $${four.a.value}+t$, $${four.b.value}-t$, $${four.c.value}-t$, $${four.d.value}+t$. Nothing is below zero as long as $t \\le ${free.most.value}$, so the upper left pixel is at most ${free.aMost.value}. The data and the prior together still leave a range: from ${free.aLeast.value} to ${free.aMost.value}.`,
  },
  {
    id: 'when-to-stop',
    prompt: `Every ray of a scan has a line integral of about ${stopAt.integral.value}, and a cell of the open screen counts ${stopAt.photons.value} photons. At what misfit, root mean square, does the discrepancy principle stop?`,
    answer: stopAt.noise.value,
    unit: '',
    tolerance: 0.01,
    wrong: [
      { value: 1 / Math.sqrt(stopAt.photons.value), says: 'That is the noise of the open screen. Behind the object fewer photons arrive.' },
      { value: Math.exp(stopAt.integral.value) / Math.sqrt(stopAt.photons.value), says: 'The photons fall by $e^{-p}$, but the noise goes with their square root: $e^{p/2}$.' },
      { value: 1 / (stopAt.photons.value * Math.exp(-stopAt.integral.value)), says: 'That is one over the photons. The noise is one over their root.' },
      { value: Math.exp(-stopAt.integral.value / 2) / Math.sqrt(stopAt.photons.value), says: 'Upside down: fewer photons make a line integral noisier.' },
      { value: Math.sqrt(stopAt.photons.value * Math.exp(-stopAt.integral.value)), says: 'That is the noise of the count, in photons. That of the logarithm is this divided by the count.' },
    ],
    hint: 'The misfit should be no smaller than the noise of one line integral. How many photons arrive, and what is the noise of the logarithm of their number?',
    solution: `There arrive $${stopAt.photons.value}\\, e^{-${stopAt.integral.value}} =$ ${show(stopAt.photons.value * Math.exp(-stopAt.integral.value))} photons, and $\\sigma_p$ is one over the root of that, ${show(stopAt.noise.value)}. A picture that fits better than this fits noise.`,
  },
  {
    id: 'how-much-it-counts',
    prompt: `One ray passes a thin place, $p = ${heavier.thin.value}$, another a thick one, $p = ${heavier.thick.value}$. The noise is that of counted photons. In weighted least squares, how many times as much does the first ray count?`,
    answer: heavier.times.value,
    unit: '',
    tolerance: 0.01,
    wrong: [
      { value: Math.sqrt(heavier.times.value), says: 'That is the ratio of their noise. Weights are one over the *variance*, the square of it.' },
      { value: 1 / heavier.times.value, says: 'Upside down: more light arrives behind the thin place, and that ray counts for more.' },
      { value: heavier.thick.value / heavier.thin.value, says: 'That is the ratio of the line integrals. The light falls exponentially with them.' },
      { value: Math.exp(heavier.thick.value), says: 'That is against a ray through nothing. The first ray loses light too.' },
    ],
    hint: 'The weight is one over the variance, and the variance of a line integral is one over the photons that arrive.',
    solution: `$w = e^{-p}$ up to a factor that all rays share, so the ratio is $e^{${heavier.thick.value} - ${heavier.thin.value}} =$ ${show(heavier.times.value)}.`,
  },
  {
    id: 'the-bill',
    prompt: `Smearing all views of a slice back takes your machine ${work.seconds.value} s, and projecting it takes as long. How long do ${work.iterations.value} iterations of SIRT take?`,
    answer: work.all.value,
    unit: 's',
    tolerance: 0.02,
    wrong: [
      { value: work.iterations.value * work.seconds.value, says: 'An iteration projects the guess *and* smears the difference back.' },
      { value: work.seconds.value, says: 'That is filtered backprojection, which smears back once.' },
      { value: 2 * work.seconds.value, says: 'That is one iteration.' },
    ],
    hint: 'What does one iteration do with the whole set of views?',
    solution: `Each iteration takes $2 \\cdot ${work.seconds.value}$ s, and ${work.iterations.value} of them ${show(work.all.value)} s, ${2 * work.iterations.value} times as long as filtered backprojection. In subsets a handful of iterations would do.`,
  },
];
