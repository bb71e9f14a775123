/** Every number of chapter 12, worked out with the library from one plan, datasets/capsule/plan.json, when the book is built. */
import {
  bestMagnification, blurBudget, contrastPerNoise, derivePlan, detailKept, enoughFor, evenViews, halfFanAngle, largestMagnification, planHeat, quantumChain, readPlan, runSheet, stageTable, stepAccuracy, tubeSpectrum, viewsByRule, viewsNeeded, xrayPlan,
} from '../../lib/index.ts';
import type { DeriveOptions, XrayPlan } from '../../lib/index.ts';
import planFile from '../../../datasets/capsule/plan.json' with { type: 'json' };

const degrees = (angle: number) => (angle * 180) / Math.PI;
const mm = (value: number) => ({ value, unit: 'mm' });
const angle = (value: number) => ({ value, unit: '°' });
const percent = (share: number) => ({ value: 100 * share, unit: '%' });
const number = (value: number) => ({ value, unit: '' });
const seconds = (value: number) => ({ value, unit: 's' });
const minutes = (value: number) => ({ value: value / 60, unit: 'min' });
const mu = (value: number) => ({ value, unit: '1/mm' });
/** µSv in a unit that needs no power of ten. */
const dose = (microSievert: number) => (microSievert < 0.1 ? { value: 1000 * microSievert, unit: 'nSv' } : { value: microSievert, unit: 'µSv' });

const plan = xrayPlan(readPlan(JSON.stringify(planFile)));
const { tube, distances, camera, exposure, screen, views } = plan;
const stage = plan.stage!;

/** A figure that the library derives from a plan; a part of it where it is named. */
function figure(of: XrayPlan, key: string, options: DeriveOptions = {}, part?: string): number {
  const found = derivePlan(of, options).find((each) => each.key === key);
  const value = part === undefined ? found?.value : found?.parts?.[part];
  if (value === undefined) throw new Error(`The plan of chapter 12 has no figure “${key}”${part === undefined ? '' : ` with a part “${part}”`}.`);
  return value;
}

// The object, and what must be seen of it: the wall of the vial, and the wooden bead.
const object = { radius: 29.8, height: 72, wall: 1.2 };
const diameter = 2 * object.radius;
const rose = 5;

// Magnification and blur.
const M = distances.sourceToDetector / distances.sourceToAxis;
const step = (2 * Math.PI) / views.count;
const blurAt = (magnification: number, width = screen.blur!) => blurBudget({ magnification, pitch: camera.pitch, spot: tube.focalSpot, screen: width, radius: object.radius, step });
const blur = blurAt(M);
const field = { width: camera.columns * camera.pitch, height: camera.rows * camera.pitch };
const nearest = largestMagnification(object, field, distances.sourceToDetector);
const fine = { coating: 20 };
// As wide as it is thick, so a third as wide as the plan's own.
const sharp = blurAt(M, (screen.blur! * fine.coating) / screen.coating);
const cell = camera.pitch / M;

// Views.
const rules = viewsByRule({ diameter, pitch: cell, fanAngle: 2 * halfFanAngle(object.radius, distances.sourceToAxis) });
const forWall = viewsNeeded({ diameter, detail: 2 * object.wall });
const kept = detailKept(diameter, views.count);
/** An odd number, which has as many directions as views. */
const enoughViews = forWall.views + (1 - (forWall.views % 2));

// Light and noise: the plan as it stands, with another window, with pixels put together, with more frames, and with enough views.
const bin = 2;
const withViews: XrayPlan = { ...plan, views: { ...views, count: enoughViews } };
const hann: DeriveOptions = { filter: { window: 'hann' } };
const noiseOf = (of: XrayPlan, options: DeriveOptions = {}) => ({
  noise: mu(figure(of, 'sliceNoise', options)), width: mm(figure(of, 'resolution', options)),
  bead: number(figure(of, 'cnr.bead', options)), shell: number(figure(of, 'cnr.shell', options)), vial: number(figure(of, 'cnr.vial', options)),
});
const frames = Math.ceil((rose / figure(plan, 'cnr.bead')) ** 2);
const withFrames: XrayPlan = { ...plan, exposure: { ...exposure, frames } };
const light = figure(plan, 'transmission');
const coated = (coating: number) => {
  const { stages } = quantumChain({
    spectrum: tubeSpectrum({ anode: tube.anode, kVp: tube.kVp, filters: plan.filters ?? [], binWidth: 1 }), mAs: tube.mA * exposure.seconds, sourceToScreen: distances.sourceToDetector, screen: { coating },
    camera: { pixel: 0.04, patch: camera.pitch, fNumber: camera.fNumber, quantumEfficiency: camera.quantumEfficiency, readNoise: camera.readNoise, fullWell: camera.fullWell, bits: camera.bits },
  });
  return stages[1].quanta / stages[0].quanta; // what the camera is does not matter here
};
/** The exposure, s, with which the bead stands out just enough from the enough views, cells of `bin` pixels. */
function enoughSeconds(): number {
  let [low, high] = [1e-3, exposure.seconds];
  for (let k = 0; k < 20; k++) {
    const middle = Math.sqrt(low * high);
    if (figure({ ...withViews, exposure: { seconds: middle } }, 'cnr.bead', { bin }) < rose) low = middle;
    else high = middle;
  }
  return high;
}
const enough = enoughSeconds();
// The same wish, answered by trying: of a grid of plans the one that takes the least time.
const tried = enoughFor({ detail: object.wall, contrast: { material: 'wood' }, cnr: rose }, plan);
if (!tried.enough) throw new Error(`The text of chapter 12 says that a wall and a bead can be seen, and the library says: ${tried.sentence}`);

// Heat, steps, time, dose.
const heat = planHeat(plan)!;
const positions = stageTable(stage, views.count);
const microsteps = positions.end;
const even = evenViews(stage, views.count);
const equalStep = Math.round(positions.perView);
const offRim = object.radius * Math.abs(positions.offByEqualSteps);

/** Where the time of a run goes, s. */
function spent(change: { readonly count?: number; readonly mA?: number }) {
  const changed: XrayPlan = { ...plan, views: { ...views, count: change.count ?? views.count }, tube: { ...tube, mA: change.mA ?? tube.mA } };
  const sheet = runSheet(changed);
  const { times, frames } = sheet;
  const dark = frames.filter(({ kind }) => kind === 'dark').length * (times.seconds + times.saving + 2 * times.lead);
  const handling = 2 * times.handling + 3 * times.warning;
  const turning = changed.views.count * times.settle + microsteps * times.stepTime;
  const resting = sheet.total - sheet.beamOn - dark - handling - turning;
  return { sheet, parts: { beam: sheet.beamOn, resting, turning, dark, handling }, count: changed.views.count, mA: changed.tube.mA };
}
const strong = 0.5, most = 180;
export const runs = { planned: spent({}), more: spent({ count: most }), hotter: spent({ count: most, mA: strong }) };
const runValues = ({ sheet, parts, count, mA }: ReturnType<typeof spent>) => ({
  views: number(count), mA: { value: mA, unit: 'mA' }, total: minutes(sheet.total), beam: seconds(parts.beam), resting: minutes(parts.resting), rest: seconds(sheet.times.rest), turning: seconds(parts.turning), handling: minutes(parts.handling),
});
const inScan = (part: string) => figure(plan, 'dosePerScan', {}, part);
const { sheet } = runs.planned;
const upset = 20;
const upsetFrame = sheet.frames.find(({ kind, number: each }) => kind === 'view' && each === upset)!;

// Exercises
const ask = { pitch: 0.25, screen: 0.35, spot: 0.4, diameter: 80, wall: 1, views: 60, noise: 0.012, allowed: 0.002, seconds: 2, fullSteps: 200, microsteps: 16, frame: 33, frameViews: 90 };
const askStage = { fullSteps: ask.fullSteps, microsteps: ask.microsteps };
const askTable = stageTable(askStage, ask.views);
const askFrames = stageTable(askStage, ask.frameViews);

export const values = {
  diameter: mm(diameter), height: mm(object.height), wall: mm(object.wall), period: mm(2 * object.wall), rose: number(rose),

  toAxis: mm(distances.sourceToAxis), toScreen: mm(distances.sourceToDetector), magnification: number(M), pitch: mm(camera.pitch), cell: mm(cell), spot: mm(tube.focalSpot), screenBlur: mm(screen.blur!),
  spotPart: mm(blur.parts.spot), cellPart: mm(blur.parts.pitch), screenPart: mm(blur.parts.screen), blur: mm(blur.total), 
  best: number(blur.bestMagnification), bestBlur: mm(blurAt(blur.bestMagnification).total),
  fieldHeight: mm(field.height), nearest: number(nearest.magnification),
  coating: { value: screen.coating, unit: 'mg/cm²' }, fineCoating: { value: fine.coating, unit: 'mg/cm²' }, fineBlur: mm(sharp.total),
  stopped: percent(coated(screen.coating)), fineStopped: percent(coated(fine.coating)),

  views: number(views.count), step: angle(degrees(step)), kept: mm(kept), keptTimes: number(kept / blur.total), forPitch: number(rules[0].views), forFan: number(rules[2].views), enoughViews: number(enoughViews), wholeViews: number(Math.ceil(2 * forWall.exact)), enoughStep: angle(360 / enoughViews), 

  kVp: { value: tube.kVp, unit: 'kV' }, mA: { value: tube.mA, unit: 'mA' }, seconds: seconds(exposure.seconds), filter: mm(plan.filters![0].thickness),
  absorbed: number(figure(plan, 'openXrays')), electrons: number(figure(plan, 'openElectrons')), full: percent(figure(plan, 'openElectrons') / camera.fullWell),
  light: percent(light), integral: number(-Math.log(light)), bestLight: percent(Math.exp(-2)), ofBest: percent(contrastPerNoise(-Math.log(light)) / contrastPerNoise(2)), lineNoise: number(figure(plan, 'lineNoise')),
  beadContrast: mu(figure(plan, 'cnr.bead') * figure(plan, 'sliceNoise')),
  asPlanned: noiseOf(plan), windowed: noiseOf(plan, hann), binned: noiseOf(plan, { bin }), longer: noiseOf(withFrames), better: noiseOf(withViews, { bin }),
  bin: number(bin), frames: number(frames), binCell: mm(bin * cell), enoughSeconds: seconds(enough), enoughBeam: seconds(enough * enoughViews), plannedBeam: seconds(exposure.seconds * views.count),

  tried: { views: number(tried.views), seconds: seconds(tried.seconds), bin: number(tried.bin), magnification: number(tried.magnification), beam: seconds(tried.views * tried.frames * tried.seconds), width: mm(tried.resolution), clear: number(tried.cnr) },

  power: { value: tube.kVp * tube.mA, unit: 'W' }, energy: { value: heat.energy, unit: 'J' }, peak: { value: heat.peak, unit: 'J' }, limit: { value: tube.heatLimit!, unit: 'J' }, peakShare: percent(heat.share), rest: seconds(heat.rest),
  microsteps: number(microsteps), perView: number(positions.perView), first: number(positions.rows[1].position), second: number(positions.rows[2].position), third: number(positions.rows[5].position), fourth: number(positions.rows[9].position), worst: angle(degrees(positions.worst)), worstRim: mm(object.radius * positions.worst), microstep: angle(degrees(positions.microstep)),
  equalStep: number(equalStep), equalShort: number(microsteps - equalStep * views.count), equalOff: angle(degrees(Math.abs(positions.offByEqualSteps))), equalRim: mm(offRim), below: number(even.below!), above: number(even.above!), between: number(64), motor: angle(degrees(stepAccuracy(stage))),

  planned: runValues(runs.planned), more: runValues(runs.more), hotter: runValues(runs.hotter),

  scan: { low: dose(inScan('low')), likely: dose(inScan('likely')), high: dose(inScan('high')), spread: number(inScan('high') / inScan('low')) },
  year: { likely: dose(figure(plan, 'dosePerYear', {}, 'likely')), high: dose(figure(plan, 'dosePerYear', {}, 'high')) }, openBeam: dose(figure(plan, 'doseInBeam', {}, 'high')),
  room: { value: plan.room!.distance / 1000, unit: 'm' }, lead: mm(plan.room!.barrier!.thickness), scans: number(plan.room!.scansPerYear!), trials: { value: plan.room!.minutes!, unit: 'min' },

  upset: number(upset), upsetPosition: number(upsetFrame.position!), upsetAngle: angle(upsetFrame.angle!), upsetWrong: number((upset - 1) * equalStep),

  ask: {
    pitch: mm(ask.pitch), screen: mm(ask.screen), spot: mm(ask.spot), best: number(bestMagnification(Math.hypot(ask.pitch, ask.screen), ask.spot)), bestCell: number(bestMagnification(ask.pitch, ask.spot)), bestSum: number(bestMagnification(ask.pitch + ask.screen, ask.spot)),
    diameter: mm(ask.diameter), wall: mm(ask.wall), needed: number(viewsNeeded({ diameter: ask.diameter, detail: 2 * ask.wall }).exact), neededWall: number(viewsNeeded({ diameter: ask.diameter, detail: ask.wall }).exact),
    views: number(ask.views), equal: number(Math.round(askTable.perView)), short: angle(degrees(Math.abs(askTable.offByEqualSteps))), worst: angle(degrees(askTable.worst)), perStep: angle(degrees(askTable.microstep) * Math.abs(askTable.perView - Math.round(askTable.perView))), inTurn: number(askTable.end),
    noise: mu(ask.noise), allowed: mu(ask.allowed), seconds: seconds(ask.seconds), binned: mu(ask.noise / 4), longer: seconds(ask.seconds * (ask.noise / 4 / ask.allowed) ** 2), unbinned: seconds(ask.seconds * (ask.noise / ask.allowed) ** 2),
    frame: number(ask.frame), frameViews: number(ask.frameViews), position: number(askFrames.rows[ask.frame - 1].position), positionNext: number(askFrames.rows[ask.frame].position), framePerView: number(askFrames.perView),
  },
};
