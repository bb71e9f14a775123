import { joulesPerHeatUnit } from '../physics/tube-energy.ts';

/** The kinds of quantity that a field can hold, and the units in which each may be typed: how many of the library's own unit each is. */

interface Kind {
  /** In words, in the middle of a sentence. */
  readonly what: string;
  /** Unit of a number that is typed alone. */
  readonly usual: string;
  readonly units: Readonly<Record<string, number>>;
  /** A value in the usual unit that somebody might type. */
  readonly example: number;
  /** Whether it may be below 0. */
  readonly signed?: boolean;
}

const radian = Math.PI / 180;
const inch = 25.4;

/** The same factor under several names. */
const names = (factor: number, ...spellings: string[]): Record<string, number> => Object.fromEntries(spellings.map((name) => [name, factor]));

const kinds = {
  length: { what: 'a length', usual: 'mm', example: 25, signed: true, units: { ...names(1, 'mm'), ...names(10, 'cm'), ...names(1000, 'm'), ...names(1e-3, 'µm', 'um', 'micron', 'microns'), ...names(inch, 'in', 'inch', 'inches', '"', "''"), ...names(12 * inch, 'ft', 'foot', 'feet', "'"), ...names(inch / 1000, 'mil', 'thou') } },
  angle: { what: 'an angle', usual: '°', example: 8, signed: true, units: { ...names(radian, '°', 'deg', 'degree', 'degrees'), ...names(1, 'rad', 'radians'), ...names(1e-3, 'mrad'), ...names(2 * Math.PI, 'turn', 'turns', 'rev'), ...names(radian / 60, "'", 'arcmin'), ...names(radian / 3600, '"', 'arcsec') } },
  voltage: { what: 'a voltage', usual: 'kV', example: 60, units: { ...names(1, 'kV', 'kVp'), ...names(1e-3, 'V'), ...names(1e3, 'MV') } },
  energy: { what: 'an energy', usual: 'keV', example: 60, units: { ...names(1, 'keV'), ...names(1e-3, 'eV'), ...names(1e3, 'MeV') } },
  time: { what: 'a time', usual: 's', example: 2, units: { ...names(86_400, 'd', 'day', 'days'), ...names(3600, 'h', 'hr', 'hour', 'hours'), ...names(60, 'min', 'mins', 'minute', 'minutes'), ...names(1, 's', 'sec', 'second', 'seconds'), ...names(1e-3, 'ms'), ...names(1e-6, 'µs', 'us') } },
  current: { what: 'a current', usual: 'mA', example: 0.5, units: { ...names(1, 'mA'), ...names(1000, 'A'), ...names(1e-3, 'µA', 'uA') } },
  charge: { what: 'a charge', usual: 'mAs', example: 2, units: { ...names(1, 'mAs', 'mC'), ...names(1000, 'As', 'C'), ...names(1e-3, 'µAs', 'uAs', 'µC', 'uC') } },
  heat: { what: 'an amount of heat', usual: 'J', example: 2000, units: { ...names(1, 'J', 'Ws'), ...names(1000, 'kJ'), ...names(1e6, 'MJ'), ...names(joulesPerHeatUnit, 'HU'), ...names(1000 * joulesPerHeatUnit, 'kHU'), ...names(3600, 'Wh') } },
  power: { what: 'a power', usual: 'W', example: 50, units: { ...names(1, 'W', 'J/s'), ...names(1000, 'kW'), ...names(1e-3, 'mW') } },
  massPerArea: { what: 'a mass per area', usual: 'mg/cm²', example: 100, units: { ...names(1, 'mg/cm²', 'mg/cm2', 'mg/cm^2'), ...names(1000, 'g/cm²', 'g/cm2', 'g/cm^2'), ...names(0.1, 'g/m²', 'g/m2', 'g/m^2') } },
  density: { what: 'a density', usual: 'g/cm³', example: 2.7, units: { ...names(1, 'g/cm³', 'g/cm3', 'g/cm^3', 'g/ml', 'kg/l'), ...names(1e-3, 'kg/m³', 'kg/m3', 'kg/m^3', 'g/l') } },
  dose: { what: 'a dose', usual: 'µSv', example: 20, units: { ...names(1, 'µSv', 'uSv'), ...names(1e-3, 'nSv'), ...names(1e3, 'mSv'), ...names(1e6, 'Sv'), ...names(10, 'mrem'), ...names(1e4, 'rem') } },
  electrons: { what: 'a number of electrons', usual: 'e⁻', example: 8, units: { ...names(1, 'e⁻', 'e-', 'e', 'electrons', 'electron') } },
  share: { what: 'a share', usual: '', example: 0.5, units: { ...names(1, ''), ...names(0.01, '%', 'percent') } },
  'f-number': { what: 'an f-number', usual: '', example: 2.8, units: names(1, '') },
  number: { what: 'a number', usual: '', example: 45, signed: true, units: names(1, '') },
} as const satisfies Readonly<Record<string, Kind>>;

export type QuantityKind = keyof typeof kinds;

/**
 * Lengths come out in mm, angles in radians, voltages in kV, energies in keV, times in s, currents in mA, charges in mAs, heat in J, power in W, mass per
 * area in mg/cm², densities in g/cm³, doses in µSv, electrons and plain numbers as they are, a share as a fraction of 1.
 */
export const quantityKinds: Readonly<Record<QuantityKind, Kind>> = kinds;
