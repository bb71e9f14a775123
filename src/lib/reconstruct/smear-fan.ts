import { detectorIndex } from '../geometry/detector-position.ts';
import { pixelPosition } from '../geometry/pixel-position.ts';
import type { FanBeam, Grid } from '../types.ts';
import { columnsWhere } from './columns-where.ts';

/**
 * As smearParallel, along the rays of a fan on a flat detector, each value times (R/depth)^power: R the source's distance from the
 * axis, depth that of the pixel, both along the ray through the axis. Filtered views want the power 2, rays counted alike 0.
 * Pixels that lie behind the source, or less than their own width in front of it, get nothing.
 * Source: Kak & Slaney, Principles of Computerized Tomographic Imaging (1988), ch. 3.4, with U = depth/R.
 */
// region backproject-fan
export function smearFan(values: Float64Array, angle: number, geometry: FanBeam, grid: Grid, sum: Float64Array, firstRow: number, endRow: number, power: 0 | 1 | 2): void {
  const { width, pixelSize } = grid;
  const { sourceToAxis, sourceToDetector, pitch, detectors } = geometry;
  const cos = Math.cos(angle), sin = Math.sin(angle);
  const middle = detectorIndex(geometry, 0); // the cell, with its fraction, on which the axis falls
  const scale = sourceToDetector / sourceToAxis / pitch; // cells to a mm at the axis
  const asideStep = scale * pixelSize * cos;
  const depthStep = pixelSize * sin;
  for (let row = firstRow; row < endRow; row++) {
    const [x, y] = pixelPosition(grid, 0, row);
    const asideStart = scale * (x * cos + y * sin);
    const depthStart = sourceToAxis + x * sin - y * cos;
    const { first, end } = columnsWhere(width, [
      { start: depthStart - pixelSize, step: depthStep },
      { start: sourceToAxis * asideStart + middle * depthStart, step: sourceToAxis * asideStep + middle * depthStep }, // at cell 0 or after it
      { start: (detectors - 1 - middle) * depthStart - sourceToAxis * asideStart, step: (detectors - 1 - middle) * depthStep - sourceToAxis * asideStep }, // or before the last,
    ]);
    let aside = asideStart + first * asideStep;
    let depth = depthStart + first * depthStep;
    for (let pixel = row * width + first; pixel < row * width + end; pixel++) {
      const nearness = sourceToAxis / depth;
      const at = middle + aside * nearness;
      const cell = at | 0;
      const value = values[cell];
      const weight = power === 2 ? nearness * nearness : power === 1 ? nearness : 1;
      sum[pixel] += weight * (value + (at - cell) * (values[cell + 1] - value));
      aside += asideStep;
      depth += depthStep;
    }
  }
}
// endregion
