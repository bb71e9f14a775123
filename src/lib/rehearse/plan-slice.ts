import type { Plan } from '../files/plan.ts';
import type { Filter } from '../filter/filter.ts';
import { erf } from '../phantom/erf.ts';
import { objectParts, type ObjectPart } from './object-parts.ts';
import { planBlur } from './plan-blur.ts';
import { lightBehind, lineVariance, type PlanLight } from './plan-light.ts';
import type { PlanObject } from './plan-object.ts';
import type { RaySample } from './sample-rays.ts';
import { sliceNoise } from './slice-noise.ts';
import { sliceResolution, type SliceResolution } from './slice-resolution.ts';

/** What the rays of a sample say of a plan, before anything is simulated. */
export interface PlanSlice {
  /** Behind the thickest place: the light that is left, the path in each substance, mm, and the noise of a line integral. */
  readonly thickest: { readonly light: number; readonly paths: readonly number[]; readonly noise: number };
  /** Variance of a line integral in the middle of the object, on average, and the light and its square behind it, ray by ray. */
  readonly middle: { readonly xray: number; readonly camera: number; readonly rays: MiddleRays };
  /** Standard deviation of a voxel in the middle of the object, 1/mm. */
  readonly noise: number;
  /** The value that a slice will show for each substance, 1/mm, as this beam sees it there. */
  readonly values: readonly number[];
  readonly parts: readonly (ObjectPart & { readonly value: number; readonly contrast: number; readonly shown: number; readonly cnr: number })[];
  readonly resolution: SliceResolution;
}

/** What is left of the light, and of its square, behind the middle of the object: the same at every exposure. */
export type MiddleRays = readonly { readonly ray: number; readonly light: number; readonly square: number }[];

/** The part of the object whose noise is meant: within so much of its radius, and of half its height. */
export const middleShare = 0.3;

/**
 * Light, noise and contrast that a plan will have, by the rays of `sample`.
 *   value of a substance   (ln of the light without it − ln of the light with it) / path, over all rays that meet it: hardening counts
 *   noise                  sliceNoise with the mean variance of the rays through the middle of the object
 *   contrast               value − value of what surrounds it; shown is the share of it that is left at the middle of a wall as thick as the part, erf(√(ln 2)·thickness/resolution)
 *   cnr                    |contrast| · shown / noise
 * Streaks, rings, scattered X-rays and the faults of rigs are not in it.
 */
export function planSlice(plan: Plan, object: PlanObject, light: PlanLight, sample: RaySample, bin: number, filter: Filter): PlanSlice {
  const { substances, radius, bottom, top } = object;
  const behind = lightBehind(light, substances);
  const out = new Float64Array(2), without = new Float64Array(2);
  const added = substances.map(() => ({ integral: 0, path: 0 }));
  let thickest = { light: Infinity, square: 1, ray: 0 };
  const rays: { ray: number; light: number; square: number }[] = [];
  // Where the source is so near that no ray of the sample falls into the middle, the nearest one stands for it.
  let nearest = { ray: 0, light: 1, square: 1, away: Infinity };
  let left = -1, ray = 0;
  const path = (k: number) => (k === left ? 0 : sample.paths[k][ray]);
  for (; ray < sample.count; ray++) {
    left = -1;
    behind(path, out);
    if (out[0] < thickest.light) thickest = { light: out[0], square: out[1], ray };
    const away = Math.abs(sample.aside[ray]) + Math.abs(sample.up[ray] - (top + bottom) / 2);
    if (away < nearest.away) nearest = { ray, light: out[0], square: out[1], away };
    if (Math.abs(sample.aside[ray]) <= middleShare * radius && Math.abs(sample.up[ray] - (top + bottom) / 2) <= (middleShare * (top - bottom)) / 2) {
      rays.push({ ray, light: out[0], square: out[1] });
    }
    for (let k = 0; k < substances.length; k++) {
      const length = sample.paths[k][ray];
      if (!(length > 0)) continue;
      left = k;
      behind(path, without);
      added[k].integral += Math.log(without[0] / out[0]);
      added[k].path += length;
    }
  }
  if (rays.length === 0) rays.push(nearest);
  const middle = middleVariance(light, rays);
  const { cell, screen, budget } = planBlur(plan, bin);
  const resolution = sliceResolution(budget, filter);
  const blur = screen / (2 * Math.sqrt(2 * Math.log(2))) / cell;
  const noise = sliceNoise({ ...middle, views: plan.views.count, cell, blur, filter, oneRow: plan.camera.rows === 1 });
  const values = added.map(({ integral, path: length }) => (length > 0 ? integral / length : 0));
  const worst = lineVariance(light, thickest.light, thickest.square);
  return {
    thickest: { light: thickest.light, paths: sample.paths.map((paths) => paths[thickest.ray]), noise: Math.sqrt(worst.xray + worst.camera) },
    middle: { ...middle, rays }, noise, values, resolution,
    parts: objectParts(object).map((part) => {
      const value = values[part.substance];
      const contrast = value - (part.against < 0 ? 0 : values[part.against]);
      const shown = erf((Math.sqrt(Math.LN2) * part.thickness) / resolution.width);
      return { ...part, value, contrast, shown, cnr: (Math.abs(contrast) * shown) / noise };
    }),
  };
}

/** The mean variance of the line integrals through the middle of an object. */
export function middleVariance(light: PlanLight, rays: MiddleRays): { xray: number; camera: number } {
  let [xray, camera] = [0, 0];
  for (const { light: left, square } of rays) {
    const variance = lineVariance(light, left, square);
    xray += variance.xray / rays.length;
    camera += variance.camera / rays.length;
  }
  return { xray, camera };
}
