/** Every number of chapter 11, worked out with the library when the book is built. */
import {
  attenuationOf, blur, cut, fbp, fitCircle, linearAttenuation, materialsNear, oilDensity, parallelBeam, profile, regionStatistics, surface, thresholdBetween, valueInVolume, volumeMemory, volumeOf, watertight, writeStl,
} from '../../lib/index.ts';
import type { Image, Volume } from '../../lib/index.ts';
import { energy, gridOf, solids } from '../any-cut/capsule-volume.ts';
import { shares } from '../threshold/blurred.ts';
import { crossingOf, measure, metal } from '../threshold/model.ts';
import { known, sizes } from '../threshold/shapes.ts';

// Voxels and memory.
const cubeEdge = 512;
const megabytes = (bytes: number) => bytes / 1e6;
const capsuleAt = (voxelSize: number) => { const grid = gridOf(voxelSize); return { count: grid.width * grid.height * grid.depth, memory: megabytes(volumeMemory(grid)) }; };

// Trilinear: what is left of the noise of independent voxels, from the weights that the library gives each of eight.
const lone = (corner: number): Volume => ({ width: 2, height: 2, depth: 2, voxelSize: 1, data: Float32Array.from({ length: 8 }, (_, i) => (i === corner ? 1 : 0)) });
const eight = Array.from({ length: 8 }, (_, corner) => lone(corner));
const noiseAt = (x: number, y: number, z: number) => Math.sqrt(eight.reduce((sum, volume) => sum + valueInVolume(volume, [x - 0.5, y - 0.5, z - 0.5]) ** 2, 0));
const fine = 200;
const meanOfLine = Array.from({ length: fine }, (_, i) => noiseAt((i + 0.5) / fine, 0, 0) ** 2).reduce((sum, value) => sum + value / fine, 0);

// The normal distribution by the trapezoid rule: quantiles, and the greatest of so many.
const spread = 8, cells = 16_000;
const xs = Float64Array.from({ length: cells + 1 }, (_, i) => -spread + (2 * spread * i) / cells);
const density = xs.map((x) => Math.exp((-x * x) / 2) / Math.sqrt(2 * Math.PI));
const below = new Float64Array(cells + 1);
for (let i = 1; i <= cells; i++) below[i] = below[i - 1] + ((density[i - 1] + density[i]) / 2) * ((2 * spread) / cells);
const quantile = (share: number) => xs[below.findIndex((value) => value >= share)];
const greatestOf = (count: number) => xs.reduce((sum, x, i) => sum + x * count * density[i] * below[i] ** (count - 1) * ((2 * spread) / cells), 0);
const layers = 9;

// Looking through.
const look = { opacity: 0.5, depth: 4, eye: 160, nearer: 20 };

// Thresholds.
const oil = attenuationOf({ material: 'polyethylene', density: oilDensity }, energy);
const edge = { sigma: 0.5, level: 0.25 };
const outwards = -quantile(edge.level) * edge.sigma;
const fill = { share: 0.3 };

// The nut in voxels, at a share of the way from air to aluminium.
function nutAt(voxel: number, sigma: number, share: number, smooth = 0) {
  const mesh = surface(shares('nut', sigma, voxel), share, { smooth });
  return { mesh, ...measure(mesh, known.nut.outside, volumeOf(known.nut.form)!) };
}
/** Thresholds a little below and above half-way, as shares of the way from air to aluminium. */
const aside = { low: 0.4, high: 0.6 };
const nut = { half: nutAt(0.5, 0, 0.5), one: nutAt(1, 0, 0.5), two: nutAt(2, 0, 0.5), blurred: nutAt(1, 0.5, 0.5), low: nutAt(1, 0.5, aside.low), high: nutAt(1, 0.5, aside.high), smoothed: nutAt(1, 0.5, 0.5, 10) };
const ballMesh = surface(shares('ball', 0.5, 0.5), 0.5);
const ballMeasures = measure(ballMesh, known.ball.outside, volumeOf(known.ball.form)!);

// Distances on the nut's cut, blurred, on voxels of 1 mm: across the flats by the half-way crossings, and a circle through the bore.
const nutCut = cut(shares('nut', 0.5, 1), known.nut.section, { grid: { width: 200, height: 200, pixelSize: 0.125 } });
const acrossFlats = width(nutCut, 12);
/** From the outermost crossing of the half on one side to that on the other, along a line a little off the middle, mm. */
function width(image: Image, reach: number): number {
  const { distance, value } = profile(image, [-reach, 0], [reach, 0], 481);
  const first = value.findIndex((each) => each >= 0.5), last = value.findLastIndex((each) => each >= 0.5);
  const between = (i: number, j: number) => distance[i] + ((0.5 - value[i]) / (value[j] - value[i])) * (distance[j] - distance[i]);
  return between(last, last + 1) - between(first - 1, first);
}
const crossing = crossingOf(nut.blurred.mesh, known.nut.section);
const rim = Array.from({ length: crossing.length / 2 }, (_, i) => [crossing[2 * i], crossing[2 * i + 1]] as const).filter(([u, v]) => Math.hypot(u, v) < 7);
const bore = fitCircle(rim);

// Regions: how the means of many discs really scatter, beside what one disc's spread over the root of its count says.
const discRadius = 6;
/** The same normal numbers every time: Lehmer's generator, as in the plate of windows. */
const normal = (() => {
  let seed = 30_011;
  const uniform = () => (seed = (seed * 48_271) % 2_147_483_647) / 2_147_483_647;
  return () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
})();
function scatterOf(pictures: readonly Image[], reach: number) {
  const found = pictures.flatMap((picture) => {
    const places: [number, number][] = [];
    for (let x = -reach; x <= reach; x += 2 * discRadius + 2) for (let y = -reach; y <= reach; y += 2 * discRadius + 2) places.push([x, y]);
    return places.map((centre) => regionStatistics(picture, { centre, radius: discRadius }));
  });
  const mean = found.reduce((sum, each) => sum + each.mean, 0) / found.length;
  const scatter = Math.sqrt(found.reduce((sum, each) => sum + (each.mean - mean) ** 2, 0) / (found.length - 1));
  const said = Math.sqrt(found.reduce((sum, each) => sum + each.standardError ** 2, 0) / found.length);
  return { ratio: scatter / said, count: found[0].count };
}
const noise = (size: number): Image => ({ width: size, height: size, pixelSize: 1, data: Float32Array.from({ length: size * size }, normal) });
const white = noise(256);
const blurSigma = 1;
const soft: Image = { ...white, data: blur(white, blurSigma).data };
const beam = parallelBeam({ views: 150, detectors: 128, pitch: 1 });
const reconstructed = Array.from({ length: 5 }, () => fbp({ views: 150, detectors: 128, data: Float32Array.from({ length: 150 * 128 }, normal) }, beam, { window: 'ramp', grid: { width: 96, height: 96, pixelSize: 1 } }));
const scatter = { white: scatterOf([white], 112), soft: scatterOf([soft], 112), ramp: scatterOf(reconstructed, 40) };

// Which material? Half-way between aluminium and glass, as one measures it.
const asked = { mu: 0.072, sd: 0.001, keV: energy, keVSd: 3 };
const deviations = (material: string, keVSd: number) => Math.abs(materialsNear(asked.mu, asked.keV, asked.sd, keVSd).find((each) => each.material === material)!.deviations);
const slope = linearAttenuation('aluminium', energy + 0.5) - linearAttenuation('aluminium', energy - 0.5);
const others = { low: 40, high: 80 };
const ratio = (keV: number) => linearAttenuation('aluminium', keV) / linearAttenuation('sodaLime', keV);
const marble = solids.find(({ name }) => name === 'marble')!;

// The exercises.
const ask = { columns: 400, slices: 500, opacity: 0.35, depth: 6, radius: 8, shift: 0.1, side: 12, voxel: 0.5, sd: 0.004, sigma: 0.6, eye: 200, nearer: 25, wide: 18, distance: 40, edge: 0.1, scale: 0.5 };
const ends = Math.SQRT2 * ask.edge;
const scaled = (ask.scale / 100) * ask.distance;
const cell = (2 * Math.sqrt(Math.PI) * ask.sigma) ** 3;
const independent = ask.side ** 3 / cell;

export const values = {
  voxel: { value: 1, unit: 'mm' },
  voxels: { value: capsuleAt(1).count, unit: '' },
  memory: { value: capsuleAt(1).memory, unit: 'MB' },
  quarter: { value: 0.25, unit: 'mm' },
  quarterMemory: { value: capsuleAt(0.25).memory, unit: 'MB' },
  cubeEdge: { value: cubeEdge, unit: '' },
  cube: { value: megabytes(volumeMemory({ width: cubeEdge, height: cubeEdge, depth: cubeEdge })), unit: 'MB' },

  noiseLine: { value: noiseAt(0.5, 0, 0), unit: '' },
  noiseMiddle: { value: noiseAt(0.5, 0.5, 0.5), unit: '' },
  noiseMean: { value: meanOfLine ** 1.5, unit: '' },
  layers: { value: layers, unit: '' },
  slabNoise: { value: 1 / Math.sqrt(layers), unit: '' },
  slabGreatest: { value: greatestOf(layers), unit: '' },

  opacity: { value: look.opacity, unit: '1/mm' },
  depth: { value: look.depth, unit: 'mm' },
  left: { value: 100 * Math.exp(-look.opacity * look.depth), unit: '%' },
  eye: { value: look.eye, unit: 'mm' },
  nearer: { value: look.nearer, unit: 'mm' },
  larger: { value: 100 * (look.eye / (look.eye - look.nearer) - 1), unit: '%' },

  energy: { value: energy, unit: 'keV' },
  metal: { value: metal, unit: '1/mm' },
  oil: { value: oil, unit: '1/mm' },
  inAir: { value: thresholdBetween('nothing', 'aluminium', energy), unit: '1/mm' },
  inOil: { value: (oil + metal) / 2, unit: '1/mm' },
  partial: { value: 100 * fill.share, unit: '%' },
  partialValue: { value: fill.share * metal, unit: '1/mm' },
  sigma: { value: edge.sigma, unit: 'mm' },
  level: { value: 100 * edge.level, unit: '%' },
  outwards: { value: outwards, unit: 'mm' },
  ballRadius: { value: sizes.radius, unit: 'mm' },
  ballMore: { value: 100 * ((1 + outwards / sizes.radius) ** 3 - 1), unit: '%' },
  curved: { value: edge.sigma ** 2 / sizes.radius, unit: 'mm' },
  curvedMeasured: { value: -ballMeasures.mean, unit: 'mm' },
  sheet: { value: sizes.sheet, unit: 'mm' },
  sheetGone: { value: sizes.sheet / (2 * quantile(0.75)), unit: 'mm' },

  nutVolume: { value: nut.one.exact, unit: 'mm³' },
  nutHalf: { value: nut.half.volume, unit: 'mm³' },
  nutHalfLess: { value: -nut.half.excess, unit: '%' },
  nutHalfFarthest: { value: nut.half.farthest, unit: 'mm' },
  nutOne: { value: nut.one.volume, unit: 'mm³' },
  nutOneLess: { value: -nut.one.excess, unit: '%' },
  nutOneFarthest: { value: nut.one.farthest, unit: 'mm' },
  nutTwo: { value: nut.two.volume, unit: 'mm³' },
  nutTwoLess: { value: -nut.two.excess, unit: '%' },
  nutTwoFarthest: { value: nut.two.farthest, unit: 'mm' },
  blurredLess: { value: -nut.blurred.excess, unit: '%' },
  blurredFarthest: { value: nut.blurred.farthest, unit: 'mm' },
  lowShare: { value: 100 * aside.low, unit: '%' },
  highShare: { value: 100 * aside.high, unit: '%' },
  lowMore: { value: nut.low.excess, unit: '%' },
  highLess: { value: -nut.high.excess, unit: '%' },
  smoothedLess: { value: -nut.smoothed.excess, unit: '%' },
  smoothedFarthest: { value: nut.smoothed.farthest, unit: 'mm' },

  flats: { value: sizes.acrossFlats, unit: 'mm' },
  flatsMeasured: { value: acrossFlats, unit: 'mm' },
  bore: { value: sizes.bore, unit: 'mm' },
  boreMeasured: { value: 2 * bore.radius, unit: 'mm' },
  borePoints: { value: rim.length, unit: '' },

  discRadius: { value: discRadius, unit: '' },
  discCount: { value: scatter.white.count, unit: '' },
  blurSigma: { value: blurSigma, unit: '' },
  scatterWhite: { value: scatter.white.ratio, unit: '' },
  scatterSoft: { value: scatter.soft.ratio, unit: '' },
  scatterSoftSays: { value: 2 * Math.sqrt(Math.PI) * blurSigma, unit: '' },
  scatterRamp: { value: scatter.ramp.ratio, unit: '' },

  askedMu: { value: asked.mu, unit: '1/mm' },
  askedSd: { value: asked.sd, unit: '1/mm' },
  askedKevSd: { value: asked.keVSd, unit: 'keV' },
  glass: { value: attenuationOf(marble, energy), unit: '1/mm' },
  slope: { value: -slope, unit: '1/mm' },
  aluminiumSure: { value: deviations('aluminium', 0), unit: '' },
  aluminiumNear: { value: deviations('aluminium', asked.keVSd), unit: '' },
  glassNear: { value: deviations('sodaLime', asked.keVSd), unit: '' },
  glassSure: { value: deviations('sodaLime', 0), unit: '' },
  energyLow: { value: others.low, unit: 'keV' },
  energyHigh: { value: others.high, unit: 'keV' },
  ratioLow: { value: ratio(others.low), unit: '' },
  ratioHere: { value: ratio(energy), unit: '' },
  ratioHigh: { value: ratio(others.high), unit: '' },

  triangles: { value: nut.one.triangles, unit: '' },
  euler: { value: watertight(nut.one.mesh).euler, unit: '' },
  stl: { value: writeStl(nut.one.mesh).length / 1000, unit: 'kB' },

  // Exercises
  ask: {
    columns: { value: ask.columns, unit: '' },
    slices: { value: ask.slices, unit: '' },
    memory: { value: megabytes(volumeMemory({ width: ask.columns, height: ask.columns, depth: ask.slices })), unit: 'MB' },
    opacity: { value: ask.opacity, unit: '1/mm' },
    depth: { value: ask.depth, unit: 'mm' },
    left: { value: 100 * Math.exp(-ask.opacity * ask.depth), unit: '%' },
    eye: { value: ask.eye, unit: 'mm' },
    eyeNearer: { value: ask.nearer, unit: 'mm' },
    wide: { value: ask.wide, unit: 'mm' },
    seen: { value: (ask.wide * ask.eye) / (ask.eye - ask.nearer), unit: 'mm' },
    radius: { value: ask.radius, unit: 'mm' },
    shift: { value: ask.shift, unit: 'mm' },
    more: { value: 100 * ((1 + ask.shift / ask.radius) ** 3 - 1), unit: '%' },
    distance: { value: ask.distance, unit: 'mm' },
    edgeSpread: { value: ask.edge, unit: 'mm' },
    scale: { value: ask.scale, unit: '%' },
    ends: { value: ends, unit: 'mm' },
    scaled: { value: scaled, unit: 'mm' },
    distanceSpread: { value: Math.hypot(ends, scaled), unit: 'mm' },
    side: { value: ask.side, unit: 'mm' },
    voxelEdge: { value: ask.voxel, unit: 'mm' },
    sd: { value: ask.sd, unit: '1/mm' },
    spread: { value: ask.sigma, unit: 'mm' },
    cell: { value: cell, unit: 'mm³' },
    independent: { value: independent, unit: '' },
    error: { value: ask.sd / Math.sqrt(independent), unit: '1/mm' },
  },
};
