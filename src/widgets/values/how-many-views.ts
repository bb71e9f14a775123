/** Every number of chapter 6, worked out with the library when the book is built. */
import {
  backproject, detailKept, discMask, equalAngles, fbp, filterViews, gaussian, interpolated, parallelBeam, projectPhantom, rmse, viewWeights, viewsNeeded,
} from '../../lib/index.ts';
import type { Image } from '../../lib/index.ts';
import { gridFor, pictureOf, shadowsOf, specimen } from '../specimen/specimen.ts';
import { pixelNoise } from './filtering.ts';

// The object of this chapter: the capsule's slice, with the wall of its vial as the finest thing that matters.
const capsule = specimen('capsule');
const diameter = 72;
const wall = 1.2;
const period = 2 * wall;
const pitch = 0.6;
const fan = 10; // degrees
const cells = diameter / pitch;

/** Out to here a point is free of streaks: N/(π·fmax), with fmax = 1/period. */
const cleanRadius = (views: number, finest: number) => (views * finest) / Math.PI;

// The star around a small bead, lengths in cells. Cells four times finer than the filter's band needs, so that straight-line
// interpolation between them adds nothing; then cells that the band needs in full.
const starViews = 45;
const starRadius = cleanRadius(starViews, 2);
const stars = { fine: starPicture(4), coarse: starPicture(1) };
function starPicture(finer: number) {
  const geometry = parallelBeam({ views: starViews, detectors: 120 * finer + 1, pitch: 1 / finer });
  const bead = projectPhantom([gaussian(0, 0, 0.5, 1)], geometry);
  return fbp(bead, geometry, { window: 'ramp', cutoff: 1 / finer, grid: { width: 321, height: 321, pixelSize: 0.25 } });
}
/** Greatest less least on a circle about the bead, as a percentage of the bead's height. */
function swing(picture: Image, radius: number): number {
  const values = equalAngles(1440, 2 * Math.PI).map((angle) => interpolated(picture, radius * Math.cos(angle), radius * Math.sin(angle)));
  return (100 * (Math.max(...values) - Math.min(...values))) / interpolated(picture, 0, 0);
}

// The capsule from so many views over half a turn.
const grid = gridFor(capsule, 128);
const truth = pictureOf(capsule, grid);
const inside = discMask(grid, 0, 0, capsule.radius);
const beam = (angles: readonly number[]) => parallelBeam({ angles, detectors: 129, pitch: grid.pixelSize });
const error = (picture: Image) => rmse(picture, truth, inside);
function errorFrom(views: number, subject = capsule): number {
  const geometry = beam(equalAngles(views, Math.PI));
  return rmse(fbp(shadowsOf(subject, geometry), geometry, { window: 'ramp', grid }), pictureOf(subject, grid), inside);
}
const springless = { ...capsule, phantom: capsule.phantom!.slice(0, -4) }; // the last four discs are the spring

// A quarter of 180 views lost in three ways.
const total = 180;
const all = equalAngles(total, Math.PI);
const losses = {
  none: () => false,
  every: (view: number) => view % 4 === 2,
  scattered: scattered(total / 4),
  block: (view: number) => view >= 60 && view < 60 + total / 4,
};
/** So many views drawn by lot, always the same. */
function scattered(count: number): (view: number) => boolean {
  let state = 8;
  const lots = all.map((_, view) => ({ view, lot: (state = (state * 48271) % 2147483647) }));
  const drawn = new Set(lots.sort((a, b) => a.lot - b.lot).slice(0, count).map(({ view }) => view));
  return (view) => drawn.has(view);
}
function afterLoss(how: keyof typeof losses) {
  const geometry = beam(all.filter((_, view) => !losses[how](view)));
  const filtered = filterViews(shadowsOf(capsule, geometry), geometry.pitch, { window: 'ramp' });
  const share = viewWeights(geometry);
  const errorWith = (weights: Float64Array) => error(backproject(filtered, geometry, grid, { weights }));
  return { equal: errorWith(share.map(() => Math.PI / share.length)), share: errorWith(share), capped: errorWith(share.map((weight) => Math.min(weight, (3 * Math.PI) / total))) };
}
const lossErrors = { none: afterLoss('none'), every: afterLoss('every'), scattered: afterLoss('scattered'), block: afterLoss('block') };

// Sixty views, two neighbours lost.
const gapViews = 60;
const gapWeights = viewWeights(beam(equalAngles(gapViews, Math.PI).filter((_, view) => view !== 20 && view !== 21)));

const directions = (views: number) => new Set(equalAngles(views, 2 * Math.PI).map((angle) => Math.round((angle % Math.PI) * 1e9) % Math.round(Math.PI * 1e9))).size;
const degrees = (angle: number) => (angle * 180) / Math.PI;

// A fixed exposure, shared among views.
const photons = 9e6;
const p = 2;
const lineNoise = (views: number) => 1 / Math.sqrt((photons / views) * Math.exp(-p));
const fewCounts = 100;

// The exercises: a part with slots; the largest object for a scan; three views lost in a row; a fan.
const part = { diameter: 40, slot: 0.5 };
const scan = { views: 180, pitch: 0.25 };
const run = { views: 90, lost: [30, 31, 32] };
const runWeights = viewWeights(beam(equalAngles(run.views, Math.PI).filter((_, view) => !run.lost.includes(view))));
const wideFan = { diameter: 60, period: 1, angle: 20 }; // degrees
const fanViews = (angle: number) => viewsNeeded({ rule: 'fan', diameter: wideFan.diameter, detail: wideFan.period, fanAngle: (angle * Math.PI) / 180 }).exact;

export const values = {
  diameter: { value: diameter, unit: 'mm' },
  wall: { value: wall, unit: 'mm' },
  period: { value: period, unit: 'mm' },
  pitch: { value: pitch, unit: 'mm' },
  cells: { value: cells, unit: '' },
  fan: { value: fan, unit: '°' },
  starViews: { value: starViews, unit: '' },
  starRadius: { value: starRadius, unit: '' },
  starInner: { value: 90, unit: '%' },
  starInside: { value: swing(stars.fine, 0.9 * starRadius), unit: '%' },
  starOuter: { value: 110, unit: '%' },
  starOutside: { value: swing(stars.fine, 1.1 * starRadius), unit: '%' },
  starCoarse: { value: swing(stars.coarse, 0.9 * starRadius), unit: '%' },
  viewsPeriod: { value: viewsNeeded({ rule: 'period', diameter, detail: period }).views, unit: '' },
  viewsPitch: { value: viewsNeeded({ rule: 'pitch', diameter, pitch }).views, unit: '' },
  viewsPixel: { value: viewsNeeded({ rule: 'one-pixel', diameter, pitch }).views, unit: '' },
  viewsRays: { value: viewsNeeded({ rule: 'rays', rays: cells }).views, unit: '' },
  viewsFan: { value: viewsNeeded({ rule: 'fan', diameter, detail: period, fanAngle: (fan * Math.PI) / 180 }).views, unit: '' },
  period45: { value: detailKept(diameter, 45), unit: 'mm' },
  period90: { value: detailKept(diameter, 90), unit: 'mm' },
  clean45: { value: cleanRadius(45, period), unit: 'mm' },
  clean90: { value: cleanRadius(90, period), unit: 'mm' },
  cells45: { value: (2 * 45) / Math.PI, unit: '' },
  cells90: { value: (2 * 90) / Math.PI, unit: '' },
  cells180: { value: (2 * 180) / Math.PI, unit: '' },
  gridPitch: { value: grid.pixelSize, unit: 'mm' },
  gridViews: { value: viewsNeeded({ rule: 'pitch', diameter, pitch: grid.pixelSize }).views, unit: '' },
  error45: { value: errorFrom(45), unit: '1/mm' },
  springless45: { value: errorFrom(45, springless), unit: '1/mm' },
  error90: { value: errorFrom(90), unit: '1/mm' },
  error180: { value: errorFrom(180), unit: '1/mm' },
  error360: { value: errorFrom(360), unit: '1/mm' },
  directions45: { value: directions(45), unit: '' },
  directions90: { value: directions(90), unit: '' },
  directions44: { value: directions(44), unit: '' },
  gapViews: { value: gapViews, unit: '' },
  gapRegular: { value: degrees(Math.min(...gapWeights)), unit: '°' },
  gapEdge: { value: degrees(Math.max(...gapWeights)), unit: '°' },
  lossGap: { value: degrees((total / 4 + 1) * Math.PI / total), unit: '°' },
  lossTotal: { value: total, unit: '' },
  lossLost: { value: total / 4, unit: '' },
  lossNoneEqual: { value: lossErrors.none.equal, unit: '1/mm' },
  lossNoneShare: { value: lossErrors.none.share, unit: '1/mm' },
  lossNoneCapped: { value: lossErrors.none.capped, unit: '1/mm' },
  lossEveryEqual: { value: lossErrors.every.equal, unit: '1/mm' },
  lossEveryShare: { value: lossErrors.every.share, unit: '1/mm' },
  lossEveryCapped: { value: lossErrors.every.capped, unit: '1/mm' },
  lossScatteredEqual: { value: lossErrors.scattered.equal, unit: '1/mm' },
  lossScatteredShare: { value: lossErrors.scattered.share, unit: '1/mm' },
  lossScatteredCapped: { value: lossErrors.scattered.capped, unit: '1/mm' },
  lossBlockEqual: { value: lossErrors.block.equal, unit: '1/mm' },
  lossBlockShare: { value: lossErrors.block.share, unit: '1/mm' },
  lossBlockCapped: { value: lossErrors.block.capped, unit: '1/mm' },
  photons: { value: photons, unit: '' },
  lineIntegral: { value: p, unit: '' },
  noise45: { value: pixelNoise(lineNoise(45), 45, pitch), unit: '1/mm' },
  noise90: { value: pixelNoise(lineNoise(90), 90, pitch), unit: '1/mm' },
  partDiameter: { value: part.diameter, unit: 'mm' },
  partSlot: { value: part.slot, unit: 'mm' },
  partViews: { value: viewsNeeded({ rule: 'period', diameter: part.diameter, detail: 2 * part.slot }).exact, unit: '' },
  scanViews: { value: scan.views, unit: '' },
  scanPitch: { value: scan.pitch, unit: 'mm' },
  scanLargest: { value: (2 * scan.pitch * scan.views) / Math.PI, unit: 'mm' },
  runViews: { value: run.views, unit: '' },
  runStep: { value: 180 / run.views, unit: '°' },
  runShare: { value: degrees(Math.max(...runWeights)), unit: '°' },
  turnDirections: { value: directions(100), unit: '' },
  fanDiameter: { value: wideFan.diameter, unit: 'mm' },
  fanPeriod: { value: wideFan.period, unit: 'mm' },
  fanAngle: { value: wideFan.angle, unit: '°' },
  fanViews: { value: fanViews(wideFan.angle), unit: '' },
  fanViewsFullAngle: { value: fanViews(2 * wideFan.angle), unit: '' },
  fanViewsNarrow: { value: fanViews(0), unit: '' },
  lineNoiseRatio: { value: lineNoise(90) / lineNoise(45), unit: '' },
  fewCounts: { value: fewCounts, unit: '' },
  fewBias: { value: 1 / (2 * fewCounts), unit: '' },
} satisfies Record<string, { value: number; unit: string }>;
