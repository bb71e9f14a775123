import type { Recipe } from './model.ts';

/** The windows that a reader can choose, sharpest first. */
export const windows: readonly { readonly value: Recipe['window']; readonly label: string }[] = [
  { value: 'ramp', label: 'ramp: sharpest, noise and all' },
  { value: 'shepp-logan', label: 'Shepp–Logan: a little softer' },
  { value: 'cosine', label: 'cosine: softer' },
  { value: 'hann', label: 'Hann: softest, least noise' },
  { value: 'formula', label: 'a formula of my own' },
  { value: 'none', label: 'no filter at all: to see the blur' },
];
