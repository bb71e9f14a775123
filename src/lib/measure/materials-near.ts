import { energyRange, linearAttenuation, materials, type Material } from '../physics/attenuation.ts';

export interface MaterialNear {
  readonly material: Material;
  readonly title: string;
  /** What it would have, 1/mm, and how uncertain that is: its density, the table, the energy. */
  readonly expected: number;
  readonly expectedDeviation: number;
  /** Measured less expected, 1/mm. */
  readonly difference: number;
  /** That difference in standard deviations of it; at most 2 is ordinary for the right material, more than 3 speaks against it. */
  readonly deviations: number;
}

/**
 * By how much a material's density varies from piece to piece, as a share of the table's (one standard deviation): air-dry wood 0.35 to
 * 0.75 g/cm³ by species, soda-lime glass 2.40 to 2.5, polyethylene 0.92 to 0.96, cortical bone 1.85 to 1.92, PVC 1.30 to 1.45, paper, leather
 * and plaster by how much air they hold. Common values, no source.
 */
const densitySpread: Partial<Record<Material, number>> = { wood: 0.2, sodaLime: 0.02, polyethylene: 0.015, bone: 0.02, air: 0.04,
  pvc: 0.03, ptfe: 0.02, abs: 0.02, epoxy: 0.04, rubber: 0.03, silicone: 0.05, nylon: 0.01, paper: 0.2, leather: 0.1, softTissue: 0.02, vegetableOil: 0.01, mineralOil: 0.02,
  graphite: 0.1, concrete: 0.05, gypsum: 0.2, limestone: 0.05, alumina: 0.03, brass: 0.01, solder: 0.02, leadFreeSolder: 0.02,
};
const usualSpread = 0.005;
/** Of the table and between its rows (physics/attenuation.ts), rounded up. */
const tableSpread = 0.003;

/**
 * The materials of the attenuation table by how near they come to a measured attenuation, the nearest (in standard deviations) first.
 * mu: the measured mean, 1/mm.   sd: its standard deviation, 1/mm: the spread of the voxels where one voxel is asked about, or larger
 * where beam hardening or streaks are about; at least 0.   keV: the effective energy of the beam, 5 to 150.
 * keVSd: how uncertain that energy is; 0 when left out. With a tube it is never known better than to some keV, so give it.
 * deviations = (mu − expected)/√(sd² + (expected·density's, table's share)² + (dμ/dE · keVSd)²)
 * Several materials may be near: water and polyethylene, or aluminium and glass, differ by little at one energy. It is a hint, no analysis.
 * Throws RangeError for an energy outside the table, a mu that is no number, or an sd below 0.
 */
export function materialsNear(mu: number, keV: number, sd: number, keVSd = 0): MaterialNear[] {
  if (!Number.isFinite(mu)) throw new RangeError(`The measured attenuation is ${mu} and should be a number, in 1/mm.`);
  if (!(sd >= 0) || !(keVSd >= 0)) throw new RangeError(`The uncertainties are ${sd}/mm and ${keVSd} keV and should be 0 or more.`);
  return (Object.keys(materials) as Material[])
    .map((material) => {
      const expected = linearAttenuation(material, keV);
      const own = expected * Math.hypot(densitySpread[material] ?? usualSpread, tableSpread);
      const expectedDeviation = Math.hypot(own, slope(material, keV) * keVSd);
      const difference = mu - expected;
      return { material, title: materials[material].title, expected, expectedDeviation, difference, deviations: difference / Math.hypot(sd, expectedDeviation) };
    })
    .sort((a, b) => Math.abs(a.deviations) - Math.abs(b.deviations) || Math.abs(a.difference) - Math.abs(b.difference));
}

/** dμ/dE, 1/mm per keV, over 1 keV, within the table; across a K edge the jump counts, since the beam lies on both sides of it. */
function slope(material: Material, keV: number): number {
  const low = Math.max(energyRange.from, keV - 0.5), high = Math.min(energyRange.to, keV + 0.5);
  return (linearAttenuation(material, high) - linearAttenuation(material, low)) / (high - low);
}
