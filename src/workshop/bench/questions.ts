/** What the bench asks about a plan: every value with its place in the plan file, its words, and how it is typed. */
import type { Plan, QuantityKind } from '../../lib/index.ts';
import type { Path } from './model.ts';

interface Asked {
  readonly path: Path;
  readonly label: string;
  /** A sentence without its stop, under the field. */
  readonly hint?: string;
}

export interface AskedQuantity extends Asked {
  readonly kind: QuantityKind;
  /** Of the plan file, where it is not the kind's usual one; `scale`: the plan's value for each of the field's unit. */
  readonly unit?: string;
  readonly scale?: number;
  readonly after?: string;
  readonly above?: number;
  readonly from?: number;
  readonly to?: number;
  readonly whole?: boolean;
  /** What holds where nothing is given. */
  readonly empty?: string;
}

export interface AskedChoice extends Asked {
  readonly options: readonly { readonly value: string; readonly label: string }[];
  /** The one that holds where nothing is given. */
  readonly usual?: string;
}

export type AskedValue = AskedQuantity | AskedChoice;

export interface Group {
  readonly title: string;
  readonly asks: readonly AskedValue[];
}

const length = { kind: 'length', above: 0 } as const;

export const groups = {
  tube: {
    title: 'Tube',
    asks: [
      { path: ['tube', 'anode'], label: 'Metal of the target', options: [{ value: 'tungsten', label: 'tungsten' }, { value: 'molybdenum', label: 'molybdenum' }] },
      { path: ['tube', 'kVp'], label: 'Peak voltage', kind: 'voltage', from: 15, to: 120 },
      { path: ['tube', 'mA'], label: 'Current', kind: 'current', above: 0 },
      { path: ['tube', 'focalSpot'], label: 'Width of the focal spot', kind: 'length', from: 0, to: 20, hint: 'Full width at half its brightness; photograph a pinhole to know it' },
      { path: ['tube', 'heatLimit'], label: 'Heat that it may hold', kind: 'heat', above: 0, empty: 'not known', hint: 'From its data sheet; without it no rest can be worked out' },
      { path: ['tube', 'coolingTime'], label: 'Cools to 37 % of its heat in', kind: 'time', above: 0, empty: 'not known' },
      { path: ['tube', 'output'], label: 'Air kerma at 1 m, measured', kind: 'number', after: 'µGy/mAs', above: 0, empty: 'estimated' },
      { path: ['tube', 'housing'], label: 'Housing', usual: 'bare', options: [{ value: 'bare', label: 'none that is tested: it shines to all sides' }, { value: 'rated', label: 'sold and tested to let through 1 mGy an hour at 1 m' }] },
    ],
  },
  lamp: {
    title: 'Lamp and lens',
    asks: [
      { path: ['lamp', 'electrons'], label: 'Electrons of an open pixel in a second of exposure', kind: 'electrons', above: 0, to: 1e9, hint: 'From a photograph of the lit sheet: its share of full scale, in proportion to light, times the electrons of a full pixel, over the seconds it was exposed' },
      { path: ['lamp', 'opening'], label: 'Opening of the lens', kind: 'length', from: 0, to: 200, hint: 'Its focal length over the f-number' },
      { path: ['lamp', 'wavelength'], label: 'Middle of the lamp’s colour', kind: 'number', after: 'nm', from: 380, to: 780, empty: 'not told' },
    ],
  },
  distances: {
    title: 'Distances',
    asks: [
      { path: ['distances', 'sourceToAxis'], label: 'From the source to the axis', ...length },
      { path: ['distances', 'sourceToDetector'], label: 'From the source to the screen', ...length },
    ],
  },
  screen: {
    title: 'Screen',
    asks: [
      { path: ['screen', 'coating'], label: 'Phosphor on it (Gd₂O₂S)', kind: 'massPerArea', above: 0, to: 2000 },
      { path: ['screen', 'blur'], label: 'Spreads a point of light over', kind: 'length', from: 0, to: 20, empty: 'estimated', hint: 'Full width at half its brightness' },
    ],
  },
  camera: {
    title: 'Camera',
    asks: [
      { path: ['camera', 'pitch'], label: 'A pixel’s width on the screen', ...length },
      { path: ['camera', 'columns'], label: 'Pixels in a row', kind: 'number', from: 2, to: 65_536, whole: true },
      { path: ['camera', 'rows'], label: 'Rows of pixels', kind: 'number', from: 1, to: 65_536, whole: true },
      { path: ['camera', 'sensorPixel'], label: 'A pixel’s width on its sensor', kind: 'length', above: 0, empty: 'estimated' },
      { path: ['camera', 'fNumber'], label: 'f-number of the lens', kind: 'f-number', from: 0.5, to: 64 },
      { path: ['camera', 'quantumEfficiency'], label: 'Photons of light that become electrons', kind: 'share', unit: '%', scale: 0.01, above: 0, to: 1 },
      { path: ['camera', 'readNoise'], label: 'Noise of reading a pixel', kind: 'electrons', to: 10_000 },
      { path: ['camera', 'fullWell'], label: 'Electrons of a full pixel', kind: 'electrons', above: 0 },
      { path: ['camera', 'bits'], label: 'Bits of a stored value', kind: 'number', from: 8, to: 16, whole: true },
    ],
  },
  exposure: {
    title: 'Exposure',
    asks: [
      { path: ['exposure', 'seconds'], label: 'Each exposure lasts', kind: 'time', above: 0, to: 86_400 },
      { path: ['exposure', 'frames'], label: 'Exposures averaged for a view', kind: 'number', from: 1, to: 1000, whole: true, empty: '1' },
      { path: ['exposure', 'rest'], label: 'Rest between exposures', kind: 'time', to: 86_400, empty: 'as the heat asks' },
    ],
  },
  views: {
    title: 'Turn',
    asks: [
      { path: ['views', 'count'], label: 'Views', kind: 'number', from: 2, to: 65_536, whole: true },
      { path: ['views', 'turn'], label: 'spread over', kind: 'angle', above: 0, to: 4 * Math.PI, empty: '360' },
      { path: ['views', 'start'], label: 'First view at', kind: 'angle', empty: '0' },
      { path: ['views', 'direction'], label: 'Seen from above, the object turns', usual: 'counterclockwise', options: [{ value: 'counterclockwise', label: 'clockwise (the source goes round it counter-clockwise)' }, { value: 'clockwise', label: 'counter-clockwise (the source goes round it clockwise)' }] },
    ],
  },
  stage: {
    title: 'Turntable with a stepper motor',
    asks: [
      { path: ['stage', 'fullSteps'], label: 'Full steps in a turn of the motor', kind: 'number', from: 1, to: 100_000, whole: true, hint: '200 for a motor of 1.8°' },
      { path: ['stage', 'microsteps'], label: 'Microsteps in a full step', kind: 'number', from: 1, to: 1024, whole: true },
      { path: ['stage', 'gear', 'motor'], label: 'Turns of the motor', kind: 'number', from: 1, to: 100_000, whole: true },
      { path: ['stage', 'gear', 'table'], label: 'to so many of the table', kind: 'number', from: 1, to: 100_000, whole: true },
    ],
  },
  room: {
    title: 'The room, and who is near',
    asks: [
      { path: ['room', 'distance'], label: 'From the nearer of tube and object to a person', ...length, unit: 'm', scale: 1000 },
      { path: ['room', 'occupancy'], label: 'Share of the beam’s time that they are there', kind: 'share', unit: '%', scale: 0.01, to: 1, empty: '100' },
      { path: ['room', 'scansPerYear'], label: 'Scans in a year', kind: 'number', from: 0, to: 100_000, empty: '1' },
      { path: ['room', 'minutes'], label: 'Beam in a year besides: flats, trials, focusing', kind: 'time', unit: 'min', empty: '0' },
    ],
  },
} as const satisfies Readonly<Record<string, Group>>;

/** What a lamp makes of the words: the lens stands where the source would. */
const inLight: Readonly<Record<string, Pick<Asked, 'label' | 'hint'>>> = {
  'distances.sourceToAxis': { label: 'From the lens to the axis', hint: 'Through a tank: the way in air times the liquid’s refractive index, and the way in the liquid' },
  'distances.sourceToDetector': { label: 'From the lens to the plane in focus', hint: 'The axis itself, where the camera is focused on it' },
  'camera.pitch': { label: 'A pixel’s width on the plane in focus', hint: 'Photograph a ruler there' },
  'camera.fNumber': { label: 'f-number of the lens', hint: 'For the run sheet' },
  'exposure.rest': { label: 'Rest between exposures' },
};
const ofXrays = new Set(['camera.sensorPixel', 'camera.quantumEfficiency']);

/** A group as it is asked in a plan with a tube, or with a lamp. */
export function asked(group: Group, { lamp }: Pick<Plan, 'lamp'>): Group {
  if (!lamp) return group;
  return {
    title: group.title,
    asks: group.asks.filter((ask) => !ofXrays.has(nameOf(ask))).map((ask) => {
      const name = nameOf(ask);
      if ('options' in ask) return { ...ask, options: ask.options.map(({ value, label }) => ({ value, label: label.replace('the source', 'the lens') })) };
      if (!(name in inLight)) return ask;
      const optional = name === 'camera.fNumber' ? { empty: 'not told' } : name === 'exposure.rest' ? { empty: 'none' } : {};
      return { ...ask, hint: undefined, ...inLight[name], ...optional };
    }),
  };
}

const nameOf = (ask: Asked) => ask.path.join('.');
