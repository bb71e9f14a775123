import { deviationOfMedian, quantile } from './median.ts';
import { medianAround } from './around.ts';
import type { Light } from './light.ts';

/** What is usual at a level of light. */
export interface Usual {
  readonly middle: (level: number) => number;
  /** Standard deviation, from the median distance to the middle, so that outliers and edges hardly count. */
  readonly deviation: (level: number) => number;
}

const groups = 16;

/**
 * The middle and the spread of `values`, as they change with `levels`: noise grows with light. Sixteen groups of equal size, straight
 * lines between their middles.
 */
export function usualByLevel(levels: Float64Array, values: Float64Array): Usual {
  const order = Array.from(levels.keys()).sort((a, b) => levels[a] - levels[b]);
  const count = Math.max(1, Math.min(groups, Math.floor(order.length / 50)));
  const at = new Float64Array(count), middle = new Float64Array(count), deviation = new Float64Array(count);
  for (let group = 0; group < count; group++) {
    const members = order.slice(Math.floor((group * order.length) / count), Math.floor(((group + 1) * order.length) / count));
    at[group] = quantile(Float64Array.from(members, (i) => levels[i]), 0.5);
    middle[group] = quantile(Float64Array.from(members, (i) => values[i]), 0.5);
    deviation[group] = deviationOfMedian * quantile(Float64Array.from(members, (i) => Math.abs(values[i] - middle[group])), 0.5);
  }
  return { middle: between(at, middle), deviation: between(at, deviation) };
}

function between(x: Float64Array, y: Float64Array): (level: number) => number {
  return (level) => {
    let i = 0;
    while (i < x.length && x[i] <= level) i++;
    if (i === 0) return y[0];
    if (i === x.length) return y[i - 1];
    return y[i - 1] + ((level - x[i - 1]) / (x[i] - x[i - 1])) * (y[i] - y[i - 1]);
  };
}

const samples = 20_000;

/** How far a pixel of this picture usually is from the median around it, by the level of light. */
export function noiseByLevel(light: Light): Usual {
  const { width, height, data } = light;
  const around = medianAround(light);
  // A step that shares no factor with the width wanders over all columns.
  let step = Math.max(1, Math.floor(data.length / samples));
  while (step > 1 && width % step === 0) step++;
  const count = Math.ceil((width * height) / step);
  const levels = new Float64Array(count), distances = new Float64Array(count);
  for (let k = 0, i = 0; i < data.length; i += step, k++) {
    levels[k] = around(i % width, Math.floor(i / width));
    distances[k] = data[i] - levels[k];
  }
  return usualByLevel(levels, distances);
}
