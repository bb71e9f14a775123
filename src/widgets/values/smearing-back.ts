/** Every number that chapter 4 prints, worked out with the library when the book is built. */
import { backproject, bead, disc, forwardProject, linearFit, mass, parallelBeam, projectPhantom, viewWeights } from '../../lib/index.ts';
import type { Grid, Image, Phantom } from '../../lib/index.ts';

// Four pixels, two views: forwards and back with weights of 1.
const four: Image = { width: 2, height: 2, pixelSize: 1, data: Float32Array.of(1, 2, 3, 4) };
const twoViews = parallelBeam({ angles: [0, Math.PI / 2], detectors: 4, pitch: 1 }); // a cell for each row or column, and one to spare on either side
const shadows = forwardProject(four, twoViews);
const [, left, right, , , lower, upper] = shadows.data; // down the columns, s to the right; then along the rows, s upwards
const back = backproject(shadows, twoViews, four, { weights: [1, 1] });
const inner = (a: ArrayLike<number>, b: ArrayLike<number>) => Array.from(a).reduce((sum, value, i) => sum + value * b[i], 0);

/** Exact shadows over half a turn, smeared back on a grid. */
const views = 720;
function smeared(phantom: Phantom, grid: Grid): Float32Array {
  const beam = parallelBeam({ views, detectors: 1001, pitch: 0.1 });
  return backproject(projectPhantom(phantom, beam, { cell: 'average' }), beam, grid, { weights: viewWeights(beam) }).data;
}
/** On the positive x axis, at distances that are multiples of the step. */
function smearedAlong(phantom: Phantom, step: number, count: number): Float32Array {
  return smeared(phantom, { width: count, height: 1, pixelSize: step, centre: [step * (count - 1) / 2, 0] });
}

// One bead: b times r against the bead's mass.
const [beadWidth, beadMu] = [1, 0.2]; // mm, 1/mm
const oneBead = [bead(0, 0, beadWidth, beadMu)];
const beadMass = mass(oneBead);
const distances = [5, 10, 20]; // mm
const beadLine = smearedAlong(oneBead, 0.5, 51); // 0 to 25 mm
const around = distances.map((r) => beadLine[2 * r]);
const far = Array.from(beadLine, (b, i) => ({ b, r: i / 2 })).slice(6); // from 3 mm
const logarithms = (list: number[]) => ({ width: list.length, height: 1, data: list.map(Math.log) });
const power = linearFit(logarithms(far.map(({ r }) => r)), logarithms(far.map(({ b }) => b))).slope;

// A disc: middle, rim, beyond, and where the smeared picture has fallen to half.
const [radius, mu] = [20, 0.02]; // mm, 1/mm
const plain = [disc(0, 0, radius, mu)];
const fallen = smearedAlong(plain, 0.125, 321); // 0 to 40 mm
const at = (r: number) => fallen[8 * r];
const half = fallen.findIndex((b) => b < fallen[0] / 2) / 8;

// A tube: its empty bore against the rim of its wall.
const bore = 8; // mm
const tube = [...plain, disc(0, 0, bore, -mu)];
const tubeLine = smearedAlong(tube, 1, radius + 1);
const [hole, rim, wall] = [0, radius, (radius + bore) / 2].map((r) => tubeLine[r]);

// The star: how far out the arms of few views touch.
const few = 12;
const touch = (count: number) => count * beadWidth / Math.PI;

// Exercises
const ask = { pixels: Float32Array.of(5, 0, 0, 1), mass: 0.6, distance: 15, radius: 15, mu: 0.03, views: 60, bead: 2, inner: 6, outer: 22 };
const askBack = backproject(forwardProject({ ...four, data: ask.pixels }, twoViews), twoViews, four, { weights: [1, 1] });

export const values = {
  pixel0: { value: four.data[0], unit: '' },
  pixel1: { value: four.data[1], unit: '' },
  pixel2: { value: four.data[2], unit: '' },
  pixel3: { value: four.data[3], unit: '' },
  left: { value: left, unit: '' },
  right: { value: right, unit: '' },
  lower: { value: lower, unit: '' },
  upper: { value: upper, unit: '' },
  back0: { value: back.data[0], unit: '' },
  back1: { value: back.data[1], unit: '' },
  back2: { value: back.data[2], unit: '' },
  back3: { value: back.data[3], unit: '' },
  shadowsAgree: { value: inner(shadows.data, shadows.data), unit: '' },
  picturesAgree: { value: inner(four.data, back.data), unit: '' },

  views: { value: views, unit: '' },
  beadWidth: { value: beadWidth, unit: 'mm' },
  beadMu: { value: beadMu, unit: '1/mm' },
  beadMass: { value: beadMass, unit: 'mm' },
  r0: { value: distances[0], unit: 'mm' },
  r1: { value: distances[1], unit: 'mm' },
  r2: { value: distances[2], unit: 'mm' },
  law0: { value: beadMass / distances[0], unit: '' },
  law1: { value: beadMass / distances[1], unit: '' },
  law2: { value: beadMass / distances[2], unit: '' },
  around0: { value: around[0], unit: '' },
  around1: { value: around[1], unit: '' },
  around2: { value: around[2], unit: '' },
  power: { value: power, unit: '' },
  powerFrom: { value: far[0].r, unit: 'mm' },
  powerTo: { value: far[far.length - 1].r, unit: 'mm' },

  radius: { value: radius, unit: 'mm' },
  mu: { value: mu, unit: '1/mm' },
  middle: { value: at(0), unit: '' },
  middleFormula: { value: 2 * Math.PI * radius * mu, unit: '' },
  rimDisc: { value: at(radius), unit: '' },
  rimFormula: { value: 4 * radius * mu, unit: '' },
  rimShare: { value: at(radius) / at(0) * 100, unit: '%' },
  twiceOut: { value: 2 * radius, unit: 'mm' },
  twiceShare: { value: at(2 * radius) / at(0) * 100, unit: '%' },
  halfRadius: { value: half, unit: 'mm' },

  bore: { value: bore, unit: 'mm' },
  hole: { value: hole, unit: '' },
  rim: { value: rim, unit: '' },
  wall: { value: wall, unit: '' },

  few: { value: few, unit: '' },
  arms: { value: 2 * few, unit: '' },
  touchFew: { value: touch(few), unit: 'mm' },
  more: { value: 180, unit: '' },
  touchMore: { value: touch(180), unit: 'mm' },

  // Exercises
  ask: {
    pixel0: { value: ask.pixels[0], unit: '' },
    pixel1: { value: ask.pixels[1], unit: '' },
    pixel2: { value: ask.pixels[2], unit: '' },
    pixel3: { value: ask.pixels[3], unit: '' },
    lowerLeft: { value: askBack.data[2], unit: '' },

    mass: { value: ask.mass, unit: 'mm' },
    distance: { value: ask.distance, unit: 'mm' },
    beside: { value: ask.mass / ask.distance, unit: '' },

    radius: { value: ask.radius, unit: 'mm' },
    mu: { value: ask.mu, unit: '1/mm' },
    rim: { value: 4 * ask.radius * ask.mu, unit: '' },

    inner: { value: ask.inner, unit: 'mm' },
    outer: { value: ask.outer, unit: 'mm' },
    hole: { value: smearedAlong([disc(0, 0, ask.outer, ask.mu), disc(0, 0, ask.inner, -ask.mu)], 1, 1)[0], unit: '' },

    views: { value: ask.views, unit: '' },
    bead: { value: ask.bead, unit: 'mm' },
    parts: { value: ask.views * ask.bead / Math.PI, unit: 'mm' },
  },
};
