import type { PlanFacts } from './derive-plan.ts';
import { markOf, percent, short, type DerivedFigure } from './derived.ts';

/** Noise, and what shows in a slice. */
export function deriveSlice({ plan, slice }: PlanFacts): DerivedFigure[] {
  if (!slice) return [];
  const { thickest } = slice;
  const quanta = plan.lamp ? 'electrons' : 'X-rays, light';
  const figures: DerivedFigure[] = [
    {
      key: 'lineNoise', group: 'slice', label: 'Noise of a line integral, thickest place', value: thickest.noise, unit: '', rule: `root of the relative variances of ${quanta}, reading and rounding added (first order of the logarithm)`, good: [0, 0.1],
      mark: markOf(thickest.noise, [0, 0.1], [0, 1]), ...(thickest.noise > 0.1 && { knob: { key: 'exposure.frames', way: 'up' } as const }),
      sentence: `A line integral through the thickest place, ${short(-Math.log(thickest.light))}, has a noise of ${short(thickest.noise)}${thickest.noise > 0.3 ? '; logarithms of so few quanta are also too high on average' : ''}.`,
    },
    {
      key: 'sliceNoise', group: 'slice', label: 'Noise of a slice', value: slice.noise, unit: '1/mm', rule: `π · σ · √(mean of the filter squared)/√views, with ${plan.lamp ? '' : 'the screen’s blur and '}the interpolation between cells (sliceNoise; on the middle of a cell, with the ramp, π·σ/(√(12·views)·pixel))`,
      sentence: `A voxel in the middle of the object will vary by ${short(slice.noise)}/mm from noise alone; streaks of few views come on top.`,
    },
  ];
  for (const part of slice.parts) {
    figures.push({
      key: `cnr.${part.name}`, group: 'slice', label: `Contrast to noise: ${part.name}`, value: part.cnr, unit: '', rule: `difference of attenuation from what surrounds it${plan.lamp ? '' : ', as this beam sees it'}, times what the blur leaves of a part so thin, over the noise of a voxel; 5 is enough to see a single voxel (Rose 1948, from memory)`, good: [5, Infinity],
      mark: markOf(part.cnr, [5, Infinity], [0.5, Infinity]), ...(part.cnr < 5 && { knob: part.shown < 0.5 ? { key: 'camera.pitch', way: 'down' } as const : { key: 'exposure.frames', way: 'up' } as const }),
      parts: { value: part.value, contrast: part.contrast, shown: part.shown, thickness: part.thickness },
      sentence: `${part.name[0].toUpperCase()}${part.name.slice(1)} (${short(part.value)}/mm) differs from ${part.againstName} by ${short(part.contrast)}/mm${part.shown < 0.95 ? `, of which ${percent(part.shown)} is left, as it is only ${short(part.thickness)} mm thick` : ''}: ${short(part.cnr)} times the noise.`,
    });
  }
  return figures;
}
