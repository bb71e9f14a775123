import table from '../../../datasets/attenuation/materials.json' with { type: 'json' };

/** A material of the table (datasets/attenuation/materials.md has its sources). */
export type Material = keyof typeof table.materials;

interface Entry {
  readonly title: string;
  /** g/cm³ */
  readonly density: number;
  /** Shares by weight of its elements, by their symbols. */
  readonly weights: Readonly<Record<string, number>>;
  /** Where the density and the composition come from. */
  readonly densityFrom: string;
  readonly weightsFrom: string;
}

export const materials = table.materials as unknown as Readonly<Record<Material, Entry>>;

/** The energies that the table covers, keV. */
export const energyRange = { from: table.keV[0], to: table.keV[table.keV.length - 1] } as const;

/**
 * What a material takes from a narrow beam of photons of one energy: μ/ρ in cm²/g, coherent scattering included.
 *   μ/ρ = Σ weight · μ/ρ of each element; between two rows of the table, ln(μ/ρ) is straight in ln E; at an edge, the value above.
 * keV: 5 to 150.
 * Error: within 0.2 % of xraylib 4.0, titanium and chromium just above their edges excepted (datasets/attenuation/materials.md), and within
 * 0.1 % of NISTIR 5632's rows from 20 to 100 keV (tests/outside/physics.test.ts).
 * Throws: RangeError for a material not in the table or an energy outside it.
 * Source: xraylib 4.0, Schoonjans et al., Spectrochim. Acta B 66, 776 (2011); NISTIR 5632 (Hubbell & Seltzer 1995); the sum by weight is common practice.
 */
export function massAttenuation(material: Material, keV: number): number {
  return mixed(material, keV, 'total');
}

/**
 * What of a narrow beam's energy a thin layer keeps: μen/ρ in cm²/g, for the dose in a material and the air kerma of a beam.
 * As massAttenuation, straight in ln against ln within 0.5 %. Air and water within 0.1 % of NISTIR 5632, metals within 2 %, lead above its K edge within 5 %.
 * Source: worked out from xraylib 4.0's cross sections, fluorescence and Klein and Nishina's formula (datasets/attenuation/made-by).
 */
export function massEnergyAbsorption(material: Material, keV: number): number {
  return mixed(material, keV, 'energy');
}

/** Share of a narrow beam taken in a millimetre: μ in 1/mm, at the table's density unless another (g/cm³) is given. */
export function linearAttenuation(material: Material, keV: number, density = materials[material]?.density): number {
  return (massAttenuation(material, keV) * density) / 10;
}

export interface Edge {
  readonly element: string;
  readonly shell: 'K' | 'L1' | 'L2' | 'L3';
  readonly keV: number;
  /** μ/ρ of the material on both sides, cm²/g. */
  readonly below: number;
  readonly above: number;
}

/** The energies at which a material's attenuation jumps, rising, from 5 to 150 keV. Throws RangeError for a material not in the table. */
export function edgesOf(material: Material): Edge[] {
  const { weights } = entryOf(material);
  const edges = Object.entries(weights).flatMap(([element, weight]) => elements[element].edges.map(([shell, keV, below, above]) => {
    const others = mixed(material, keV, 'total') - weight * above;
    return { element, shell: shell as Edge['shell'], keV, below: others + weight * below, above: others + weight * above };
  }));
  return edges.sort((a, b) => a.keV - b.keV);
}

type Quantity = 'total' | 'energy';
type EdgeRow = readonly [shell: string, keV: number, below: number, above: number, energyBelow: number, energyAbove: number];
const elements = table.elements as unknown as Readonly<Record<string, { total: readonly number[]; energy: readonly number[]; edges: readonly EdgeRow[] }>>;

function entryOf(material: Material): Entry {
  const entry = Object.hasOwn(materials, material) ? materials[material] : undefined;
  if (!entry) throw new RangeError(`No attenuation is known for "${material}"; known are ${Object.keys(materials).join(', ')}.`);
  return entry;
}

function mixed(material: Material, keV: number, quantity: Quantity): number {
  const { weights } = entryOf(material);
  const { from, to } = energyRange;
  if (!(keV >= from && keV <= to)) throw new RangeError(`The table covers ${from} to ${to} keV; ${keV} keV lies outside it.`);
  let sum = 0;
  for (const element in weights) sum += weights[element] * valueOf(element, keV, quantity);
  return sum;
}

/** Logarithms of the rows of an element, edges among them: what is met coming from below, and from above. */
interface Rows { readonly energy: Float64Array; readonly below: Float64Array; readonly above: Float64Array }
const known = new Map<string, Rows>();

function rowsOf(element: string, quantity: Quantity): Rows {
  const key = `${element} ${quantity}`;
  let rows = known.get(key);
  if (!rows) {
    const { edges, [quantity]: values } = elements[element];
    const points = [
      ...table.keV.map((keV, i) => [keV, values[i], values[i]]),
      ...edges.map((edge) => [edge[1], ...(quantity === 'total' ? [edge[2], edge[3]] : [edge[4], edge[5]])]),
    ].sort((a, b) => a[0] - b[0]);
    const column = (k: number) => Float64Array.from(points, (point) => Math.log(point[k]));
    rows = { energy: column(0), below: column(1), above: column(2) };
    known.set(key, rows);
  }
  return rows;
}

function valueOf(element: string, keV: number, quantity: Quantity): number {
  const { energy, below, above } = rowsOf(element, quantity);
  const at = Math.log(keV);
  let low = 0;
  let high = energy.length - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (energy[middle] <= at) low = middle;
    else high = middle;
  }
  const t = (at - energy[low]) / (energy[high] - energy[low]);
  return Math.exp((1 - t) * above[low] + t * below[high]);
}
