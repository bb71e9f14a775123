/** Which values are black and white on the film. */
import type { Image } from '../../lib/index.ts';
import type { Greys } from './model.ts';

/** Values that this share of the pixels lie below and above, so that a few streaks do not set the greys. */
const OUTSIDE = 0.005;

/** From the 0.5th to the 99.5th percentile; of large images every few pixels are looked at. */
export function usualGreys({ data }: Pick<Image, 'data'>): Greys {
  const every = Math.max(1, Math.floor(data.length / 65536));
  const sample = new Float32Array(Math.ceil(data.length / every));
  for (let k = 0; k < sample.length; k++) sample[k] = data[k * every];
  sample.sort();
  const low = sample[Math.floor((sample.length - 1) * OUTSIDE)], high = sample[Math.ceil((sample.length - 1) * (1 - OUTSIDE))];
  return low < high ? { low, high } : { low: low - 0.5, high: low + 0.5 };
}

/** Symmetric about no difference, which is then the middle grey. */
export function differenceGreys(difference: Pick<Image, 'data'>): Greys {
  const { low, high } = usualGreys({ data: difference.data });
  const most = Math.max(Math.abs(low), Math.abs(high));
  return { low: -most, high: most };
}

/** Dragged across: the window wider or narrower; dragged up: the level higher, so the picture darker. Both in widths of the film. */
export function draggedGreys({ low, high }: Greys, across: number, up: number): Greys {
  const width = (high - low) * 2 ** (3 * across), level = (low + high) / 2 + up * (high - low);
  return { low: level - width / 2, high: level + width / 2 };
}

export const windowOf = ({ low, high }: Greys) => high - low;
export const levelOf = ({ low, high }: Greys) => (low + high) / 2;
export const greysOf = (level: number, window: number): Greys => ({ low: level - window / 2, high: level + window / 2 });
