/** Every number of chapter 8, worked out with the library when the book is built. */
import {
  disc, discMask, equalAngles, fbp, findAxis, gaussian, hardeningCurve, interpolated, linearAttenuation, parallelBeam, profile, projectPhantom, rmse, straightened,
} from '../../lib/index.ts';
import type { Image, ParallelBeam, Phantom, Sinogram } from '../../lib/index.ts';
import { openScreen } from '../faults/bench.ts';
import { curveLeft, darkColumns, hardened, movedAt, narrowed, seenOffset, spectrumAround, tiltedBeam, veiled, wobbleAt, withoutViews } from '../faults/simulate.ts';
import { steadied } from '../faults/track.ts';
import { gridFor, shadowsOf, specimen, type Specimen } from '../specimen/specimen.ts';

const water = linearAttenuation('water', 60);
const head = specimen('head');
const capsule = specimen('capsule');
const degrees = (angle: number) => (angle * 180) / Math.PI;
const turn = 2 * Math.PI;

// The bench: the head on 128² pixels from 45 views of a whole turn, as on the plate; what each fault alone changes.
const grid = gridFor(head);
const cell = grid.pixelSize;
const beam = parallelBeam({ views: 45, turn, detectors: 145, pitch: cell });
const inside = discMask(grid, 0, 0, 0.98 * head.radius);
const slice = (sinogram: Sinogram, as: ParallelBeam = beam) => fbp(sinogram, as, { window: 'ramp', grid });
const clean = shadowsOf(head, beam);
const good = slice(clean);
const changed = (sinogram: Sinogram, as?: ParallelBeam) => (100 * rmse(slice(sinogram, as), good, inside)) / brain;
/** The head's most common attenuation, 1/mm: what the changes are told as shares of. */
const brain = interpolated(good, 0, 60);
const axisOff = (cells: number) => changed(shadowsOf(head, { ...beam, axisOffset: cells * cell }));

// A small bead off the axis, 180 views of a whole turn, cells of 1 mm: how high its picture is with the axis off by so much.
const fine = parallelBeam({ views: 180, turn, detectors: 101, pitch: 1 });
const bead = [gaussian(20, 5, 1, 1)];
function beadPicture(cells: number): Image {
  return fbp(projectPhantom(bead, { ...fine, axisOffset: cells }), fine, { window: 'ramp', grid: { width: 81, height: 81, pixelSize: 0.25, centre: [20, 5] } });
}
const beadHeight = (cells: number) => (100 * interpolated(beadPicture(cells), 20, 5)) / interpolated(beadPicture(0), 20, 5);
/** How far from the middle the picture is highest. */
function ringRadius(cells: number): number {
  const { distance, value } = profile(beadPicture(cells), [20, 5], [29, 5], 361);
  return distance[value.indexOf(Math.max(...value))];
}
const ringOffset = 4;

// Finding the axis of the capsule again, and the tilt of a screen.
const capsuleCell = gridFor(capsule).pixelSize;
const capsuleBeam = parallelBeam({ views: 45, turn, detectors: 145, pitch: capsuleCell });
const hidden = 2.3;
const found = findAxis(shadowsOf(capsule, { ...capsuleBeam, axisOffset: hidden * capsuleCell }), capsuleBeam).axisOffset / capsuleCell;
const tilt = 1;
const tiltRows = 100;
const lean = (row: number) => tiltedBeam(parallelBeam({ views: 1, detectors: 1, pitch: 1 }), (tilt * Math.PI) / 180, row).axisOffset / Math.cos((tilt * Math.PI) / 180);

// A stage that wobbles once a turn does no harm: the object stands elsewhere.
const wobble = 3;
const onceATurn = seenOffset(head, beam, (angle) => wobble * cell * Math.sin(angle));
const displaced: Specimen = { ...head, phantom: head.phantom!.map((shape) => ({ ...shape, y: shape.y + wobble * cell })) };
const wobbleHarm = (100 * rmse(slice(onceATurn), slice(shadowsOf(displaced, beam)), inside)) / brain;
const threeTimes = seenOffset(head, beam, (angle) => wobbleAt(angle, cell));

// One frame of 45 lost in the middle; what lies 30 mm from the axis.
const step = 360 / 45;
const lostRadius = 30;
const apart = (radius: number, angle: number) => 2 * radius * Math.sin((angle * Math.PI) / 360);
const kept = equalAngles(45, turn).map((_, view) => view).filter((view) => view !== 22);
const lostOne = withoutViews(clean, kept);

// One cell too dark: on the axis, and aside of it.
const columnPitch = 0.5;
const darker = 1;
const columnBeam = parallelBeam({ views: 360, turn, detectors: 161, pitch: columnPitch });
const darkAt = (place: number) => fbp(darkColumns({ views: 360, detectors: 161, data: new Float32Array(360 * 161) }, [80 + place], darker / 100), columnBeam, { window: 'ramp', grid: { width: 161, height: 161, pixelSize: columnPitch } });
const offset = -Math.log(1 - darker / 100);
const ringPlace = 40;
const spike = (share: number, pitch: number) => (Math.PI * -Math.log(1 - share)) / (4 * pitch);

// An even disc of water or aluminium: what a fault makes of its middle and of a place near its rim, as shares of the truth.
function disced(phantom: Phantom, radius: number, fault: (sinogram: Sinogram) => Sinogram, mu: number) {
  const evenBeam = parallelBeam({ views: 90, detectors: 145, pitch: radius / 60 });
  const seen = fault(projectPhantom(phantom, evenBeam));
  const picture = fbp(seen, { ...evenBeam, detectors: seen.detectors }, { window: 'ramp', grid: { width: 129, height: 129, pixelSize: radius / 60 } });
  const around = (r: number) => equalAngles(180, turn).reduce((sum, angle) => sum + interpolated(picture, r * Math.cos(angle), r * Math.sin(angle)), 0) / 180;
  return { middle: (100 * around(0)) / mu, at: (share: number) => (100 * around(share * radius)) / mu };
}
const waterDisc = 50;
const curved = disced([disc(0, 0, waterDisc, water)], waterDisc, (sinogram) => curveLeft(sinogram, 1, openScreen), water);
const aluminium = linearAttenuation('aluminium', 60);
const aluminiumDisc = 15;
const spread = 40;
const aluminiumPhantom = [disc(0, 0, aluminiumDisc, aluminium)];
const hardDisc = disced(aluminiumPhantom, aluminiumDisc, (sinogram) => hardened(sinogram, spread), aluminium);
function straightenedFor(material: 'aluminium' | 'water') {
  const curve = hardeningCurve({ spectrum: spectrumAround(spread), material, energy: 60, longest: 3 });
  return disced(aluminiumPhantom, aluminiumDisc, (sinogram) => {
    const seen = hardened(sinogram, spread);
    return { ...seen, data: seen.data.map((p) => straightened(p, curve)) };
  }, aluminium);
}
const glareShare = 10;
const glared = disced([disc(0, 0, waterDisc, water)], waterDisc, (sinogram) => veiled(sinogram, glareShare / 100), water);
const cutShare = 30;
// 60 cells are a radius: the screen sees 70 % of it.
const cut = disced([disc(0, 0, waterDisc, water)], waterDisc, (sinogram) => narrowed(sinogram, 72 - (60 * (100 - cutShare)) / 100), water);

// An exposure that is off by the same in every view adds an even line integral.
const drift = 10;
const driftIntegral = -Math.log(1 - drift / 100);
const driftRadius = 40;
const driftBeam = parallelBeam({ views: 90, detectors: 2 * driftRadius + 1, pitch: 1 });
const driftMiddle = interpolated(fbp({ views: 90, detectors: driftBeam.detectors, data: new Float32Array(90 * driftBeam.detectors).fill(driftIntegral) }, driftBeam, { window: 'ramp', grid: { width: 3, height: 3, pixelSize: 1 } }), 0, 0);

// The exercises.
const bead0 = 70.3;
const bead180 = 62.1;
const cells = 129;
const middle = (cells - 1) / 2;
const exPitch = 0.2;
const leanHigh = 3;
const leanLow = -1.2;
const leanRows = 100;
const lostRun = { frames: 90, lost: 3, radius: 25 };
const dark = { share: 3, pitch: 0.4 };
const veil = { share: 8, light: 0.7, p: 3 };
const seenThrough = (scattered: number) => -Math.log((1 - veil.share / 100) * Math.exp(-veil.p) + scattered);
const throughVeil = seenThrough((veil.share / 100) * veil.light);

export const values = {
  axisHalf: { value: axisOff(0.5), unit: '%' },
  axisOne: { value: axisOff(1), unit: '%' },
  axisTwo: { value: axisOff(2), unit: '%' },
  beadHalf: { value: beadHeight(0.5), unit: '%' },
  beadOne: { value: beadHeight(1), unit: '%' },
  ringOffset: { value: ringOffset, unit: '' },
  ringRadius: { value: ringRadius(ringOffset), unit: '' },
  hidden: { value: hidden, unit: '' },
  found: { value: found, unit: '' },
  tilt: { value: tilt, unit: '°' },
  tiltRows: { value: tiltRows, unit: '' },
  tiltOffset: { value: lean(tiltRows), unit: '' },
  tiltAllowed: { value: degrees(Math.atan(0.5 / tiltRows)), unit: '°' },
  wobble: { value: wobble, unit: '' },
  wobbleHarm: { value: wobbleHarm, unit: '%' },
  wobbleThree: { value: changed(threeTimes), unit: '%' },
  wobbleCured: { value: changed(steadied(threeTimes, beam)), unit: '%' },
  views: { value: beam.angles.length, unit: '' },
  lostStep: { value: step, unit: '°' },
  lostRadius: { value: lostRadius, unit: 'mm' },
  lostApart: { value: apart(lostRadius, step), unit: 'mm' },
  lostOne: { value: changed(lostOne, { ...beam, angles: beam.angles.slice(0, 44) }), unit: '%' },
  lostKnown: { value: changed(lostOne, { ...beam, angles: kept.map((view) => beam.angles[view]) }), unit: '%' },
  moved: { value: changed(seenOffset(head, beam, (angle, view) => (view < 22 ? 0 : movedAt(angle, cell)))), unit: '%' },
  columnPitch: { value: columnPitch, unit: 'mm' },
  darker: { value: darker, unit: '%' },
  offset: { value: offset, unit: '' },
  spikeFormula: { value: spike(darker / 100, columnPitch), unit: '1/mm' },
  spike: { value: interpolated(darkAt(0), 0, 0), unit: '1/mm' },
  ringPlace: { value: ringPlace * columnPitch, unit: 'mm' },
  ring: { value: ringHeight(darkAt(ringPlace)), unit: '1/mm' },
  water: { value: water, unit: '1/mm' },
  waterDisc: { value: 2 * waterDisc, unit: 'mm' },
  curveMiddle: { value: curved.middle, unit: '%' },
  curveRim: { value: curved.at(0.9), unit: '%' },
  aluminiumDisc: { value: 2 * aluminiumDisc, unit: 'mm' },
  energyLow: { value: 60 - spread, unit: 'keV' },
  energyHigh: { value: 60 + spread, unit: 'keV' },
  hardMiddle: { value: hardDisc.middle, unit: '%' },
  hardRim: { value: hardDisc.at(0.9), unit: '%' },
  straightMiddle: { value: straightenedFor('aluminium').middle, unit: '%' },
  straightWater: { value: straightenedFor('water').middle, unit: '%' },
  straightWaterRim: { value: straightenedFor('water').at(0.9), unit: '%' },
  glareShare: { value: glareShare, unit: '%' },
  glareMiddle: { value: glared.middle, unit: '%' },
  glareRim: { value: glared.at(0.9), unit: '%' },
  cutSeen: { value: 100 - cutShare, unit: '%' },
  cutMiddle: { value: cut.middle, unit: '%' },
  cutRim: { value: cut.at(0.98 * (1 - cutShare / 100)), unit: '%' },
  drift: { value: drift, unit: '%' },
  driftIntegral: { value: driftIntegral, unit: '' },
  driftWidth: { value: 2 * driftRadius, unit: 'mm' },
  driftMiddle: { value: driftMiddle, unit: '1/mm' },
  driftShare: { value: (100 * driftMiddle) / water, unit: '%' },
  bead0: { value: bead0, unit: '' },
  bead180: { value: bead180, unit: '' },
  cells: { value: cells, unit: '' },
  exPitch: { value: exPitch, unit: 'mm' },
  exOffset: { value: ((bead0 + bead180) / 2 - middle) * exPitch, unit: 'mm' },
  leanHigh: { value: leanHigh, unit: '' },
  leanLow: { value: leanLow, unit: '' },
  leanRows: { value: leanRows, unit: '' },
  leanAngle: { value: degrees(Math.atan((leanHigh - leanLow) / (2 * leanRows))), unit: '°' },
  runFrames: { value: lostRun.frames, unit: '' },
  runLost: { value: lostRun.lost, unit: '' },
  runRadius: { value: lostRun.radius, unit: 'mm' },
  runApart: { value: apart(lostRun.radius, (lostRun.lost * 360) / lostRun.frames), unit: 'mm' },
  darkShare: { value: dark.share, unit: '%' },
  darkPitch: { value: dark.pitch, unit: 'mm' },
  darkSpike: { value: spike(dark.share / 100, dark.pitch), unit: '1/mm' },
  veilShare: { value: veil.share, unit: '%' },
  veilLight: { value: veil.light, unit: '' },
  veilThick: { value: veil.p, unit: '' },
  veilSeen: { value: throughVeil, unit: '' },
  veilFull: { value: seenThrough(veil.share / 100), unit: '' },
} satisfies Record<string, { value: number; unit: string }>;

/** The highest value on a ring's own radius, mean once round. */
function ringHeight(picture: Image): number {
  const r = ringPlace * columnPitch;
  return equalAngles(360, turn).reduce((sum, angle) => sum + interpolated(picture, r * Math.cos(angle), r * Math.sin(angle)), 0) / 360;
}
