import type { ExerciseDefinition } from '../../src/widgets/exercise/definition.ts';
import { quantityText as say } from '../../src/widgets/value/format.ts';
import { values } from '../../src/widgets/values/smearing-back.ts';

const { ask } = values;
const figures = { digits: 4 };
const [mass, distance] = [ask.mass.value, ask.distance.value];
const [radius, mu] = [ask.radius.value, ask.mu.value];
const [inner, outer] = [ask.inner.value, ask.outer.value];

export const exercises: readonly ExerciseDefinition[] = [
  {
    id: 'four-pixels',
    prompt: `A slice of four pixels of 1 mm holds ${say(ask.pixel0)} and ${say(ask.pixel1)} in the upper row, ${say(ask.pixel2)} and ${say(ask.pixel3)} in the lower. Take the shadows down the columns and along the rows, and smear both back with a weight of one. What does the lower left pixel get?`,
    answer: ask.lowerLeft.value,
    unit: '',
    tolerance: 0.001,
    wrong: [
      { value: ask.pixel2.value, says: 'That is what the pixel held. Smearing back knows only the shadows: it gets the sum of its column and the sum of its row.' },
      { value: ask.lowerLeft.value / 2, says: 'Spread evenly over the two pixels of each ray, this would be the answer. Here the weight is one: each pixel gets the whole of its rays\' shadows.' },
      { value: 2 * ask.lowerLeft.value, says: 'All four shadows were added. Only two of the rays go through this pixel.' },
      { value: ask.pixel0.value, says: 'That is the column alone. The row goes through the pixel too.' },
      { value: ask.pixel3.value, says: 'That is the row alone. The column goes through the pixel too.' },
    ],
    hint: 'Write down the four shadows first. Which two of the rays cross this pixel?',
    solution: `The left column adds up to ${say(ask.pixel0)} and the lower row to ${say(ask.pixel3)}. The pixel gets both, ${say(ask.lowerLeft)}, although it held ${say(ask.pixel2)}: it lies where the rays of the two others cross.`,
  },
  {
    id: 'beside-a-bead',
    prompt: `A bead has the mass ${say(ask.mass)}. Very many views over half a turn are smeared back. What is $b$ at ${say(ask.distance)} from the bead?`,
    answer: ask.beside.value,
    unit: '',
    tolerance: 0.01,
    wrong: [
      { value: mass / distance ** 2, says: 'That is the inverse square, the law of a lamp in space. In a plane the smear falls as $1/r$.' },
      { value: mass / (Math.PI * distance), says: 'That is the mean over the views. Backprojection adds the views up, each with the angle it stands for, and half a turn is $\\pi$.' },
      { value: mass / (2 * Math.PI * distance), says: 'The mass was spread over a circle. Every ray through the point counts whole, and half a turn brings each once: $m/r$.' },
      { value: mass * distance, says: 'Multiplied where it should be divided.' },
    ],
    hint: 'From the point, how wide an angle does the bead fill? How high is its shadow?',
    solution: `$b = m/r$: ${say(ask.mass)} over ${say(ask.distance)} is ${say(ask.beside, { digits: 2 })}, without unit. The bead's width does not matter.`,
  },
  {
    id: 'on-the-rim',
    prompt: `A disc of radius ${say(ask.radius)} has an attenuation of ${say(ask.mu)}. What is $b$ on its rim?`,
    answer: ask.rim.value,
    unit: '',
    tolerance: 0.01,
    wrong: [
      { value: 2 * Math.PI * radius * mu, says: 'That is the middle of the disc, where every ray runs along a diameter.' },
      { value: Math.PI * radius * mu, says: 'That is half of the middle, as if the rays on one side of the rim were empty and the others diameters. Most of the others are shorter chords.' },
      { value: 2 * radius * mu, says: 'That is the longest line integral. It has to be averaged over the directions and multiplied by $\\pi$.' },
      { value: mu, says: 'That is the attenuation. The smeared picture has another unit and another scale.' },
      { value: 4 * radius * mu / Math.PI, says: 'That is the mean line integral through the point. Half a turn multiplies it by $\\pi$.' },
    ],
    hint: 'A ray at the angle $\\alpha$ to the tangent cuts off $2R\\sin\\alpha$. The integral of $\\sin\\alpha$ from 0 to $\\pi$ is 2.',
    solution: `$b = \\mu\\int_0^\\pi 2R\\sin\\alpha\\,d\\alpha = 4R\\mu =$\u00a0${say(ask.rim, figures)}.`,
  },
  {
    id: 'in-the-bore',
    prompt: `A tube has an inner radius of ${say(ask.inner)}, an outer radius of ${say(ask.outer)} and an attenuation of ${say(ask.mu)}. What is $b$ in the middle of its bore?`,
    answer: ask.hole.value,
    unit: '',
    tolerance: 0.01,
    wrong: [
      { value: 0, says: 'There is no matter in the bore, but every ray through its middle also goes through the wall, twice.' },
      { value: 2 * Math.PI * outer * mu, says: 'That is a full disc. The bore has to be subtracted.' },
      { value: 2 * (outer - inner) * mu, says: 'That is one line integral through the middle. Over half a turn it counts $\\pi$ times.' },
      { value: Math.PI * (outer - inner) * mu, says: 'Every ray crosses the wall on both sides of the bore.' },
      { value: 2 * Math.PI * inner * mu, says: 'That is what the bore would give if it were filled. The wall is what counts here.' },
    ],
    hint: 'All rays through the middle are alike. How much wall does each cross?',
    solution: `Each ray crosses the wall twice, ${say({ value: outer - inner, unit: 'mm' })} each time, and brings $2\\mu(R_2 - R_1)$. Over half a turn $b = 2\\pi\\mu(R_2 - R_1) =$\u00a0${say(ask.hole, figures)}. The formula with the distances gives the same: $\\int\\mu\\,2\\pi r\\,dr/r$ from $R_1$ to $R_2$.`,
  },
  {
    id: 'where-the-star-parts',
    prompt: `${say(ask.views)} views over half a turn are smeared back from a bead ${say(ask.bead)} wide. How far from the bead do the arms of its star part?`,
    answer: ask.parts.value,
    unit: 'mm',
    tolerance: 0.01,
    wrong: [
      { value: ask.parts.value / 2, says: 'Each view makes two arms, one on either side of the bead. The full circle of $2\\pi r$ is divided among $2N$ arms.' },
      { value: 2 * ask.parts.value, says: 'The circle is $2\\pi r$ long and has $2N$ arms: the spacing is $\\pi r/N$.' },
      { value: ask.views.value * ask.bead.value, says: 'The $\\pi$ is missing: neighbouring arms are $\\pi r/N$ apart.' },
      { value: Math.PI * ask.bead.value / ask.views.value, says: 'Upside down. More views keep the arms together further out.' },
    ],
    hint: 'How far apart are neighbouring arms at the distance $r$? They part where this equals the width of a band.',
    solution: `The spacing $\\pi r/N$ equals the width $w$ at $r = Nw/\\pi$: ${say(ask.views)} times ${say(ask.bead)} over $\\pi$ is ${say(ask.parts, figures)}.`,
  },
];
