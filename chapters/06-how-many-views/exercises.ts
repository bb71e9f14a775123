import type { ExerciseDefinition } from '../../src/widgets/exercise/definition.ts';
import { values } from '../../src/widgets/values/how-many-views.ts';

const v = Object.fromEntries(Object.entries(values).map(([name, { value }]) => [name, value])) as Record<keyof typeof values, number>;
const show = (value: number, digits = 3) => String(Number(value.toPrecision(digits))).replace('-', '−');

export const exercises: readonly ExerciseDefinition[] = [
  {
    id: 'period',
    prompt: `A part is ${v.partDiameter} mm across and has slots ${v.partSlot} mm wide with ribs of the same width between them. How many views over 180° does the rule of Crowther, DeRosier and Klug ask for?`,
    answer: v.partViews,
    unit: '',
    tolerance: 0.01,
    wrong: [
      { value: 2 * v.partViews, says: 'You put the width of one slot for $d$. In this rule $d$ is a full period: a slot and a rib.' },
      { value: v.partViews / 2, says: 'Half too few. Did the radius take the place of the diameter?' },
      { value: v.partDiameter / (2 * v.partSlot), says: 'The factor $\\pi$ is missing. What has to be covered is the half circle through the rim of the object, in frequency.' },
    ],
    hint: 'What is the full period of the pattern? One line *and* one gap.',
    solution: `The period is $d = ${2 * v.partSlot}$ mm, so $N = \\pi D/d = \\pi \\cdot ${v.partDiameter}/${2 * v.partSlot} =$ ${show(v.partViews, 4)}, rounded up to ${Math.ceil(v.partViews)} views.`,
  },
  {
    id: 'largest-object',
    prompt: `You have ${v.scanViews} views over 180° on cells of ${v.scanPitch} mm at the object. What is the largest object for which this meets the detector's rule?`,
    answer: v.scanLargest,
    unit: 'mm',
    tolerance: 0.01,
    wrong: [
      { value: v.scanLargest / 2, says: 'You took one cell for the period, the third rule of the table. The detector\'s rule needs two cells for one period.' },
      { value: 2 * v.scanLargest, says: 'Twice too large: the rule over 180° is $N = \\pi D/2\\Delta$.' },
      { value: v.scanPitch * v.scanViews, says: 'The factor $2/\\pi$ is missing: a view serves two over pi cells.' },
      { value: (2 * v.scanViews) / Math.PI, says: 'That is the number of cells. Multiply by the pitch for millimetres.' },
    ],
    hint: 'Turn $N = \\pi D/(2\\Delta)$ round.',
    solution: `$D = 2\\Delta N/\\pi = 2 \\cdot ${v.scanPitch} \\cdot ${v.scanViews}/\\pi =$ ${show(v.scanLargest, 4)} mm, that is ${show(v.scanLargest / v.scanPitch, 4)} cells. Check: ${v.scanViews} views keep a period of ${show((Math.PI * v.scanLargest) / v.scanViews)} mm in it, two cells.`,
  },
  {
    id: 'directions',
    prompt: 'With parallel rays you take 100 views over a whole turn, in equal steps. How many different directions does the scan have?',
    answer: v.turnDirections,
    unit: '',
    tolerance: 0.001,
    wrong: [
      { value: 100, says: 'That would be so for 99 or 101. With an even number, each view stands exactly opposite to another one and repeats it.' },
      { value: 99, says: 'Count pairs: view 0 and view 50 look along the same lines from opposite sides.' },
      { value: 25, says: 'Each direction is seen twice, not four times.' },
      { value: 200, says: 'A view has one direction; a whole turn cannot give more directions than views.' },
    ],
    hint: 'Is there a view that stands opposite to the first one?',
    solution: 'Views 0 and 50 differ by 180°, and so do 1 and 51, and so on. One hundred views make 50 directions, 3.6° apart. With 101 views there would be 101, spaced by less than 1.8°.',
  },
  {
    id: 'share',
    prompt: `Of ${v.runViews} views in steps of ${v.runStep}° over 180°, three in a row are lost. What angle does the view next to the gap now stand for?`,
    answer: v.runShare,
    unit: '°',
    tolerance: 0.005,
    wrong: [
      { value: v.runStep, says: 'That is the share of an undisturbed view. The view at the edge takes half of the gap on its open side.' },
      { value: 4 * v.runStep, says: 'That is the gap from edge to edge. Half of it goes to each of the two views, and each also keeps half a step on its other side.' },
      { value: 2 * v.runStep, says: 'Either half a step on the other side is missing, or the gap was taken for three steps: three views lost leave a gap of four.' },
    ],
    hint: 'How wide is the gap between the last view before and the first view after? A fence with three posts missing has four spaces.',
    solution: `The gap is $4 \\cdot ${v.runStep}° = ${4 * v.runStep}°$. Half of it, ${2 * v.runStep}°, and half a usual step, ${v.runStep / 2}°, make ${show(v.runShare)}° instead of ${v.runStep}°.`,
  },
  {
    id: 'fan',
    prompt: `An object ${v.fanDiameter} mm across is scanned in a fan of ${v.fanAngle}° (full angle) over 360°; the finest full period that matters is ${v.fanPeriod} mm. How many views does the rule of Joseph and Schulz ask for?`,
    answer: v.fanViews,
    unit: '',
    tolerance: 0.01,
    wrong: [
      { value: v.fanViewsNarrow, says: 'That is the limit of a very narrow fan. Divide by $1 - \\sin(\\Gamma/2)$.' },
      { value: v.fanViewsFullAngle, says: 'The sine takes half of the fan angle.' },
      { value: 2 * v.fanViews, says: 'Twice too many: $R$ is the radius.' },
      { value: v.fanViews / 2, says: 'That would be over half a turn. The rule counts views over the whole turn.' },
      { value: v.partViews * (v.fanDiameter / v.partDiameter), says: 'That is the rule for parallel rays over 180°. The fan goes all the way round.' },
    ],
    hint: 'The highest frequency $\\nu$ is one over the finest period. Mind radius and half angle.',
    solution: `$N = 4\\pi R\\nu/(1 - \\sin\\tfrac{\\Gamma}{2}) = 4\\pi \\cdot ${v.fanDiameter / 2} \\cdot ${1 / v.fanPeriod}/(1 - \\sin ${v.fanAngle / 2}°) =$ ${show(v.fanViews, 4)}. For a very narrow fan it would be ${show(v.fanViewsNarrow, 4)}, twice the number for parallel rays over 180°.`,
  },
  {
    id: 'split-dose',
    prompt: 'You go from 45 to 90 views and keep the total exposure. By what factor does the noise of a single line integral grow?',
    answer: v.lineNoiseRatio,
    unit: '',
    tolerance: 0.005,
    wrong: [
      { value: 2, says: 'Each view has half of the photons, but noise goes with the square root of the photons.' },
      { value: 1, says: 'That is the answer for the noise of the picture. Each line integral gets noisier; there are twice as many of them.' },
      { value: 1 / v.lineNoiseRatio, says: 'Upside down: fewer photons in each view make it noisier.' },
      { value: 0.5, says: 'Half of the photons do not mean half of the noise. Fewer photons mean more noise.' },
    ],
    hint: 'How many photons does each view have now, and how does $\\sigma_p$ depend on them?',
    solution: `Each view has half of the photons, and $\\sigma_p \\propto 1/\\sqrt{N_0}$, so the factor is $\\sqrt 2 =$ ${show(v.lineNoiseRatio, 4)}. In the picture the larger number of views takes exactly this back: $\\sigma_\\mu \\propto \\sigma_p/\\sqrt N$.`,
  },
];
