import type { ExerciseDefinition } from '../../src/widgets/exercise/definition.ts';
import { quantityText as say } from '../../src/widgets/value/format.ts';
import { values } from '../../src/widgets/values/from-glow-to-numbers.ts';

const { ask } = values;
const figures = { digits: 4 };
const log = (a: number, b: number) => Math.log(a / b);

export const exercises: readonly ExerciseDefinition[] = [
  {
    id: 'undo-the-curve',
    prompt: `In an 8-bit photograph written with sRGB's curve, a pixel has ${say(ask.flatByte)} of 255 in the flat and ${say(ask.viewByte)} with the object. The exposure was the same and the dark is too small to matter. What is the line integral?`,
    answer: ask.curveIntegral.value,
    unit: '',
    tolerance: 0.01,
    wrong: [
      { value: log(ask.flatByte.value, ask.viewByte.value), says: 'That is the logarithm of the stored values. Half of the stored value is much less than half of the light: undo the curve first.' },
      { value: 2.2 * log(ask.flatByte.value, ask.viewByte.value), says: 'That is the power 2.2, which the curve resembles in the bright half only. sRGB has an offset of 0.055, and it counts here.' },
      { value: 2.4 * log(ask.flatByte.value, ask.viewByte.value), says: 'That leaves out the offset: add 0.055 and divide by 1.055 before raising to the power of 2.4.' },
      { value: ask.flatLight.value / ask.viewLight.value, says: 'That is the ratio of the light. Its natural logarithm is the line integral.' },
    ],
    hint: 'Divide each value by 255, put it through $((v + 0.055)/1.055)^{2.4}$, and only then take the logarithm of the ratio.',
    solution: `${say(ask.flatByte)}/255 is light of ${say(ask.flatLight, figures)}, ${say(ask.viewByte)}/255 is light of ${say(ask.viewLight, figures)}. The logarithm of their ratio is ${say(ask.curveIntegral, figures)}.`,
  },
  {
    id: 'dark-and-flat',
    prompt: `A camera that writes raw values reads ${say(ask.dark)} in the dark, ${say(ask.flat)} in the flat and ${say(ask.view)} with the object, all at one pixel. What is the line integral there?`,
    answer: ask.darkIntegral.value,
    unit: '',
    tolerance: 0.01,
    wrong: [
      { value: log(ask.flat.value, ask.view.value), says: 'The dark is still in both. Subtract it from the flat and from the view before you divide.' },
      { value: log(ask.flat.value, ask.view.value - ask.dark.value), says: 'The flat holds the dark too. Subtract it there as well.' },
      { value: log(ask.flat.value - ask.dark.value, ask.view.value), says: 'The view holds the dark too. Subtract it there as well.' },
      { value: (ask.view.value - ask.dark.value) / (ask.flat.value - ask.dark.value), says: 'That is the transmission. The line integral is minus its natural logarithm.' },
      { value: log(ask.flat.value - ask.dark.value, ask.view.value - ask.dark.value) / Math.LN10, says: 'That is the logarithm to the base of ten. The law of attenuation has an $e$ in it.' },
    ],
    hint: 'Raw values need no curve. What is left of flat and view when the dark is taken off?',
    solution: `(${say(ask.view)} − ${say(ask.dark)})/(${say(ask.flat)} − ${say(ask.dark)}) is the transmission; minus its logarithm is ${say(ask.darkIntegral, figures)}.`,
  },
  {
    id: 'changed-exposure',
    prompt: `After the curve, the dark and the flat, the empty border of one photograph reads ${say(ask.border)} and a pixel behind the object ${say(ask.pixel)}. What is the line integral at that pixel?`,
    answer: ask.borderIntegral.value,
    unit: '',
    tolerance: 0.01,
    wrong: [
      { value: -Math.log(ask.pixel.value), says: 'That believes that the exposure was the flat\'s. The border, where nothing stands in the way, should read 1: divide by what it reads.' },
      { value: -Math.log(ask.pixel.value * ask.border.value), says: 'The border was multiplied in. What brings it to 1 is a division.' },
      { value: ask.pixel.value / ask.border.value, says: 'That is the transmission. Its logarithm is missing.' },
      { value: -Math.log(ask.pixel.value + 1 - ask.border.value), says: 'The missing light was added. A shorter exposure takes the same share everywhere, so divide.' },
    ],
    hint: 'The border should read 1. By what must the whole photograph be divided?',
    solution: `${say(ask.pixel)}/${say(ask.border)} is the transmission, and minus its logarithm is ${say(ask.borderIntegral, figures)}.`,
  },
  {
    id: 'empty-at-the-wrong-exposure',
    prompt: `A camera that adjusts itself exposed one photograph ${say(ask.longer)} *longer* than the flat, and nobody brought its border to 1. What line integral does it show where nothing is in the way?`,
    answer: ask.longerIntegral.value,
    unit: '',
    tolerance: 0.01,
    wrong: [
      { value: -ask.longerIntegral.value, says: 'Mind the sign: more light than in the flat is a transmission above 1, and minus its logarithm is below 0.' },
      { value: 0, says: 'It would be 0 if the exposures agreed. What is the transmission, when more light than in the flat arrives?' },
      { value: 2 ** ask.longer.value, says: 'That is the transmission. The line integral is minus its natural logarithm.' },
      { value: -Math.log(1 + ask.longer.value), says: 'A stop is a factor of two, and half a stop the root of two: raise 2 to the number of stops.' },
      { value: -Math.log10(2 ** ask.longer.value), says: 'That is the logarithm to the base of ten. The law of attenuation has an $e$ in it.' },
      { value: -ask.longer.value, says: 'That is the number of stops. Each stop is a factor of two of light, whose natural logarithm is 0.693.' },
    ],
    hint: 'How many times the light of the flat is that? A line integral is minus the natural logarithm of it.',
    solution: `The transmission is $2^{${ask.longer.value}} =$ ${say(ask.longerFactor, figures)}, and minus its logarithm is ${say(ask.longerIntegral, figures)}. Air cannot attenuate less than nothing: a negative background says that an exposure changed.`,
  },
  {
    id: 'glare-behind-lead',
    prompt: `The dark has been taken off. A pixel reads ${say(ask.leadFlat)} in the flat and ${say(ask.object)} behind a thick part of the object. A small lead disc, which nothing gets through, reads ${say(ask.lead)} where it covers the screen nearby. Take this glare to be the same everywhere and in the flat too. What is the line integral?`,
    answer: ask.hazeIntegral.value,
    unit: '',
    tolerance: 0.01,
    wrong: [
      { value: ask.hazeThin.value, says: 'The glare is still in. Behind the lead there should be no light at all, and there is.' },
      { value: log(ask.leadFlat.value + ask.lead.value, ask.object.value + ask.lead.value), says: 'The glare was added to both. It is already in them: subtract it.' },
      { value: (ask.object.value - ask.lead.value) / (ask.leadFlat.value - ask.lead.value), says: 'That is the transmission. Its logarithm is missing.' },
    ],
    hint: 'What the camera sees behind the lead has not come through anything. It is in the other two readings too.',
    solution: `(${say(ask.leadFlat)} − ${say(ask.lead)})/(${say(ask.object)} − ${say(ask.lead)}) has the logarithm ${say(ask.hazeIntegral, figures)}. With the glare left in it would have been ${say(ask.hazeThin, figures)}: the part would have looked thinner.`,
  },
  {
    id: 'photons-for-noise',
    prompt: `Behind the thickest part of an object the line integral is ${say(ask.behind)}. How many photons must a pixel of the flat count, so that the noise of the line integral there is ${say(ask.sigma)}? (Take the flat itself to be free of noise.)`,
    answer: ask.photons.value,
    unit: '',
    tolerance: 0.01,
    wrong: [
      { value: ask.reach.value, says: 'So many must arrive behind the object. Far more must set out.' },
      { value: 1 / ask.sigma.value * Math.exp(ask.behind.value), says: 'The noise is one over the *square root* of the count.' },
      { value: ask.behind.value ** 2 * ask.reach.value, says: 'The noise of a line integral is not its value times the relative noise. It is the relative noise of the count itself.' },
      { value: Math.exp(2 * ask.behind.value) * ask.reach.value, says: 'The object takes $e^{-p}$ of the photons, once. The square belongs to the noise alone.' },
      { value: ask.behind.value * ask.reach.value, says: 'The line integral is in the exponent: behind it arrive $N_0 e^{-p}$.' },
    ],
    hint: 'How many must arrive for a noise of one over their square root? What share of the open beam is that?',
    solution: `There must arrive $1/\\sigma^2$, which is ${say(ask.reach)}. They are $e^{-p}$ of those that set out, so $N_0$ is ${say(ask.photons, figures)}.`,
  },
];
