/** Every number of chapter 9, worked out with the library when the book is built. */
import {
  archerThickness, archerTransmission, contrastPerNoise, countNoise, dutyCycle, exposureEnergy, filtered, halfValueLayers, halfValueRows, halfValuesInTenth, heatUnitFactor, heatUnits, inverseSquare,
  lensCoupling, lineIntegralNoise, linearAttenuation, quantumChain, reconstructionNoise, restNeeded, screenLight, transmission, transmissionAllowed, tubeSpectrum,
} from '../../lib/index.ts';
import type { Layer } from '../../lib/index.ts';
import { barrier, dose, marks, toObject, type BarrierResult, type BarrierState } from '../barrier/model.ts';
import type { Specimen } from '../frame/definition.ts';
import { photons, type PhotonsResult, type PhotonsState } from '../photons/model.ts';
import { rests, type RestsResult, type RestsState } from '../rests/model.ts';
import { spectrum, type SpectrumResult, type SpectrumState } from '../spectrum/model.ts';

const none = {} as Specimen;
const beam = (change: Partial<SpectrumState> = {}) => spectrum.compute({ ...spectrum.initial, ...change }, none) as SpectrumResult;
const patch = (change: Partial<PhotonsState> = {}) => photons.compute({ ...photons.initial, ...change }, none) as PhotonsResult;
const wall = (change: Partial<BarrierState> = {}) => barrier.compute({ ...barrier.initial, ...change }, none) as BarrierResult;
const scan = (change: Partial<RestsState> = {}) => rests.compute({ ...rests.initial, ...change }, none) as RestsResult;
const mm = (value: number) => ({ value, unit: 'mm' });
const percent = (share: number) => ({ value: 100 * share, unit: '%' });
const number = (value: number) => ({ value, unit: '' });

// The beam of the first plate as it opens, and with more filter.
const { before, after } = beam().readings;
const copper = 0.5;
const hard = beam({ filter: 'copper', thickness: copper }).readings.after;
const aluminium = (thickness: number): Layer => ({ material: 'aluminium', thickness });
const plain = tubeSpectrum({ kVp: spectrum.initial.kVp, filters: [{ material: 'borosilicate', thickness: 1.5 }, { material: 'air', thickness: 1000 }], binWidth: 1 });
const filter = filtered(plain, [aluminium(spectrum.initial.thickness)]);
const threeLayers = transmission(filter, [aluminium(3 * after.first)], 'air kerma');

// The chain of the second plate as it opens.
const shot = photons.initial;
const { chain } = patch();
const stage = (result: PhotonsResult, k: number) => result.chain.stages[k].quanta;
const absorbed = chain.stages[1].quanta;
const lenses = Object.fromEntries(([['fast', 0.95], ['open', 1.8], ['middle', 4], ['small', 8]] as const).map(([name, fNumber]) => {
  const each = patch({ fNumber });
  return [name, { lens: number(fNumber), electrons: number(stage(each, 4)), gain: number(stage(each, 4) / stage(each, 1)), noise: percent(each.chain.relativeNoise), xrays: percent(each.parts.xrays / each.chain.deviation ** 2) }];
})) as Record<'fast' | 'open' | 'middle' | 'small', Record<'lens' | 'electrons' | 'gain' | 'noise' | 'xrays', { value: number; unit: string }>>;
const photonEnergy = 50; // keV

// Choosing: contrast for each photon, and where a tenth of it is lost.
const best = 2;
const ninety = (from: number, to: number) => {
  let [low, high] = [from, to];
  for (let k = 0; k < 60; k++) {
    const middle = (low + high) / 2;
    if (contrastPerNoise(middle) < 0.9 * contrastPerNoise(best)) low = middle;
    else high = middle;
  }
  return low;
};
const [leastGood, mostGood] = [ninety(0, best), ninety(10, best)];
const thick = 6; // a line integral far too large
const jar = { diameter: 90, keV: 60 };

// The worked exposure.
const plan = { diameter: 80, pixel: 0.2, views: 180, wanted: 0.05, kVp: 80, mA: 2, sourceToScreen: 600, fNumber: 1.4 };
const acrylicTransmission = (thickness: number) => transmission(tubeSpectrum({ kVp: plan.kVp, filters: [aluminium(2.5), { material: 'air', thickness: 1000 }], binWidth: 1 }), [{ material: 'acrylic', thickness }]);
const integral = -Math.log(acrylicTransmission(plan.diameter));
const planMu = integral / plan.diameter;
const sliceNoise = plan.wanted * planMu;
const sigma = sliceNoise / reconstructionNoise(1, plan.views, plan.pixel);
const counts = 1 / sigma ** 2;
const planChain = (mAs: number) => quantumChain({
  spectrum: tubeSpectrum({ kVp: plan.kVp, filters: [aluminium(2.5), { material: 'air', thickness: 1000 }], binWidth: 1 }), mAs, sourceToScreen: plan.sourceToScreen, screen: { coating: shot.coating },
  camera: { pixel: 0.008, patch: plan.pixel, fNumber: plan.fNumber, quantumEfficiency: 0.5, readNoise: shot.readNoise, fullWell: 60_000, bits: 14 }, object: [{ material: 'acrylic', thickness: plan.diameter }],
});
/** The exposure at which the noise of the chain is sigma, mAs. */
function exposureFor(noise: number): number {
  let [low, high] = [1e-3, 1e4];
  for (let k = 0; k < 60; k++) {
    const middle = Math.sqrt(low * high);
    if (planChain(middle).relativeNoise > noise) low = middle;
    else high = middle;
  }
  return high;
}
const planMAs = exposureFor(sigma);
const planSeconds = planMAs / plan.mA;

// Barriers, at 100 kV: three ways to say what a millimetre of lead lets through, and what a thousandth takes.
const at = 100;
const leadLayer = halfValueRows['NCRP 49'].lead.find(({ kVp }) => kVp === at)!.mm;
const wallSheet = 100; // mm of concrete
const narrowWall = transmission(tubeSpectrum({ kVp: at, filters: [aluminium(2.5), { material: 'air', thickness: 1000 }], binWidth: 1 }), [{ material: 'concrete', thickness: wallSheet }], 'air kerma');
const firstLayer = archerThickness('lead', at, 0.5);
const thousandth = 0.001;
const week = { value: 5, goal: 0.02, from: 1, to: 3 };
const allowed = transmissionAllowed(week);
const opens = wall(), without = wall({ thickness: 0 }), rated = wall({ housing: 'rated' });
const inUnit = (microSievert: number) => { const [value, unit] = dose(microSievert).split(' '); return { value: Number(value), unit }; };

// Heat: the last plate as it opens, its limit as the plate has it, and other numbers of views.
const heatPlan = rests.initial;
const power = heatPlan.kV * heatPlan.mA;
const heat = scan();
const restless = scan({ by: 'own', rest: 0 });
const forViews = Object.fromEntries(([['few', 45], ['some', 90], ['many', 180], ['most', 360]] as const).map(([name, frames]) => {
  const each = scan({ frames });
  return [name, { views: number(frames), rest: { value: each.rest, unit: 's' }, total: { value: each.heat.total / 60, unit: 'min' }, on: { value: each.heat.on / 60, unit: 'min' } }];
})) as Record<'few' | 'some' | 'many' | 'most', Record<'views' | 'rest' | 'total' | 'on', { value: number; unit: string }>>;
const steadyPower = ((heatPlan.share / 100) * heatPlan.limit * 1000) / heatPlan.cooling;
const steadyDuty = steadyPower / power;

// Exercises
const ask = {
  nearMAs: 6, far: 900, near: 600, sigma: 0.01, behind: 2, sinkXrays: 20_000, sinkKeV: 50, sinkLens: 1e-4, sinkSensor: 0.5, layerShare: 1000, value: 8, goal: 0.02, to: 4,
  restKV: 70, restMA: 1.5, restSeconds: 3, restHeat: 8, restCooling: 300,
};
const sinkElectrons = ask.sinkXrays * ask.sinkKeV * screenLight({ coating: 60 }) * ask.sinkLens * ask.sinkSensor;
const askAllowed = transmissionAllowed({ value: ask.value, goal: ask.goal, from: 1, to: ask.to });
const restPower = ask.restKV * ask.restMA;
const restDuty = (1000 * ask.restHeat) / ask.restCooling / restPower;

export const values = {
  kVp: { value: spectrum.initial.kVp, unit: 'kV' },
  filterThickness: mm(spectrum.initial.thickness),
  before: { kerma: { value: before.kerma, unit: 'µGy/mAs' }, mean: { value: before.mean, unit: 'keV' }, effective: { value: before.effective, unit: 'keV' }, first: mm(before.first), second: mm(before.second) },
  after: {
    kerma: { value: after.kerma, unit: 'µGy/mAs' }, least: { value: after.kerma / 2, unit: '' }, most: { value: 2 * after.kerma, unit: 'µGy/mAs' }, left: percent(after.kerma / before.kerma), photons: number(after.photons),
    mean: { value: after.mean, unit: 'keV' }, effective: { value: after.effective, unit: 'keV' }, first: mm(after.first), second: mm(after.second),
  },
  copper: mm(copper),
  hard: { left: percent(hard.kerma / before.kerma), mean: { value: hard.mean, unit: 'keV' }, effective: { value: hard.effective, unit: 'keV' }, first: mm(hard.first) },
  threeLayers: percent(threeLayers),
  eighth: percent(1 / 8),

  mAs: { value: shot.mAs, unit: 'mAs' },
  toScreen: mm(shot.distance),
  patch: mm(shot.patch),
  coating: { value: shot.coating, unit: 'mg/cm²' },
  lens: number(shot.fNumber),
  arriving: number(chain.stages[0].quanta),
  absorbed: number(absorbed),
  towards: number(chain.stages[2].quanta),
  collected: number(chain.stages[3].quanta),
  electrons: number(chain.stages[4].quanta),
  noise: percent(chain.relativeNoise),
  xrayNoise: percent(countNoise(absorbed)),
  electronNoise: percent(countNoise(chain.electrons)),
  perKeV: number(screenLight({ coating: shot.coating })),
  photonEnergy: { value: photonEnergy, unit: 'keV' },
  photonLight: number(photonEnergy * screenLight({ coating: shot.coating })),
  smaller: number(shot.patch / 0.004),
  lensShare: percent(lensCoupling(shot.fNumber, 0.004 / shot.patch)),
  lenses,

  best: number(best),
  bestTransmission: percent(Math.exp(-best)),
  leastGood: number(leastGood),
  mostGood: number(mostGood),
  leastTransmission: percent(Math.exp(-mostGood)),
  mostTransmission: percent(Math.exp(-leastGood)),
  thick: number(thick),
  thickShare: percent(contrastPerNoise(thick) / contrastPerNoise(best)),
  thickTimes: number((contrastPerNoise(best) / contrastPerNoise(thick)) ** 2),
  jar: mm(jar.diameter),
  jarEnergy: { value: jar.keV, unit: 'keV' },
  jarIntegral: number(linearAttenuation('acrylic', jar.keV) * jar.diameter),

  planDiameter: mm(plan.diameter),
  planPixel: mm(plan.pixel),
  planViews: number(plan.views),
  planWanted: percent(plan.wanted),
  planKV: { value: plan.kVp, unit: 'kV' },
  planMA: { value: plan.mA, unit: 'mA' },
  planToScreen: mm(plan.sourceToScreen),
  planLens: number(plan.fNumber),
  planIntegral: number(integral),
  planMu: { value: planMu, unit: '1/mm' },
  planSliceNoise: { value: sliceNoise, unit: '1/mm' },
  planSigma: number(sigma),
  planCounts: number(counts),
  planMAs: { value: planMAs, unit: 'mAs' },
  planSeconds: { value: planSeconds, unit: 's' },
  planOn: { value: (planSeconds * plan.views) / 60, unit: 'min' },
  planCoarse: mm(2 * plan.pixel),
  planCoarseSeconds: { value: planSeconds / 16, unit: 's' },
  planCoarseOn: { value: (planSeconds * plan.views) / 60 / 16, unit: 'min' },
  planFiner: number((reconstructionNoise(1, plan.views, plan.pixel / 2) / reconstructionNoise(1, plan.views, plan.pixel)) ** 2 * 4),

  leadAt: { value: at, unit: 'kV' },
  wallSheet: mm(wallSheet),
  narrowWall: percent(narrowWall),
  broadWall: percent(archerTransmission('concrete', at, wallSheet)),
  wallTimes: number(archerTransmission('concrete', at, wallSheet) / narrowWall),
  leadLayer: mm(leadLayer),
  firstLayer: mm(firstLayer),
  layersInThousandth: number(halfValueLayers(thousandth)),
  layersInTenth: number(halfValuesInTenth),
  tenTimesFirst: mm(halfValueLayers(thousandth) * firstLayer),
  throughTenFirst: number(archerTransmission('lead', at, halfValueLayers(thousandth) * firstLayer) / thousandth),
  archerThousandth: mm(archerThickness('lead', at, thousandth)),
  layersThousandth: mm(halfValueLayers(thousandth) * leadLayer),
  concreteThousandth: mm(archerThickness('concrete', at, thousandth)),
  twice: number(1 / inverseSquare(1, 1, 2)),
  ten: number(1 / inverseSquare(1, 0.3, 3)),
  weekValue: { value: week.value, unit: 'mSv' },
  weekGoal: { value: week.goal, unit: 'mSv' },
  weekTo: { value: week.to, unit: 'm' },
  weekThere: { value: inverseSquare(week.value, week.from, week.to), unit: 'mSv' },
  weekAllowed: number(allowed),
  weekLayers: number(halfValueLayers(allowed)),
  weekLead: mm(halfValueLayers(allowed) * leadLayer),
  weekArcher: mm(archerThickness('lead', at, allowed)),
  opens: {
    mA: { value: barrier.initial.mA, unit: 'mA' }, minutes: { value: barrier.initial.minutes, unit: 'min' }, kVp: { value: barrier.initial.kVp, unit: 'kV' }, distance: { value: barrier.initial.distance, unit: 'm' }, lead: mm(barrier.initial.thickness), object: mm(toObject),
    low: inUnit(opens.estimate.perYear.low), likely: inUnit(opens.estimate.perYear.likely), high: inUnit(opens.estimate.perYear.high), beam: inUnit(opens.estimate.inOpenBeam.likely), without: inUnit(without.estimate.perYear.likely), rated: inUnit(rated.estimate.perYear.likely),
    spread: number(opens.estimate.perYear.high / opens.estimate.perYear.low),
  },
  anybody: { value: marks[0].limit.milliSievert, unit: 'mSv' },
  worker: { value: marks[1].limit.milliSievert, unit: 'mSv' },
  single: { value: marks[2].limit.milliSievert, unit: 'mSv' },

  heatKV: { value: heatPlan.kV, unit: 'kV' },
  heatMA: { value: heatPlan.mA, unit: 'mA' },
  heatSeconds: { value: heatPlan.seconds, unit: 's' },
  heatFrames: number(heatPlan.frames),
  heatPower: { value: power, unit: 'W' },
  heatOne: { value: exposureEnergy(heatPlan), unit: 'J' },
  heatUnits: number(heatUnits(heatPlan)),
  heatFactor: number(heatUnitFactor.constant),
  heatAll: { value: heat.heat.energy / 1000, unit: 'kJ' },
  heatLimit: { value: heatPlan.limit, unit: 'kJ' },
  heatShare: { value: heatPlan.share, unit: '%' },
  heatCooling: { value: heatPlan.cooling, unit: 's' },
  restless: { value: restless.heat.peak / 1000, unit: 'kJ' },
  rest: { value: heat.rest, unit: 's' },
  total: { value: heat.heat.total / 60, unit: 'min' },
  duty: percent(heat.heat.duty),
  steadyPower: { value: steadyPower, unit: 'W' },
  steadyDuty: percent(steadyDuty),
  steadyRest: { value: heatPlan.seconds / steadyDuty - heatPlan.seconds, unit: 's' },
  forViews,

  // Exercises
  ask: {
    nearMAs: { value: ask.nearMAs, unit: 'mAs' },
    far: mm(ask.far),
    near: mm(ask.near),
    mAsThere: { value: 1 / inverseSquare(1 / ask.nearMAs, ask.far, ask.near), unit: 'mAs' },

    sigma: number(ask.sigma),
    behind: number(ask.behind),
    open: number(Math.exp(ask.behind) / ask.sigma ** 2),
    check: number(lineIntegralNoise(Math.exp(ask.behind) / ask.sigma ** 2, ask.behind)),

    sinkXrays: number(ask.sinkXrays),
    sinkKeV: { value: ask.sinkKeV, unit: 'keV' },
    sinkLight: number(ask.sinkKeV * screenLight({ coating: 60 })),
    sinkLens: number(ask.sinkLens),
    sinkSensor: number(ask.sinkSensor),
    sinkElectrons: number(sinkElectrons),
    sinkNoise: percent(Math.hypot(countNoise(ask.sinkXrays), countNoise(sinkElectrons))),

    layer: mm(leadLayer),
    firstLayer: mm(firstLayer),
    layerShare: number(ask.layerShare),
    layerThickness: mm(halfValueLayers(1 / ask.layerShare) * leadLayer),

    value: { value: ask.value, unit: 'mSv' },
    goal: { value: ask.goal, unit: 'mSv' },
    to: { value: ask.to, unit: 'm' },
    allowed: number(askAllowed),
    barrier: mm(halfValueLayers(askAllowed) * leadLayer),

    restKV: { value: ask.restKV, unit: 'kV' },
    restMA: { value: ask.restMA, unit: 'mA' },
    restSeconds: { value: ask.restSeconds, unit: 's' },
    restHeat: { value: ask.restHeat, unit: 'kJ' },
    restCooling: { value: ask.restCooling, unit: 's' },
    restPower: { value: restPower, unit: 'W' },
    restMean: { value: (1000 * ask.restHeat) / ask.restCooling, unit: 'W' },
    restLong: { value: ask.restSeconds / restDuty - ask.restSeconds, unit: 's' },
    restDuty: percent(dutyCycle(ask.restSeconds, ask.restSeconds / restDuty - ask.restSeconds)),
    restExact: { value: restNeeded({ power: restPower, seconds: ask.restSeconds, frames: 1000 }, { limit: 1000 * ask.restHeat, coolingTime: ask.restCooling }, 1).rest, unit: 's' },
  },
};
