import table from '../../../datasets/attenuation/nist-rows.json' with { type: 'json' };
import { naturalSpline } from './natural-spline.ts';

/** A material of the table (datasets/attenuation/nist-rows.md has its sources). */
export type Material = keyof typeof table.materials;

interface Entry {
  readonly title: string;
  /** g/cm³ */
  readonly density: number;
  /** Energy in keV and μ/ρ in cm²/g; at a K edge two rows with the same energy, below and above. */
  readonly rows: readonly (readonly number[])[];
}

export const materials = table.materials as Readonly<Record<Material, Entry>>;

/**
 * What a material takes from a narrow beam of photons of one energy: μ/ρ in cm²/g, coherent scattering included.
 *   ln(μ/ρ) is a natural cubic spline in ln E through the rows between one K edge and the next; at an edge, the value above.
 * keV: 20 to 100.
 * Error: exact at the rows; the 50 keV row, left out, comes back within 0.3 % (tests/lib/attenuation.test.ts).
 * Throws: RangeError for a material not in the table or an energy outside it.
 * Source: NISTIR 5632 (Hubbell & Seltzer 1995); the spline is common practice, no source.
 */
export function massAttenuation(material: Material, keV: number): number {
  const entry = materials[material];
  if (!entry) throw new RangeError(`No attenuation is known for "${material}"; known are ${Object.keys(materials).join(', ')}.`);
  const rows = entry.rows;
  const least = rows[0][0];
  const greatest = rows[rows.length - 1][0];
  if (!(keV >= least && keV <= greatest)) throw new RangeError(`The table covers ${least} to ${greatest} keV; ${keV} keV lies outside it.`);
  const piece = pieces(material).find((each) => keV >= each.from && (keV < each.to || each.to === greatest))!;
  return Math.exp(piece.spline(Math.log(keV)));
}

/** Share of a narrow beam taken in a millimetre: μ in 1/mm, at the table's density unless another (g/cm³) is given. */
export function linearAttenuation(material: Material, keV: number, density = materials[material]?.density): number {
  return (massAttenuation(material, keV) * density) / 10;
}

interface Piece { from: number; to: number; spline: (x: number) => number }
const known = new Map<Material, Piece[]>();

/** The stretches between K edges, each with its spline. */
function pieces(material: Material): Piece[] {
  let made = known.get(material);
  if (!made) {
    const rows = materials[material].rows;
    const starts = [0, ...rows.flatMap((row, i) => (i > 0 && row[0] === rows[i - 1][0] ? [i] : [])), rows.length];
    made = starts.slice(1).map((end, i) => {
      const part = rows.slice(starts[i], end);
      const spline = naturalSpline(part.map((row) => Math.log(row[0])), part.map((row) => Math.log(row[1])));
      return { from: part[0][0], to: part[part.length - 1][0], spline };
    });
    known.set(material, made);
  }
  return made;
}
