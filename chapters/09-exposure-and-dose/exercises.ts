import type { ExerciseDefinition } from '../../src/widgets/exercise/definition.ts';
import { values } from '../../src/widgets/values/exposure-and-dose.ts';

const v = Object.fromEntries(Object.entries(values.ask).map(([name, { value }]) => [name, value])) as Record<keyof typeof values.ask, number>;
const show = (value: number, digits = 3) => String(Number(value.toPrecision(digits))).replace('-', '−');
const ratio = v.far / v.near;

export const exercises: readonly ExerciseDefinition[] = [
  {
    id: 'closer-screen',
    prompt: `With the screen ${v.far} mm from the tube, a good photograph takes ${v.nearMAs} mAs. The screen is moved to ${v.near} mm; everything else stays. How many mAs give the same light now?`,
    answer: v.mAsThere,
    unit: 'mAs',
    tolerance: 0.01,
    wrong: [
      { value: v.nearMAs / ratio, says: 'You divided by the ratio of the distances. The beam spreads in two directions, so its square counts.' },
      { value: v.nearMAs * ratio ** 2, says: 'That would be so if the screen had moved away. Nearer, it gets more, and needs less.' },
      { value: v.nearMAs * ratio, says: 'The screen came nearer, so it needs less and not more; and the square of the ratio counts.' },
      { value: v.nearMAs, says: 'The number of photons that leave the tube stays the same, but more of them meet each pixel when the screen is nearer.' },
    ],
    hint: 'By what factor does the light grow when the screen comes from the one distance to the other?',
    solution: `The light grows by $(${v.far}/${v.near})^2 = ${show(ratio ** 2)}$, so $${v.nearMAs}/${show(ratio ** 2)} =$ ${show(v.mAsThere)} mAs will do.`,
  },
  {
    id: 'photons-behind',
    prompt: `Behind a line integral of ${v.behind}, the noise of the line integral is to be $\\sigma_p = ${v.sigma}$. How many quanta must a pixel count on the *open* screen, if only quanta make noise?`,
    answer: v.open,
    unit: '',
    tolerance: 0.01,
    wrong: [
      { value: 1 / v.sigma ** 2, says: 'That many must arrive *behind* the object. On the open screen there are $e^p$ times as many.' },
      { value: Math.exp(-v.behind) / v.sigma ** 2, says: 'You multiplied by $e^{-p}$ where you should have divided: the object lets less through, so more must be sent.' },
      { value: Math.exp(v.behind) / v.sigma, says: 'The noise is one over the *root* of the count, so $1/\\sigma_p$ enters squared.' },
      { value: Math.exp(2 * v.behind) / v.sigma ** 2, says: 'The attenuation enters once, not squared: the square belongs to $\\sigma_p$ alone.' },
    ],
    hint: 'How many quanta have a scatter of one per cent? That many must arrive.',
    solution: `$1/\\sigma_p^2 =$ ${show(1 / v.sigma ** 2)} must arrive. The object lets $e^{-${v.behind}} = ${show(Math.exp(-v.behind))}$ through, so the open screen needs $${show(1 / v.sigma ** 2)} \\cdot e^{${v.behind}} =$ ${show(v.open)}. And back: $1/\\sqrt{N_0 e^{-p}} = ${show(v.check)}$.`,
  },
  {
    id: 'lens-in-the-way',
    prompt: `A pixel's part of the screen absorbs ${v.sinkXrays} X-rays of ${v.sinkKeV} keV. Each keV gives 30 green photons towards the camera, the lens brings a share of $10^{-4}$ of them to the sensor, and half of those become electrons. What is the noise of the pixel, in per cent, with no other noise?`,
    answer: v.sinkNoise,
    unit: '%',
    tolerance: 0.01,
    wrong: [
      { value: 100 / Math.sqrt(v.sinkXrays), says: 'That is the noise of the X-rays alone. Fewer electrons than X-rays are left, so they count for more.' },
      { value: 100 / Math.sqrt(v.sinkElectrons), says: 'That is the noise of the electrons alone. It is the greater part, but the X-rays add theirs, as squares.' },
      { value: 100 / Math.sqrt(v.sinkElectrons) + 100 / Math.sqrt(v.sinkXrays), says: 'You added the two noises. Independent noises add as squares: $\\sqrt{a^2 + b^2}$.' },
      { value: 100 * Math.hypot(1 / Math.sqrt(v.sinkXrays), 1 / Math.sqrt(v.sinkElectrons / v.sinkSensor)), says: 'You counted the light that the lens collects. Only half of it becomes electrons, and what is not counted adds noise.' },
    ],
    hint: 'Count the electrons first. Then two independent noises: one of the X-rays, one of the electrons.',
    solution: `Each X-ray gives ${show(v.sinkLight)} green photons, of which ${show(v.sinkLight * v.sinkLens)} reach the sensor and ${show(v.sinkLight * v.sinkLens * v.sinkSensor)} become electrons: ${show(v.sinkElectrons)} in all. Then $\\sqrt{1/${v.sinkXrays} + 1/${show(v.sinkElectrons)}} =$ ${show(v.sinkNoise)} %. The quantum sink lies behind the lens.`,
  },
  {
    id: 'a-thousandth',
    prompt: `Deep in a barrier, the half-value layer of lead at 100 kV is ${v.layer} mm (NCRP 49). By this figure, how much lead lets one part in ${v.layerShare} through?`,
    answer: v.layerThickness,
    unit: 'mm',
    tolerance: 0.01,
    wrong: [
      { value: 3 * v.layer, says: 'Three *tenth*-value layers make a thousandth, and a tenth-value layer is $\\log_2 10 = 3.32$ half-value layers.' },
      { value: Math.log(v.layerShare) * v.layer, says: 'You counted in steps of $e$. A half-value layer halves: take the logarithm to the base of 2.' },
      { value: Math.log2(v.layerShare) * v.firstLayer, says: 'You used the first half-value layer of the broad-beam formula. Deeper in the lead the beam is harder, and each half takes several times as much.' },
      { value: (v.layerShare / 2) * v.layer, says: 'You took the layers to add up. Each halves what is left, so ten of them already leave about a thousandth.' },
    ],
    hint: 'How often must a beam be halved to leave a thousandth?',
    solution: `$\\log_2 ${v.layerShare} = ${show(Math.log2(v.layerShare), 4)}$ half-value layers, $${show(Math.log2(v.layerShare), 4)} \\cdot ${v.layer} =$ ${show(v.layerThickness)} mm. The broad-beam formula of NCRP 147 gives ${show(values.archerThousandth.value)} mm. The thicker figure is the one to plan with, and a measurement the one to trust.`,
  },
  {
    id: 'worked-barrier',
    prompt: `An estimate says ${v.value} mSv a week at 1 m from the tube. At ${v.to} m there is a place where no more than ${v.goal} mSv a week is wanted. How thick must the lead be, at ${v.layer} mm a half-value layer?`,
    answer: v.barrier,
    unit: 'mm',
    tolerance: 0.01,
    wrong: [
      { value: Math.log2(v.value / v.goal) * v.layer, says: 'You left the distance out. At the place in question much less arrives than at 1 m.' },
      { value: Math.log2(v.value / v.to / v.goal) * v.layer, says: 'The distance counts as its square.' },
      { value: Math.log(1 / v.allowed) * v.layer, says: 'You took the natural logarithm. Halving counts to the base of 2.' },
      { value: Math.log2(1 / v.allowed), says: 'That is the number of half-value layers. Times the thickness of one it is the lead.' },
    ],
    hint: 'First the distance, then the share that may come through, then how many halvings that is.',
    solution: `At ${v.to} m there would be $${v.value}/${v.to}^2 = ${show(v.value / v.to ** 2)}$ mSv a week. The lead may let $${v.goal}/${show(v.value / v.to ** 2)} = ${show(v.allowed)}$ through, ${show(Math.log2(1 / v.allowed))} half-value layers: ${show(v.barrier)} mm. A designer adds a margin, and has it measured.`,
  },
  {
    id: 'rest-in-the-long-run',
    prompt: `A tube is on for ${v.restSeconds} s at ${v.restKV} kV and ${v.restMA} mA, again and again. Its cooling time is ${v.restCooling} s, and in the long run it is to hold ${v.restHeat} kJ on average. How long must it rest between two exposures?`,
    answer: v.restLong,
    unit: 's',
    tolerance: 0.01,
    wrong: [
      { value: v.restLong + v.restSeconds, says: 'That is the time from one exposure to the next. The exposure itself is a part of it.' },
      { value: v.restLong / v.restSeconds, says: 'That is how many times longer the rest is than the exposure. Multiply it by the length of the exposure.' },
      { value: (v.restSeconds * v.restMean) / v.restPower, says: 'You multiplied by the duty cycle. The time from exposure to exposure is the exposure *divided* by it.' },
      { value: (1000 * v.restHeat) / v.restPower, says: 'That is how long the tube could be on at a stretch if it lost nothing. It does lose heat: on average $Q/t_c$.' },
    ],
    hint: 'On average, as much heat must come in as goes out, $Q/t_c$.',
    solution: `The power is $${v.restKV} \\cdot ${v.restMA} = ${v.restPower}$ W. At ${v.restHeat} kJ the tube loses $${1000 * v.restHeat}/${v.restCooling} = ${show(v.restMean)}$ W, so it may be on for ${show(v.restDuty)} % of the time: an exposure every ${show(v.restLong + v.restSeconds)} s, with a rest of ${show(v.restLong)} s. To keep the *peaks* below ${v.restHeat} kJ it takes a little more, ${show(v.restExact)} s.`,
  },
];
