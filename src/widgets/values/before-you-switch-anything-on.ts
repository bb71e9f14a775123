/** Every number of chapter 0, worked out with the library when the book is built. */
import { archerThickness, doseLimits, exposureEnergy, inverseSquare, tubeOutput } from '../../lib/index.ts';

const mSv = (value: number) => ({ value, unit: 'mSv' });
const limit = (who: 'public' | 'worker', part: string, period: string) => doseLimits.find((each) => each.who === who && each.part === part && each.period === period)!.milliSievert;

// A second in the open beam: skin near a small tube, no barrier, air kerma taken as it is in gray.
const beam = { kV: 70, mA: 1, millimetres: 200, room: 3000 };
const output = tubeOutput(beam.kV);
/** mGy in a second at a distance, mm. */
const atSecond = (perMAs: number, distance: number) => (inverseSquare(perMAs, 1000, distance) * beam.mA) / 1000;
const skin = limit('public', 'skin', 'a year');
/** Gy from which skin reddens, early and for a while: ICRP Publication 118, from memory. */
const reddens = 2;
/** mSv in a year from nature, mean of the world: UNSCEAR 2008, from memory. */
const nature = 2.4;

// A smoothing capacitor, its bleeder, and the energy that counts as hazardous above 15 kV: IEC 61010-1, from memory.
const store = { nanofarads: 2, kV: 70, megohms: 500, down: 50 };
const joules = (nanofarads: number, kV: number) => (nanofarads * 1e-9 * (kV * 1000) ** 2) / 2;
const hazardous = 0.35;
/** Seconds from kV to volts through a resistor. */
const bleed = (nanofarads: number, megohms: number, kV: number, volts: number) => nanofarads * 1e-3 * megohms * Math.log((kV * 1000) / volts);
const stored = joules(store.nanofarads, store.kV);
const bodyOhms = 1000;

const tube = { kV: 70, mA: 2, seconds: 60 };
/** J to warm a gram of tungsten by a degree: 0.134, a handbook's figure at 25 °C, from memory; it rises as the metal grows hot. */
const tungstenHeat = 0.134;
const anode = 100; // g

// A room, worked: a reading at one place, asked for at others.
const room = { reading: 40, at: 1.5, chair: 4, doorway: 6 }; // µSv/h, m
const there = (distance: number) => inverseSquare(room.reading, room.at, distance);
const hours = (perHour: number, goal: number) => (1000 * goal) / perHour;

// Exercises
const ask = { nanofarads: 1.5, kV: 60, bleedNano: 4, bleedMega: 500, bleedKV: 50, bleedDown: 50, reading: 54, at: 1.2, to: 3.6, rate: 12, goal: 1, skinRate: 1.9 };

export const values = {
  kV: { value: beam.kV, unit: 'kV' },
  mA: { value: beam.mA, unit: 'mA' },
  near: { value: beam.millimetres, unit: 'mm' },
  lowSecond: { value: atSecond(output.low, beam.millimetres), unit: 'mGy' },
  likelySecond: { value: atSecond(output.likely, beam.millimetres), unit: 'mGy' },
  highSecond: { value: atSecond(output.high, beam.millimetres), unit: 'mGy' },
  skin: mSv(skin),
  skinLikely: { value: skin / atSecond(output.likely, beam.millimetres), unit: 's' },
  skinHigh: { value: skin / atSecond(output.high, beam.millimetres), unit: 's' },
  reddens: { value: reddens, unit: 'Gy' },
  reddensHigh: { value: (1000 * reddens) / atSecond(output.high, beam.millimetres) / 60, unit: 'min' },
  across: { value: beam.room / 1000, unit: 'm' },
  acrossMinute: { value: 60 * atSecond(output.likely, beam.room), unit: 'mGy' },
  acrossLimit: { value: limit('public', 'whole body', 'a year') / (60 * atSecond(output.likely, beam.room)), unit: 'min' },
  nature: mSv(nature),
  anybody: mSv(limit('public', 'whole body', 'a year')),
  worker: mSv(limit('worker', 'whole body', 'a year, averaged over 5 years')),
  single: mSv(limit('worker', 'whole body', 'any single year')),

  capacitor: { value: store.nanofarads, unit: 'nF' },
  stored: { value: stored, unit: 'J' },
  hazardous: { value: hazardous, unit: 'J' },
  times: { value: stored / hazardous, unit: '' },
  body: { value: bodyOhms, unit: 'Ω' },
  peak: { value: (store.kV * 1000) / bodyOhms, unit: 'A' },
  megohms: { value: store.megohms, unit: 'MΩ' },
  timeConstant: { value: store.nanofarads * 1e-3 * store.megohms, unit: 's' },
  down: { value: store.down, unit: 'V' },
  bleed: { value: bleed(store.nanofarads, store.megohms, store.kV, store.down), unit: 's' },

  heatMA: { value: tube.mA, unit: 'mA' },
  heatPower: { value: tube.kV * tube.mA, unit: 'W' },
  heatMinute: { value: exposureEnergy(tube) / 1000, unit: 'kJ' },
  anode: { value: anode, unit: 'g' },
  anodeRise: { value: exposureEnergy(tube) / (anode * tungstenHeat), unit: '°C' },

  reading: { value: room.reading, unit: 'µSv/h' },
  readingAt: { value: room.at, unit: 'm' },
  chair: { value: room.chair, unit: 'm' },
  chairThere: { value: there(room.chair), unit: 'µSv/h' },
  chairHours: { value: hours(there(room.chair), 1), unit: 'h' },
  doorway: { value: room.doorway, unit: 'm' },
  doorwayThere: { value: there(room.doorway), unit: 'µSv/h' },
  leadTenth: { value: archerThickness('lead', beam.kV, 0.1), unit: 'mm' },

  ask: {
    nanofarads: { value: ask.nanofarads, unit: 'nF' },
    kV: { value: ask.kV, unit: 'kV' },
    stored: { value: joules(ask.nanofarads, ask.kV), unit: 'J' },
    bleedNano: { value: ask.bleedNano, unit: 'nF' },
    bleedMega: { value: ask.bleedMega, unit: 'MΩ' },
    bleedKV: { value: ask.bleedKV, unit: 'kV' },
    bleedDown: { value: ask.bleedDown, unit: 'V' },
    bleedConstant: { value: ask.bleedNano * 1e-3 * ask.bleedMega, unit: 's' },
    bleed: { value: bleed(ask.bleedNano, ask.bleedMega, ask.bleedKV, ask.bleedDown), unit: 's' },
    reading: { value: ask.reading, unit: 'µSv/h' },
    at: { value: ask.at, unit: 'm' },
    to: { value: ask.to, unit: 'm' },
    there: { value: inverseSquare(ask.reading, ask.at, ask.to), unit: 'µSv/h' },
    rate: { value: ask.rate, unit: 'µSv/h' },
    goal: mSv(ask.goal),
    hours: { value: hours(ask.rate, ask.goal), unit: 'h' },
    skinRate: { value: ask.skinRate, unit: 'mGy' },
    skinTime: { value: skin / ask.skinRate, unit: 's' },
  },
};
