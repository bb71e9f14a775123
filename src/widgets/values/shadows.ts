/** Every number that chapter 1 prints, worked out with the library when the book is built. */
import { disc, edgesOf, linearAttenuation, massAttenuation, materials, parallelBeam, projectPhantom } from '../../lib/index.ts';
import type { Material } from '../../lib/index.ts';

/** Share of a narrow beam of one energy that gets through layers of materials, thicknesses in mm. */
function transmission(keV: number, layers: readonly (readonly [Material, number])[]): number {
  return Math.exp(-lineIntegral(keV, layers));
}
function lineIntegral(keV: number, layers: readonly (readonly [Material, number])[]): number {
  return layers.reduce((sum, [material, thickness]) => sum + linearAttenuation(material, keV) * thickness, 0);
}
const halfValueLayer = (material: Material, keV: number) => Math.LN2 / linearAttenuation(material, keV);

// A glass of water, cut into sheets.
const energy = 60; // keV
const water = linearAttenuation('water', energy);
const sheet = 10; // mm
const sheets = (count: number) => (1 - water * sheet / count) ** count;
const one = transmission(energy, [['water', sheet]]);
const two = transmission(energy, [['water', 2 * sheet]]);
const bath = 200; // mm

// Worked example: an aluminium rod on the axis of an acrylic disc, both cut by one ray through the middle and one beside the rod.
const discDiameter = 55; // mm
const rodDiameter = 5; // mm
const beside = 16.5; // mm
const acrylic = linearAttenuation('acrylic', energy);
const aluminium = linearAttenuation('aluminium', energy);
const object = [disc(0, 0, discDiameter / 2, acrylic), disc(0, 0, rodDiameter / 2, aluminium - acrylic)];
const shadow = projectPhantom(object, parallelBeam({ angles: [0], detectors: 3, pitch: beside })).data; // s = −beside, 0, beside
const open = 200; // brightness without the object
const through = open * Math.exp(-shadow[1]);
const besideRod = open * Math.exp(-shadow[2]);

// A beam of two energies through aluminium: what the logarithm then calls the attenuation.
const soft = 40, hard = 80; // keV, equally many photons
const twoEnergies = (thickness: number) => -Math.log((transmission(soft, [['aluminium', thickness]]) + transmission(hard, [['aluminium', thickness]])) / 2) / thickness;
const thin = 1, thick = 20; // mm

// The ends of the table, and lead on both sides of its K edge.
const [lowest, highest] = [20, 100]; // keV
const leadSheet = 1; // mm
const [foil, foilEnergy] = [2, 30]; // mm of aluminium, keV

// Gel that takes an equal share in each block.
const gelBlock = 10; // mm
const gelShare = 0.7; // of the light, through one block
const gelMu = -Math.log(gelShare) / gelBlock;

// Scatter under the darkest part of a shadow: the haze as a share of the open beam.
const haze = 0.01;
const dark = transmission(energy, [['water', bath]]);

// Exercises
const ask = { bright: 240, dim: 30, keV: 40, stackEnergy: 80, plastic: 30, iron: 2, depthIntegral: 1.5, gelBlock: 8, gelShare: 0.6, gelDepth: 28 };
const stack = [['polyethylene', ask.plastic], ['iron', ask.iron]] as const;

export const values = {
  energy: { value: energy, unit: 'keV' },
  waterMu: { value: water, unit: '1/mm' },
  sheet: { value: sheet, unit: 'mm' },
  waterPercent: { value: water * 100, unit: '%' },
  tenSheets: { value: sheets(10), unit: '' },
  hundredSheets: { value: sheets(100), unit: '' },
  waterTransmission: { value: one, unit: '' },
  waterLoss: { value: (1 - one) * 100, unit: '%' },
  doubleLoss: { value: (1 - two) * 100, unit: '%' },
  waterIntegral: { value: -Math.log(one), unit: '' },
  doubleIntegral: { value: -Math.log(two), unit: '' },
  bath: { value: bath, unit: 'mm' },
  bathTransmission: { value: dark * 100, unit: '%' },
  bathIntegral: { value: -Math.log(dark), unit: '' },
  leftAfterOne: { value: Math.exp(-1) * 100, unit: '%' },
  waterMeanPath: { value: 1 / water, unit: 'mm' },

  aluminiumMass: { value: massAttenuation('aluminium', energy), unit: 'cm²/g' },
  aluminiumDensity: { value: materials.aluminium.density, unit: 'g/cm³' },
  aluminiumPerCm: { value: aluminium * 10, unit: '1/cm' },
  aluminiumMu: { value: aluminium, unit: '1/mm' },
  acrylicMu: { value: acrylic, unit: '1/mm' },
  lowest: { value: lowest, unit: 'keV' },
  highest: { value: highest, unit: 'keV' },
  ironToWaterLow: { value: linearAttenuation('iron', lowest) / linearAttenuation('water', lowest), unit: '' },
  ironToWaterHigh: { value: linearAttenuation('iron', highest) / linearAttenuation('water', highest), unit: '' },
  leadEdge: { value: edgesOf('lead').find(({ shell }) => shell === 'K')!.keV, unit: 'keV' },
  leadThickness: { value: leadSheet, unit: 'mm' },
  leadBelow: { value: transmission(hard, [['lead', leadSheet]]) * 100, unit: '%' },
  leadAbove: { value: transmission(highest, [['lead', leadSheet]]) * 100, unit: '%' },
  foilThickness: { value: foil, unit: 'mm' },
  foilEnergy: { value: foilEnergy, unit: 'keV' },
  foilTransmission: { value: transmission(foilEnergy, [['aluminium', foil]]) * 100, unit: '%' },
  foilHalf: { value: halfValueLayer('aluminium', foilEnergy), unit: 'mm' },
  waterHalf: { value: halfValueLayer('water', energy), unit: 'mm' },
  aluminiumHalf: { value: halfValueLayer('aluminium', energy), unit: 'mm' },
  leadHalf: { value: halfValueLayer('lead', energy), unit: 'mm' },
  airMu: { value: linearAttenuation('air', energy), unit: '1/mm' },
  airHalf: { value: halfValueLayer('air', energy) / 1000, unit: 'm' },
  sevenHalves: { value: 2 ** -7 * 100, unit: '%' },

  discDiameter: { value: discDiameter, unit: 'mm' },
  rodDiameter: { value: rodDiameter, unit: 'mm' },
  acrylicPath: { value: discDiameter - rodDiameter, unit: 'mm' },
  beside: { value: beside, unit: 'mm' },
  besidePath: { value: 2 * Math.sqrt((discDiameter / 2) ** 2 - beside ** 2), unit: 'mm' },
  acrylicPart: { value: acrylic * (discDiameter - rodDiameter), unit: '' },
  aluminiumPart: { value: aluminium * rodDiameter, unit: '' },
  middleIntegral: { value: shadow[1], unit: '' },
  middleTransmission: { value: Math.exp(-shadow[1]), unit: '' },
  besideIntegral: { value: shadow[2], unit: '' },
  open: { value: open, unit: '' },
  middleBrightness: { value: through, unit: '' },
  besideBrightness: { value: besideRod, unit: '' },
  backAgain: { value: Math.log(open / through), unit: '' },
  withoutRod: { value: acrylic * discDiameter, unit: '' },
  rodAdds: { value: shadow[1] - acrylic * discDiameter, unit: '' },

  soft: { value: soft, unit: 'keV' },
  hard: { value: hard, unit: 'keV' },
  thin: { value: thin, unit: 'mm' },
  thick: { value: thick, unit: 'mm' },
  thinMu: { value: twoEnergies(thin), unit: '1/mm' },
  thickMu: { value: twoEnergies(thick), unit: '1/mm' },
  haze: { value: haze * 100, unit: '%' },
  hazeIntegral: { value: -Math.log(dark + haze), unit: '' },
  hazeShort: { value: bath * (1 - Math.log(dark + haze) / Math.log(dark)), unit: 'mm' },

  gelBlock: { value: gelBlock, unit: 'mm' },
  gelShare: { value: gelShare * 100, unit: '%' },
  gelMu: { value: gelMu, unit: '1/mm' },
  gelSubtracted: { value: (1 - 3 * (1 - gelShare)) * 100, unit: '%' },
  gelThree: { value: gelShare ** 3 * 100, unit: '%' },

  // Exercises
  ask: {
    bright: { value: ask.bright, unit: '' },
    dim: { value: ask.dim, unit: '' },
    ratio: { value: ask.bright / ask.dim, unit: '' },
    integral: { value: Math.log(ask.bright / ask.dim), unit: '' },

    keV: { value: ask.keV, unit: 'keV' },
    mass: { value: massAttenuation('aluminium', ask.keV), unit: 'cm²/g' },
    density: { value: materials.aluminium.density, unit: 'g/cm³' },
    mu: { value: linearAttenuation('aluminium', ask.keV), unit: '1/mm' },
    halfValue: { value: halfValueLayer('aluminium', ask.keV), unit: 'mm' },

    stackEnergy: { value: ask.stackEnergy, unit: 'keV' },
    plastic: { value: ask.plastic, unit: 'mm' },
    plasticMu: { value: linearAttenuation('polyethylene', ask.stackEnergy), unit: '1/mm' },
    plasticThrough: { value: transmission(ask.stackEnergy, stack.slice(0, 1)) * 100, unit: '%' },
    iron: { value: ask.iron, unit: 'mm' },
    ironMu: { value: linearAttenuation('iron', ask.stackEnergy), unit: '1/mm' },
    ironThrough: { value: transmission(ask.stackEnergy, stack.slice(1)) * 100, unit: '%' },
    stackIntegral: { value: lineIntegral(ask.stackEnergy, stack), unit: '' },
    stackThrough: { value: transmission(ask.stackEnergy, stack) * 100, unit: '%' },

    depthIntegral: { value: ask.depthIntegral, unit: '' },
    depth: { value: ask.depthIntegral / water, unit: 'mm' },

    gelBlock: { value: ask.gelBlock, unit: 'mm' },
    gelShare: { value: ask.gelShare * 100, unit: '%' },
    gelDepth: { value: ask.gelDepth, unit: 'mm' },
    gelBlocks: { value: ask.gelDepth / ask.gelBlock, unit: '' },
    gelThrough: { value: ask.gelShare ** (ask.gelDepth / ask.gelBlock) * 100, unit: '%' },
  },
};
