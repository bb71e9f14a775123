import type { ExerciseDefinition } from '../../src/widgets/exercise/definition.ts';
import { values } from '../../src/widgets/values/from-slices-to-a-solid.ts';

const { ask, metal, oil, inOil } = values;
const show = (value: number, digits = 3) => String(Number(value.toPrecision(digits))).replace('-', '−');
const voxels = ask.columns.value ** 2 * ask.slices.value;
const inRegion = (ask.side.value / ask.voxelEdge.value) ** 3;

export const exercises: readonly ExerciseDefinition[] = [
  {
    id: 'memory',
    prompt: `A scan is to be reconstructed on ${ask.columns.value} × ${ask.columns.value} × ${ask.slices.value} voxels, each a 32-bit float. How many MB (millions of bytes) does the volume take?`,
    answer: ask.memory.value,
    unit: 'MB',
    tolerance: 0.01,
    wrong: [
      { value: ask.memory.value / 4, says: 'That is the number of voxels in millions. Each of them takes more than one byte.' },
      { value: ask.memory.value / 2, says: 'That would do for 16 bits, two bytes a voxel.' },
      { value: 2 * ask.memory.value, says: 'Eight bytes a voxel is a 64-bit float; the volume is kept in 32 bits.' },
      { value: 8 * ask.memory.value, says: 'You counted bits. Eight of them make a byte.' },
    ],
    hint: 'How many bytes are 32 bits?',
    solution: `There are $${ask.columns.value} \\cdot ${ask.columns.value} \\cdot ${ask.slices.value} =$ ${voxels / 1e6} million voxels of 4 bytes, ${ask.memory.value} MB. Halve the edge of the voxels and it is eight times as much.`,
  },
  {
    id: 'light-left',
    prompt: `A material in a picture has an opacity of ${ask.opacity.value}/mm and is ${ask.depth.value} mm deep along the ray. What share of the light behind it still comes through?`,
    answer: ask.left.value,
    unit: '%',
    tolerance: 0.02,
    wrong: [
      { value: 100 - ask.left.value, says: 'That share is hidden. What is asked for is the rest.' },
      { value: 100 * (1 - ask.opacity.value) ** ask.depth.value, says: 'You took a fixed share off at the end of each millimetre. Opacity takes its share from ever thinner layers: use the exponential.' },
      { value: 100 * Math.exp(-ask.opacity.value), says: 'That is after one millimetre.' },
    ],
    hint: 'It is the law of attenuation again, with light for X-rays and opacity for attenuation.',
    solution: `$e^{-\\omega d} = e^{-${ask.opacity.value} \\cdot ${ask.depth.value}} = e^{-${show(ask.opacity.value * ask.depth.value)}}$, which is ${show(ask.left.value)} %.`,
  },
  {
    id: 'perspective',
    prompt: `In a perspective picture the eye is ${ask.eye.value} mm from the middle of the object, where the scale is right. A nut ${ask.wide.value} mm wide lies ${ask.eyeNearer.value} mm nearer to the eye than the middle. How wide does the scale make it?`,
    answer: ask.seen.value,
    unit: 'mm',
    tolerance: 0.004,
    wrong: [
      { value: ask.wide.value, says: 'That would be so in an orthographic picture. Here the nearer is drawn larger.' },
      { value: (ask.wide.value * (ask.eye.value - ask.eyeNearer.value)) / ask.eye.value, says: 'Upside down: what is nearer to the eye is larger, not smaller.' },
      { value: ask.wide.value * (1 + ask.eyeNearer.value / ask.eye.value), says: 'Near, but the ratio is that of the two distances from the eye, not one plus their difference over the longer.' },
      { value: (ask.wide.value * ask.eye.value) / (ask.eye.value + ask.eyeNearer.value), says: 'That is a nut farther away than the middle.' },
    ],
    hint: 'The same width, seen from two distances: similar triangles with the eye at their tip.',
    solution: `The nut is ${ask.eye.value - ask.eyeNearer.value} mm from the eye, the scale belongs to ${ask.eye.value} mm: $${ask.wide.value} \\cdot ${ask.eye.value}/${ask.eye.value - ask.eyeNearer.value} =$ ${show(ask.seen.value, 4)} mm. No setting of a perspective picture makes its scale right everywhere.`,
  },
  {
    id: 'half-way',
    prompt: `At the energy of the scan aluminium has ${show(metal.value)}/mm and the oil in which the part lies ${show(oil.value)}/mm. Where does the threshold of the part's surface belong?`,
    answer: inOil.value,
    unit: '1/mm',
    tolerance: 0.01,
    wrong: [
      { value: metal.value / 2, says: 'That is half-way between aluminium and air. The part lies in oil: its surface would come out too far outside.' },
      { value: (metal.value - oil.value) / 2, says: 'That is half of the step. Count it from the oil upwards.' },
      { value: metal.value + oil.value, says: 'That is the sum. Half-way is the mean of the two.' },
    ],
    hint: 'An edge that is evenly blurred passes through the mean of its two sides at the place where the edge is.',
    solution: `$(${show(metal.value)} + ${show(oil.value)})/2 =$ ${show(inOil.value)}/mm. Half of the aluminium, ${show(metal.value / 2)}/mm, lies only ${show((100 * (metal.value / 2 - oil.value)) / (metal.value - oil.value), 2)} % of the way from oil to aluminium.`,
  },
  {
    id: 'too-large',
    prompt: `The threshold for a ball of radius ${ask.radius.value} mm was set so low that its surface lies ${ask.shift.value} mm outside the true one all round. By how many per cent is the ball's volume too large?`,
    answer: ask.more.value,
    unit: '%',
    tolerance: 0.03,
    wrong: [
      { value: (100 * ask.shift.value) / ask.radius.value, says: 'That is by how much the radius is too large. Volume goes with its third power.' },
      { value: 100 * ((1 + ask.shift.value / ask.radius.value) ** 2 - 1), says: 'That is the area. Volume goes with the third power of the radius.' },
    ],
    hint: 'How much larger is the radius, as a share? And the volume, which goes with its third power?',
    solution: `$(${ask.radius.value + ask.shift.value}/${ask.radius.value})^3 - 1 =$ ${show(ask.more.value)} %; in short, three times the share ${ask.shift.value}/${ask.radius.value} by which the radius is too large. A tenth of a millimetre is little on a ruler and much in a volume.`,
  },
  {
    id: 'uncertain-distance',
    prompt: `A distance of ${ask.distance.value} mm is measured between two edges, each of which is known to within ${ask.edgeSpread.value} mm (one standard deviation, independent of the other). The scale of the volume is uncertain by ${ask.scale.value} %. How uncertain is the distance?`,
    answer: ask.distanceSpread.value,
    unit: 'mm',
    tolerance: 0.02,
    wrong: [
      { value: ask.ends.value, says: 'That is what the two edges make. The scale is uncertain too, and its share of the distance comes on top.' },
      { value: ask.scaled.value, says: 'That is what the scale makes. The two edges come on top.' },
      { value: Math.hypot(ask.edgeSpread.value, ask.scaled.value), says: 'A distance has two ends: count the edge twice, as a square each time.' },
      { value: ask.ends.value + ask.scaled.value, says: 'Edges and scale do not err in step. Add what they make as squares, and take the root.' },
      { value: 2 * ask.edgeSpread.value + ask.scaled.value, says: 'You added all three as they are, as if they always erred to the same side. Add their squares, and take the root.' },
      { value: Math.hypot(2 * ask.edgeSpread.value, ask.scaled.value), says: 'Two independent edges make $\\sqrt2$ times one of them, not twice.' },
    ],
    hint: 'What do two independent edges make together? How many mm is the share of the scale? Both add as squares.',
    solution: `The edges make $\\sqrt2 \\cdot ${ask.edgeSpread.value} =$ ${show(ask.ends.value)} mm, the scale ${ask.scale.value} % of ${ask.distance.value} mm, ${show(ask.scaled.value)} mm. Together $\\sqrt{${show(ask.ends.value)}^2 + ${show(ask.scaled.value)}^2} =$ ${show(ask.distanceSpread.value)} mm. Over a longer distance only the scale would still matter.`,
  },
  {
    id: 'standard-error',
    prompt: `In a cube of ${ask.side.value} mm, of voxels of ${ask.voxelEdge.value} mm, the values spread by ${ask.sd.value}/mm (one standard deviation). The noise is white noise blurred by a Gaussian of ${ask.spread.value} mm. What is the standard error of the cube's mean?`,
    answer: ask.error.value,
    unit: '1/mm',
    tolerance: 0.03,
    wrong: [
      { value: ask.sd.value / Math.sqrt(inRegion), says: 'You counted all the voxels. Neighbours share their noise: count the independent ones.' },
      { value: ask.sd.value, says: 'That is the spread of one voxel. A mean of many is known better.' },
      { value: ask.sd.value / ask.independent.value, says: 'Divide by the square root of the number of independent voxels.' },
      { value: ask.sd.value / Math.sqrt(ask.side.value ** 3), says: 'You counted cubic millimetres. Divide the volume by that of one independent piece, $(2\\sqrt{\\pi}\\,\\sigma)^3$.' },
    ],
    hint: 'How many pieces of the volume $(2\\sqrt{\\pi}\\,\\sigma)^3$ fit into the cube?',
    solution: `One independent piece is $(2\\sqrt{\\pi} \\cdot ${ask.spread.value})^3 =$ ${show(ask.cell.value)} mm³, so the cube of ${ask.side.value ** 3} mm³ holds ${show(ask.independent.value)} of them, though it has ${inRegion} voxels. The standard error is $${ask.sd.value}/\\sqrt{${show(ask.independent.value)}} =$ ${show(ask.error.value)}/mm.`,
  },
];
