/** Every number of chapter 7, worked out with the library when the book is built. */
import {
  ball, bestMagnification, coneBeam, coneRay, detectorReach, effectivePixel, fanBeam, fdk, finish, halfFanAngle, leastSourceDistance, magnification, parkerWeight, projectSolids, shortScanTurn, unsharpness,
} from '../../lib/index.ts';
import type { Solid, Steps } from '../../lib/index.ts';
import { discs, stack, type DiscsResult } from '../discs/model.ts';
import { fan, type FanResult, type FanState } from '../fan/model.ts';
import { contrastLeft } from '../penumbra/blur.ts';
import { penumbra } from '../penumbra/model.ts';
import { specimen, type Specimen } from '../specimen/specimen.ts';

const degrees = (angle: number) => (angle * 180) / Math.PI;
const radians = (angle: number) => (angle * Math.PI) / 180;
const enlarged = (sourceToAxis: number, sourceToDetector: number) => magnification(fanBeam({ views: 1, detectors: 1, pitch: 1, sourceToAxis, sourceToDetector }));

// The rig of the text: that of the first plate as it opens.
const rig = penumbra.initial;
const M = enlarged(rig.toObject, rig.toScreen);
const detail = 0.7;

// The worked example: an object of this radius on the same rig, as near the screen as it can turn; then a finer spot.
const object = { radius: 40, room: 5 };
const nearScreen = rig.toScreen - object.radius - object.room;
const fineSpot = 0.1;
const fineMagnification = bestMagnification(rig.pitch, fineSpot);
const fineToObject = rig.toScreen / fineMagnification;
const fine = { sourceToAxis: fineToObject, sourceToDetector: rig.toScreen };

// A least distance of the standards.
const film = { spot: 2, toFilm: 27 };

// The head on the second plate.
const head = specimen('head');
const marked = 60;
function headWith(change: Partial<FanState>): FanResult {
  return fan.compute({ ...fan.initial, ...change }, head) as FanResult;
}
const opened = (opening: number) => {
  const { sourceToAxis, rightError, besideError } = headWith({ opening });
  return {
    opening: { value: opening, unit: '°' },
    distance: { value: sourceToAxis, unit: 'mm' },
    star: { value: marked ** 2 / sourceToAxis, unit: 'mm' },
    rim: { value: 100 * (detectorReach(head.radius, { sourceToAxis, sourceToDetector: sourceToAxis }) / head.radius - 1), unit: '%' },
    right: { value: rightError, unit: '1/mm' },
    parallel: { value: besideError, unit: '1/mm' },
  };
};
const wide = 60;
const opening = fan.initial.opening;

// Parker's weights of a ray seen twice: half fan 15°.
const parker = { delta: 15, beta: 5, gamma: 5 };
const parkerAt = (beta: number, gamma: number) => parkerWeight(radians(beta), radians(gamma), radians(parker.delta));

// A ball in the cone: middle and off the plane of the source.
const D = 100;
const globe = { radius: 10, attenuation: 0.02, off: 6 };
function inBall(z: number): number {
  const pitch = 0.2;
  const distances = { sourceToAxis: D, sourceToDetector: D };
  const screen = coneBeam({ views: 720, detectors: 2 * Math.ceil(detectorReach(globe.radius, distances) / pitch) + 3, rows: 3, pitch, rowOffset: -z, ...distances });
  const solid: Solid = { ...ball([0, 0, 0], globe.radius), attenuation: globe.attenuation };
  return (100 * fdk(projectSolids([solid], screen), screen, { window: 'ramp', grid: { width: 1, height: 1, depth: 1, voxelSize: pitch, centre: [0, 0, z] } }).data[0]) / globe.attenuation;
}
/** cos γ · cos κ of the ray to a cell, from the ray itself: its part along the ray through the axis. */
function weightOf(u: number, v: number): number {
  const screen = coneBeam({ views: 1, detectors: 1, rows: 1, pitch: 1, axisOffset: -u, rowOffset: -v, sourceToAxis: rig.toObject, sourceToDetector: rig.toScreen });
  return -coneRay(screen, 0, 0, 0).direction[1];
}
const corner = { u: 90, v: 60 };

// The stack on the third plate.
const stackAt = (angle: number) => {
  const { sourceToAxis, open, gaps } = finish(discs.compute({ ...discs.initial, angle }, {} as Specimen) as Steps<DiscsResult>);
  const half = gaps.slice(gaps.length / 2).map(({ depth }) => ({ value: 100 * depth, unit: '%' }));
  return { angle: { value: angle, unit: '°' }, distance: { value: sourceToAxis, unit: 'mm' }, open: { value: open, unit: 'mm' }, gap0: half[0], gap1: half[1], gap2: half[2], gap3: half[3] };
};

/** How far from the middle of the stack the gaps of one half lie. */
const gapAt = (k: number) => ({ value: (k + 0.5) * stack.period, unit: 'mm' });

// What every view sees of the height: a screen so tall, the rig's distances, the object of the worked example.
const tall = 200;

// The exercises.
const ask = {
  pitch: { toObject: 250, toScreen: 700, pitch: 0.35 },
  spot: { toObject: 300, toScreen: 480, spot: 1.2 },
  best: { pitch: 0.15, spot: 0.3 },
  wide: { radius: 60, toObject: 200, toScreen: 500 },
  plates: { radius: 15, gap: 0.8, toObject: 300 },
};
const wideDistances = { sourceToAxis: ask.wide.toObject, sourceToDetector: ask.wide.toScreen };

export const values = {
  toObject: { value: rig.toObject, unit: 'mm' },
  toScreen: { value: rig.toScreen, unit: 'mm' },
  spot: { value: rig.spot, unit: 'mm' },
  pitch: { value: rig.pitch, unit: 'mm' },
  magnification: { value: M, unit: '' },
  pitchAtObject: { value: rig.pitch / M, unit: 'mm' },
  unsharp: { value: unsharpness(rig.spot, M), unit: 'mm' },
  unsharpAtObject: { value: unsharpness(rig.spot, M) / M, unit: 'mm' },
  effective: { value: effectivePixel(rig.pitch, rig.spot, M), unit: 'mm' },
  detail: { value: detail, unit: 'mm' },
  detailContrast: { value: 100 * contrastLeft(detail, unsharpness(rig.spot, M) / M, rig.pitch / M), unit: '%' },
  best: { value: bestMagnification(rig.pitch, rig.spot), unit: '' },
  bestEffective: { value: effectivePixel(rig.pitch, rig.spot, bestMagnification(rig.pitch, rig.spot)), unit: 'mm' },
  bestToObject: { value: rig.toScreen / bestMagnification(rig.pitch, rig.spot), unit: 'mm' },
  bestToScreen: { value: rig.toScreen - rig.toScreen / bestMagnification(rig.pitch, rig.spot), unit: 'mm' },
  objectRadius: { value: object.radius, unit: 'mm' },
  room: { value: object.room, unit: 'mm' },
  nearToObject: { value: nearScreen, unit: 'mm' },
  nearMagnification: { value: enlarged(nearScreen, rig.toScreen), unit: '' },
  nearEffective: { value: effectivePixel(rig.pitch, rig.spot, enlarged(nearScreen, rig.toScreen)), unit: 'mm' },
  fineSpot: { value: fineSpot, unit: 'mm' },
  fineBest: { value: fineMagnification, unit: '' },
  fineToObject: { value: fineToObject, unit: 'mm' },
  fineEffective: { value: effectivePixel(rig.pitch, fineSpot, fineMagnification), unit: 'mm' },
  fineHalfFan: { value: degrees(halfFanAngle(object.radius, fineToObject)), unit: '°' },
  fineScreen: { value: 2 * detectorReach(object.radius, fine), unit: 'mm' },
  fineLife: { value: 2 * object.radius * fineMagnification, unit: 'mm' },
  filmSpot: { value: film.spot, unit: 'mm' },
  toFilm: { value: film.toFilm, unit: 'mm' },
  filmA: { value: leastSourceDistance(film.spot, film.toFilm, 'A'), unit: 'mm' },
  filmB: { value: leastSourceDistance(film.spot, film.toFilm, 'B'), unit: 'mm' },
  marked: { value: marked, unit: 'mm' },
  headRadius: { value: head.radius, unit: 'mm' },
  fan10: opened(10),
  fan20: opened(20),
  fan40: opened(40),
  fan60: opened(wide),
  withoutDistance: { value: headWith({ opening: wide, beside: 'distance' }).besideError, unit: '1/mm' },
  withoutCosine: { value: headWith({ opening: wide, beside: 'cosine' }).besideError, unit: '1/mm' },
  shortTurn: { value: degrees(headWith({ opening }).needed), unit: '°' },
  shortError: { value: headWith({ opening, turn: 'short' }).rightError, unit: '1/mm' },
  shortViews: { value: headWith({ opening, turn: 'short' }).views, unit: '' },
  wholeViews: { value: headWith({ opening }).views, unit: '' },
  shareError: { value: headWith({ opening, turn: 'short', beside: 'share' }).besideError, unit: '1/mm' },
  halfError: { value: headWith({ opening, turn: 'half' }).rightError, unit: '1/mm' },
  parkerDelta: { value: parker.delta, unit: '°' },
  parkerBeta: { value: parker.beta, unit: '°' },
  parkerGamma: { value: parker.gamma, unit: '°' },
  parkerOtherBeta: { value: parker.beta + 180 + 2 * parker.gamma, unit: '°' },
  parkerFirst: { value: parkerAt(parker.beta, parker.gamma), unit: '' },
  parkerSecond: { value: parkerAt(parker.beta + 180 + 2 * parker.gamma, -parker.gamma), unit: '' },
  cornerU: { value: corner.u, unit: 'mm' },
  cornerV: { value: corner.v, unit: 'mm' },
  cornerWeight: { value: weightOf(corner.u, corner.v), unit: '' },
  ballRadius: { value: globe.radius, unit: 'mm' },
  ballDistance: { value: D, unit: 'mm' },
  ballMiddle: { value: inBall(0), unit: '%' },
  ballOff: { value: globe.off, unit: 'mm' },
  ballThere: { value: inBall(globe.off), unit: '%' },
  discs: { value: stack.discs, unit: '' },
  discDiameter: { value: 2 * stack.radius, unit: 'mm' },
  gap: { value: discs.initial.gap, unit: 'mm' },
  gapAt: { first: gapAt(0), second: gapAt(1), third: gapAt(2), fourth: gapAt(3) },
  stack2: stackAt(2),
  stack4: stackAt(4),
  stack8: stackAt(8),
  stack15: stackAt(15),
  tall: { value: tall, unit: 'mm' },
  tallSeen: { value: (tall / M) * (1 - object.radius / rig.toObject), unit: 'mm' },
  ask: {
    pitchToObject: { value: ask.pitch.toObject, unit: 'mm' },
    pitchToScreen: { value: ask.pitch.toScreen, unit: 'mm' },
    pitch: { value: ask.pitch.pitch, unit: 'mm' },
    pitchThere: { value: ask.pitch.pitch / enlarged(ask.pitch.toObject, ask.pitch.toScreen), unit: 'mm' },
    spotToObject: { value: ask.spot.toObject, unit: 'mm' },
    spotToScreen: { value: ask.spot.toScreen, unit: 'mm' },
    spot: { value: ask.spot.spot, unit: 'mm' },
    spotMagnification: { value: enlarged(ask.spot.toObject, ask.spot.toScreen), unit: '' },
    spotUnsharp: { value: unsharpness(ask.spot.spot, enlarged(ask.spot.toObject, ask.spot.toScreen)), unit: 'mm' },
    spotUnsharpThere: { value: unsharpness(ask.spot.spot, enlarged(ask.spot.toObject, ask.spot.toScreen)) / enlarged(ask.spot.toObject, ask.spot.toScreen), unit: 'mm' },
    bestPitch: { value: ask.best.pitch, unit: 'mm' },
    bestSpot: { value: ask.best.spot, unit: 'mm' },
    best: { value: bestMagnification(ask.best.pitch, ask.best.spot), unit: '' },
    bestSwapped: { value: bestMagnification(ask.best.spot, ask.best.pitch), unit: '' },
    bestEffective: { value: effectivePixel(ask.best.pitch, ask.best.spot, bestMagnification(ask.best.pitch, ask.best.spot)), unit: 'mm' },
    wideRadius: { value: ask.wide.radius, unit: 'mm' },
    wideToObject: { value: ask.wide.toObject, unit: 'mm' },
    wideToScreen: { value: ask.wide.toScreen, unit: 'mm' },
    wideScreen: { value: 2 * detectorReach(ask.wide.radius, wideDistances), unit: 'mm' },
    wideHalfFan: { value: degrees(halfFanAngle(ask.wide.radius, ask.wide.toObject)), unit: '°' },
    wideTurn: { value: degrees(shortScanTurn(halfFanAngle(ask.wide.radius, ask.wide.toObject))), unit: '°' },
    platesRadius: { value: ask.plates.radius, unit: 'mm' },
    platesGap: { value: ask.plates.gap, unit: 'mm' },
    platesToObject: { value: ask.plates.toObject, unit: 'mm' },
    platesOpen: { value: (ask.plates.gap * ask.plates.toObject) / (2 * ask.plates.radius), unit: 'mm' },
  },
};
