import type { ExerciseDefinition } from '../../src/widgets/exercise/definition.ts';
import { values } from '../../src/widgets/values/before-you-switch-anything-on.ts';

const v = Object.fromEntries(Object.entries(values.ask).map(([name, { value }]) => [name, value])) as Record<keyof typeof values.ask, number>;
const show = (value: number, digits = 3) => String(Number(value.toPrecision(digits))).replace('-', '−');

export const exercises: readonly ExerciseDefinition[] = [
  {
    id: 'stored-energy',
    prompt: `A capacitor of ${v.nanofarads} nF stands at ${v.kV} kV. How much energy is stored in it?`,
    answer: v.stored,
    unit: 'J',
    tolerance: 0.01,
    wrong: [
      { value: 2 * v.stored, says: 'The half is missing. While a capacitor is charged its voltage rises from nothing, so on average it is half.' },
      { value: (v.nanofarads * v.kV) / 2000, says: 'The voltage counts squared. That is why so small a capacitor becomes dangerous.' },
      { value: v.stored / 1000, says: 'A kilovolt is 10³ V, and its square 10⁶. One of the thousands got lost.' },
    ],
    hint: '$E = \\tfrac12 C V^2$, with the capacity in farads and the voltage in volts. A nanofarad is $10^{-9}$ F.',
    solution: `$\\tfrac12 \\cdot ${v.nanofarads}\\cdot 10^{-9} \\cdot (${v.kV}\\cdot 10^3)^2 =$ ${show(v.stored)} J, ${show(v.stored / values.hazardous.value)} times what counts as hazardous. And a cable to the tube adds its own capacity.`,
  },
  {
    id: 'how-long-to-wait',
    prompt: `A capacitor of ${v.bleedNano} nF has a bleeder of ${v.bleedMega} MΩ. How long after switching off, at the least, has it fallen from ${v.bleedKV} kV to ${v.bleedDown} V, if the bleeder is whole?`,
    answer: v.bleed,
    unit: 's',
    tolerance: 0.01,
    wrong: [
      { value: v.bleedConstant, says: 'That is the time constant $RC$, in which the voltage falls to 37 %: it still stands at 18 kV then.' },
      { value: v.bleedConstant * Math.log10((1000 * v.bleedKV) / v.bleedDown), says: 'You took the logarithm to the base of ten. The voltage falls as $e^{-t/RC}$, so it is the natural one.' },
      { value: 5 * v.bleedConstant, says: 'Five time constants leave seven parts in a thousand. Of 50 kV that is more than 300 V.' },
      { value: v.bleedConstant * Math.log2((1000 * v.bleedKV) / v.bleedDown), says: 'You counted halvings, and took $RC$ for each. A halving takes only $\\ln 2 = 0.69$ of $RC$.' },
    ],
    hint: 'The voltage falls as $e^{-t/RC}$. By what factor must it fall?',
    solution: `$RC = ${v.bleedNano}\\cdot 10^{-9} \\cdot ${v.bleedMega}\\cdot 10^{6} = ${show(v.bleedConstant)}$ s. A factor of ${show((1000 * v.bleedKV) / v.bleedDown)} takes $\\ln ${show((1000 * v.bleedKV) / v.bleedDown)} = ${show(Math.log((1000 * v.bleedKV) / v.bleedDown))}$ of these: ${show(v.bleed)} s. If the bleeder is broken it takes for ever, and so nobody counts seconds: the voltage is *measured*, then grounded.`,
  },
  {
    id: 'further-away',
    prompt: `A survey meter shows ${v.reading} µSv/h at ${v.at} m from the only source in the room. What would it show at ${v.to} m, by the law of the square?`,
    answer: v.there,
    unit: 'µSv/h',
    tolerance: 0.01,
    wrong: [
      { value: (v.reading * v.at) / v.to, says: 'You divided by the ratio of the distances. The radiation spreads in two directions, so the ratio counts squared.' },
      { value: v.reading * (v.to / v.at) ** 2, says: 'You multiplied. Further away there is less.' },
      { value: v.reading / v.to ** 2, says: 'That would be so if the reading had been taken at 1 m.' },
    ],
    hint: 'How many times further away is it, and how many times larger is the sphere then?',
    solution: `$${v.reading} \\cdot (${v.at}/${v.to})^2 =$ ${show(v.there)} µSv/h. Walls scatter some of it back, so a meter may well show more.`,
  },
  {
    id: 'hours-to-a-limit',
    prompt: `Somewhere in a building the reading is ${v.rate} µSv/h while a tube is on. After how many hours of beam in a year would somebody who is always there have received ${v.goal} mSv?`,
    answer: v.hours,
    unit: 'h',
    tolerance: 0.01,
    wrong: [
      { value: 20 * v.hours, says: 'You took the 20 mSv of a monitored worker. Somebody in a building is anybody: 1 mSv.' },
      { value: v.rate / v.goal, says: 'You divided the other way round. The dose wanted, over what comes in an hour, gives hours.' },
      { value: 1000 / v.rate / 24, says: 'That is in days. The question asks for hours.' },
    ],
    hint: 'A millisievert is 1000 microsievert.',
    solution: `$1000/${v.rate} =$ ${show(v.hours)} h. That is not a time that may be used up: the limit counts everything together, and doses have to be as far below as is reasonable.`,
  },
  {
    id: 'a-hand-in-the-beam',
    prompt: `Near a tube, skin in the open beam would receive ${v.skinRate} mGy in a second. After how many seconds has it received ${values.skin.value} mSv, what anybody's skin may receive in a year?`,
    answer: v.skinTime,
    unit: 's',
    tolerance: 0.01,
    wrong: [
      { value: values.anybody.value / v.skinRate, says: 'You took the limit for the whole body. A hand has the limit for skin, which is larger; it is reached within seconds all the same.' },
      { value: (10 * values.skin.value) / v.skinRate, says: 'You took the 500 mSv for the skin of a monitored worker. The limit for anybody is a tenth of it.' },
      { value: v.skinRate * values.skin.value, says: 'You multiplied. The dose wanted, over what comes in a second, gives seconds.' },
    ],
    hint: 'For X-rays a milligray to the skin is a millisievert.',
    solution: `$${values.skin.value}/${v.skinRate} =$ ${show(v.skinTime)} s. And behind a thin window with no filter it may be ten times faster.`,
  },
];
