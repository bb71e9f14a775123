import { histogram } from '../measure/histogram.ts';
import { otsuThreshold } from '../measure/otsu-threshold.ts';
import { statistics } from '../measure/statistics.ts';
import { linearAttenuation, type Material } from '../physics/attenuation.ts';
import type { Volume } from '../types.ts';

export interface ThresholdSuggestion {
  /** What parts the values best into two classes, 1/mm. */
  readonly otsu: number;
  /** Half-way between the commonest value of the one class and that of the other, 1/mm: where a blurred edge between the two lies. */
  readonly halfway: number;
  /** Those commonest values, 1/mm. */
  readonly lower: number;
  readonly upper: number;
}

/**
 * Where the surface of an object of one material in air may lie. otsu is drawn towards the larger class; halfway is what a surface
 * wants, because an edge that is blurred evenly crosses the middle of its two values where the edge is. Of several materials the two
 * classes are a mixture: take thresholdBetween, or half-way between two means measured in regions.
 * A volume of one value: all four are that value.   NaN voxels are left out.
 * Source: otsuThreshold's; half-way between two materials is common practice, no source.
 */
export function suggestThreshold(volume: Pick<Volume, 'data'>): ThresholdSuggestion {
  const otsu = otsuThreshold(volume);
  const { least, greatest } = statistics(volume);
  const lower = commonest(volume, least, otsu), upper = commonest(volume, otsu, greatest);
  return { otsu, halfway: (lower + upper) / 2, lower, upper };
}

/** Half-way between the attenuations of two materials of the table at an energy (keV), 1/mm; 'nothing' is 0. */
export function thresholdBetween(first: Material | 'nothing', second: Material | 'nothing', keV: number): number {
  const of = (material: Material | 'nothing') => (material === 'nothing' ? 0 : linearAttenuation(material, keV));
  return (of(first) + of(second)) / 2;
}

/** Where 64 bins, each averaged with its neighbours so that noise makes no peak of its own, are fullest; between bins by a parabola. */
function commonest(volume: Pick<Volume, 'data'>, from: number, to: number): number {
  if (!(to > from)) return from;
  const { edges, counts } = histogram(volume, 64, [from, to]);
  const even = counts.map((_, bin) => {
    let sum = 0, weights = 0;
    for (let k = Math.max(0, bin - 2); k <= Math.min(63, bin + 2); k++) {
      sum += (3 - Math.abs(k - bin)) * counts[k];
      weights += 3 - Math.abs(k - bin);
    }
    return sum / weights;
  });
  const top = even.indexOf(Math.max(...even));
  const middle = (edges[top] + edges[top + 1]) / 2;
  if (top === 0 || top === 63) return middle;
  const bend = even[top - 1] - 2 * even[top] + even[top + 1];
  return bend < 0 ? middle + ((even[top - 1] - even[top + 1]) / (2 * bend)) * (edges[1] - edges[0]) : middle;
}
