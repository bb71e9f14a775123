/**
 * Every number of the page "Practising with visible light", worked out when the book is built. Refractive indices are those of daylight's yellow at 20 °C: water 1.333,
 * acrylic 1.491, glycerol 1.473, sugar solutions 1.356 (15 % of the weight) and 1.442 (60 %), from memory (rumble2020); gelatine is taken as water with a tenth of
 * its weight of something with 1.54, mixed in proportion: an estimate, no source. The dye is invented.
 * The rigs are those of gore1996 (a bath that matches) and wolodzko1999 (a camera's cone) in kitchen size.
 */
import {
  bestMagnification, contrastPerNoise, countNoise, detailKept, halfFanAngle, lineIntegralNoise, reconstructionNoise, unsharpness,
} from '../../lib/index.ts';
import { criticalAngle, reflected, refracted, throughCylinder, virtualDistance } from '../light/refraction.ts';

const degrees = (angle: number) => (angle * 180) / Math.PI;
const radians = (angle: number) => (angle * Math.PI) / 180;
const mm = (value: number) => ({ value, unit: 'mm' });
const angle = (value: number) => ({ value, unit: '°' });
const percent = (share: number) => ({ value: 100 * share, unit: '%' });
const number = (value: number) => ({ value, unit: '' });

const index = { air: 1, water: 1.333, gelatine: 1.333 + 0.1 * (1.54 - 1.333), acrylic: 1.491, glycerol: 1.473, sugar15: 1.356, sugar60: 1.442 };

// The object: a cylinder of gelatine, a ray that meets it half-way between middle and rim.
const object = { radius: 25, height: 50 };
const half = object.radius / 2;
const bare = throughCylinder(half, object.radius, index.air, index.gelatine);
const bathed = throughCylinder(half, object.radius, index.water, index.gelatine);
const sweet = throughCylinder(half, object.radius, index.sugar15, index.gelatine);
const acrylicInWater = throughCylinder(half, object.radius, index.water, index.acrylic);
const acrylicInGlycerol = throughCylinder(half, object.radius, index.glycerol, index.acrylic);

// The camera as the point: its distance, the tank, its lens.
const rig = { toWall: 1000, inWater: 60, focal: 50, fNumber: 11, pixel: 0.1, open: 2 };
const apex = virtualDistance(rig.toWall, rig.inWater, index.water);
const pupil = rig.focal / rig.fNumber;
const lensBlur = (fNumber: number) => ((rig.focal / fNumber) * object.radius) / apex;
const nearer = apex / (apex - object.radius);

// The lamp as the point, and its size.
const lamp = { chip: 2, bulb: 60, toAxis: 1000, toScreen: 1060 };
const lampM = lamp.toScreen / lamp.toAxis;
const lampBlur = (size: number) => unsharpness(size, lampM) / lampM;

// The dye: a band of a bell's shape, and what a wide and a narrow light make of depths of it. Invented.
const band = { middle: 520, spread: 30, most: 0.04 };
const dye = (nm: number) => band.most * Math.exp(-((nm - band.middle) ** 2) / (2 * band.spread ** 2));
const depths = [10, 20, 30, 40, 50];
/** −ln of what arrives behind a depth of dye, for light spread evenly from one wavelength to another. */
function seen(depth: number, [from, to]: readonly [number, number]): number {
  let arriving = 0, steps = 0;
  for (let nm = from; nm <= to; nm++, steps++) arriving += Math.exp(-dye(nm) * depth);
  return -Math.log(arriving / steps);
}
const light = { narrow: [510, 530], green: [480, 580], white: [430, 650] } as const;
const seenIn = (name: keyof typeof light) => depths.map((depth) => seen(depth, light[name]));
const rows = { narrow: seenIn('narrow'), green: seenIn('green'), white: seenIn('white') };
const row = (values: readonly number[]) => ({ d10: number(values[0]), d20: number(values[1]), d30: number(values[2]), d40: number(values[3]), d50: number(values[4]) });
/** By how much the last depth falls short of five times the first. */
const sag = (values: readonly number[]) => percent(1 - values[4] / (5 * values[0]));
const scattered = 0.02; // of the open light, laid over everything
const veiled = depths.map((depth) => -Math.log((Math.exp(-seen(depth, light.narrow)) + scattered) / (1 + scattered)));

// The recipe and what it gives.
const recipe = { powder: 25, water: 250, wanted: 2, jar: 10, views: 45 };
const hand = 0.5; // degrees by which a hand misses a mark
const fullWell = 20_000, share = 0.7, sum = 4; // electrons of a full pixel, how far the flat fills it, pixels added along each edge
const open = fullWell * share * sum ** 2;
const sigma = lineIntegralNoise(open, recipe.wanted);
const cell = rig.pixel * sum;
const mu = recipe.wanted / (2 * object.radius);

// Exercises
const ask = { radius: 30, place: 15, sphere: 1.5, toWall: 800, inWater: 80, testDepth: 10, testSeen: 0.9, width: 60, wanted: 2, chip: 5, chipToAxis: 600, chipToScreen: 720 };
const askM = ask.chipToScreen / ask.chipToAxis;
const askTest = (ask.testSeen / ask.testDepth) * ask.width;

export const values = {
  water: number(index.water), gelatine: number(index.gelatine), acrylic: number(index.acrylic), glycerol: number(index.glycerol), sugar15: number(index.sugar15), sugar60: number(index.sugar60),
  radius: mm(object.radius), diameter: mm(2 * object.radius), half: mm(half),
  incidence: angle(degrees(Math.asin(half / object.radius))),
  inside: angle(degrees(refracted(Math.asin(half / object.radius), index.air, index.gelatine))),
  bend: angle(degrees(bare.bend)), bendBathed: angle(degrees(bathed.bend)), bendSweet: angle(degrees(sweet.bend)), bendAcrylic: angle(degrees(acrylicInWater.bend)), bendGlycerol: angle(degrees(acrylicInGlycerol.bend)),
  nearest: mm(bare.nearest), nearestBathed: mm(bathed.nearest), nearestSweet: mm(sweet.nearest), nearestAcrylic: mm(acrylicInWater.nearest), nearestGlycerol: mm(acrylicInGlycerol.nearest),
  missed: mm(half - bare.nearest), missedBathed: mm(half - bathed.nearest),
  critical: angle(degrees(criticalAngle(index.water, index.air))),
  reflectedAir: percent(reflected(index.air, index.gelatine)),

  toWall: mm(rig.toWall), inWater: mm(rig.inWater), toAxis: mm(rig.toWall + rig.inWater), apex: mm(apex), apexTimes: percent(apex / (rig.toWall + rig.inWater) - 1),
  nearer: percent(nearer - 1), fan: angle(2 * degrees(halfFanAngle(object.radius, apex))),
  focal: mm(rig.focal), fNumber: number(rig.fNumber), open: number(rig.open), pupil: mm(pupil), lensBlur: mm(lensBlur(rig.fNumber)), lensBlurOpen: mm(lensBlur(rig.open)),

  chip: mm(lamp.chip), bulb: mm(lamp.bulb), lampToAxis: mm(lamp.toAxis), lampToScreen: mm(lamp.toScreen), lampM: number(lampM), chipBlur: mm(lampBlur(lamp.chip)), bulbBlur: mm(lampBlur(lamp.bulb)),
  pixel: mm(rig.pixel), bestForChip: number(bestMagnification(rig.pixel, lamp.chip)),

  bandMiddle: { value: band.middle, unit: 'nm' }, mu: { value: band.most, unit: '1/mm' },
  narrowFrom: { value: light.narrow[0], unit: 'nm' }, narrowTo: { value: light.narrow[1], unit: 'nm' }, greenFrom: { value: light.green[0], unit: 'nm' }, greenTo: { value: light.green[1], unit: 'nm' }, whiteFrom: { value: light.white[0], unit: 'nm' }, whiteTo: { value: light.white[1], unit: 'nm' },
  depth10: mm(depths[0]), depth20: mm(depths[1]), depth30: mm(depths[2]), depth40: mm(depths[3]), depth50: mm(depths[4]),
  narrow: { ...row(rows.narrow), sag: sag(rows.narrow) }, green: { ...row(rows.green), sag: sag(rows.green) }, white: { ...row(rows.white), sag: sag(rows.white) }, veiled: { ...row(veiled), sag: sag(veiled) },
  scattered: percent(scattered), ceiling: number(-Math.log(scattered)),

  powder: { value: recipe.powder, unit: 'g' }, liquid: { value: recipe.water, unit: 'ml' }, wanted: number(recipe.wanted), wantedLight: percent(Math.exp(-recipe.wanted)), wantedMu: { value: mu, unit: '1/mm' },
  jar: mm(recipe.jar), jarWanted: number((recipe.wanted * recipe.jar) / (2 * object.radius)), jarLight: percent(Math.exp(-(recipe.wanted * recipe.jar) / (2 * object.radius))),
  contrastAtOne: percent(contrastPerNoise(1) / contrastPerNoise(2)), contrastAtFour: percent(contrastPerNoise(4) / contrastPerNoise(2)),
  views: number(recipe.views), step: angle(360 / recipe.views), kept: mm(detailKept(2 * object.radius, recipe.views)),
  hand: angle(hand), handRim: mm(object.radius * radians(hand)),
  fullWell: number(fullWell), share: percent(share), oneNoise: percent(countNoise(fullWell * share)), sum: number(sum), cell: mm(cell), sigma: number(sigma), sliceNoise: { value: reconstructionNoise(sigma, recipe.views, cell), unit: '1/mm' }, sliceShare: percent(reconstructionNoise(sigma, recipe.views, cell) / mu),

  ask: {
    radius: mm(ask.radius), place: mm(ask.place), glass: number(ask.sphere),
    nearest: mm(throughCylinder(ask.place, ask.radius, 1, ask.sphere).nearest), wrongWay: mm(ask.place * ask.sphere), bend: angle(degrees(throughCylinder(ask.place, ask.radius, 1, ask.sphere).bend)),
    toWall: mm(ask.toWall), inWater: mm(ask.inWater), apex: mm(virtualDistance(ask.toWall, ask.inWater, index.water)), apparent: mm(ask.toWall + ask.inWater / index.water), swapped: mm(ask.toWall + ask.inWater * index.water),
    testDepth: mm(ask.testDepth), testSeen: number(ask.testSeen), width: mm(ask.width), wanted: number(ask.wanted), whole: number(askTest), dilution: number(askTest / ask.wanted),
    chip: mm(ask.chip), chipToAxis: mm(ask.chipToAxis), chipToScreen: mm(ask.chipToScreen), chipM: number(askM), chipOnScreen: mm(unsharpness(ask.chip, askM)), chipBlur: mm(unsharpness(ask.chip, askM) / askM),
  },
};
