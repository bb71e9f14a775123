/** The picture that fills the field when the reader has not asked for another: the one that the command line would make. */
import { scanGrid, type Table2D } from '../../lib/index.ts';
import { shape, type Taken } from './model.ts';
import { scanOf } from './scanfile.ts';

export function usualGrid(taken: Taken, table: Table2D): { size: number; pixelSize: number } {
  const { views, detectors } = shape(table, taken);
  try {
    const { width, pixelSize } = scanGrid(scanOf(taken, undefined, views, detectors));
    if (width > 0 && pixelSize > 0 && Number.isFinite(pixelSize)) return { size: width, pixelSize };
  } catch { /* an answer is impossible just now, and said so beside its field */ }
  return { size: Math.max(16, detectors), pixelSize: 1 };
}
