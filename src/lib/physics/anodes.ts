/** What an X-ray tube's target is made of. */
export type Anode = 'tungsten' | 'molybdenum';

export interface AnodeData {
  readonly Z: number;
  /** g/mol */
  readonly atomicWeight: number;
  /** Mean excitation energy, eV. */
  readonly meanExcitation: number;
  readonly kShell: ShellData;
  /** L shells, where their lines lie above 5 keV. */
  readonly lShells: readonly ShellData[];
}

export interface ShellData {
  readonly electrons: number;
  /** Edge, keV, and the share of vacancies that end in a photon. */
  readonly edge: number;
  readonly fluorescence: number;
  /** Lines: keV, and the share of all photons of the shell. */
  readonly lines: readonly (readonly [keV: number, share: number])[];
}

/**
 * Sources: mean excitation energies, ICRU Report 37 (1984), from memory; edges, lines, their shares and fluorescence yields, xraylib 4.0
 * (Kβ₂ as one line; of the L lines the strongest).
 */
export const anodes: Readonly<Record<Anode, AnodeData>> = {
  tungsten: {
    Z: 74, atomicWeight: 183.84, meanExcitation: 727,
    kShell: {
      electrons: 2, edge: 69.525, fluorescence: 0.9538,
      lines: [[59.3182, 0.5024], [57.981, 0.2892], [67.244, 0.1081], [66.9501, 0.0559], [69.08, 0.0386]],
    },
    lShells: [
      { electrons: 4, edge: 10.2068, fluorescence: 0.255, lines: [[8.3976, 0.7222], [8.3352, 0.0819], [9.9614, 0.1281], [7.3872, 0.0376]] },
      { electrons: 2, edge: 11.544, fluorescence: 0.27, lines: [[9.6724, 0.8145], [11.2852, 0.1516], [8.7244, 0.0219]] },
      { electrons: 2, edge: 12.0998, fluorescence: 0.148, lines: [[9.8188, 0.41], [9.5249, 0.3275], [11.6745, 0.1066], [11.6082, 0.0804]] },
    ],
  },
  molybdenum: {
    Z: 42, atomicWeight: 95.95, meanExcitation: 424,
    kShell: {
      electrons: 2, edge: 19.9995, fluorescence: 0.7672,
      lines: [[17.4793, 0.5496], [17.3744, 0.2882], [19.6072, 0.0932], [19.5898, 0.0477], [19.9647, 0.0212]],
    },
    lShells: [],
  },
};
