import type { PhotoStep } from '../../lib/index.ts';

/** What each step from light to line integrals is called. */
export const stepTitles: Readonly<Record<PhotoStep, string>> = {
  linearise: 'Undo the camera’s curve', dark: 'Take off the dark', pixels: 'Mend bad pixels', spots: 'Take out spots', bin: 'Put pixels together', glare: 'Take off glare',
  flat: 'Divide by the flat', exposure: 'Even the exposures', logarithm: 'Take −ln', columns: 'Fill dead columns', rings: 'Suppress rings', hardening: 'Straighten beam hardening',
};
