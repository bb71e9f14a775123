import { histogram } from './histogram.ts';
import type { Pixels } from './pixels.ts';
import { statistics } from './statistics.ts';

/**
 * The grey value that parts a picture best into two classes: among the middles of 256 bins from the least to the greatest value,
 * the one for which the variance between the classes, w₀·w₁·(m₁ − m₀)², is greatest. Pixels above it are the brighter class.
 * A picture of one value: that value.   NaN pixels are left out.
 * Source: N. Otsu, IEEE Trans. Syst. Man Cybern. 9 (1979) 62.
 */
export function otsuThreshold(image: Pick<Pixels, 'data'>): number {
  const bins = 256;
  const { least, greatest } = statistics(image);
  if (!(greatest > least)) return least;
  const { edges, counts } = histogram(image, bins, [least, greatest]);
  const middle = (bin: number) => (edges[bin] + edges[bin + 1]) / 2;
  let all = 0, total = 0;
  counts.forEach((count, bin) => { all += count; total += count * middle(bin); });

  let below = 0, belowTotal = 0, best = -Infinity, threshold = least;
  for (let bin = 0; bin < bins - 1; bin++) {
    below += counts[bin];
    belowTotal += counts[bin] * middle(bin);
    const above = all - below;
    const between = below * above * (belowTotal / below - (total - belowTotal) / above) ** 2;
    if (between > best) {
      best = between;
      threshold = middle(bin);
    }
  }
  return threshold;
}
