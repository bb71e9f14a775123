import type { Sinogram } from '../types.ts';
import { BadInput } from './bad-input.ts';
import { checkFinite } from './check-finite.ts';
import { grouped } from './memory-limit.ts';
import { viewCount, type Scan } from './scan.ts';
import type { Table2D } from './read-table.ts';

/**
 * The line integrals of a scan as scanGeometry counts them: the columns of a mirrored detector are put right.
 * table: a view in each row.   The result shares the table's numbers unless they are mirrored.
 * Throws BadInput: fewer than two views, rows ≠ angles, columns ≠ cells, NaN or infinity.
 */
export function scanSinogram(scan: Scan, table: Table2D, where = 'The sinogram'): Sinogram {
  const { rows, columns, data } = table;
  const views = viewCount(scan.angles);
  if (rows < 2) throw new BadInput(`${where} has one view (1 row of ${grouped(columns)} numbers): a slice needs at least two, and looks like something from about fifty on.`);
  if (rows !== views) {
    const hint = columns === views ? '; its columns would match, so turn it' : '';
    throw new BadInput(`${where} has ${grouped(rows)} rows and the scan has ${grouped(views)} angles${hint}: there should be one row for each angle.`);
  }
  if (columns !== scan.detector.columns) {
    throw new BadInput(`${where} has ${grouped(columns)} columns and detector.columns is ${grouped(scan.detector.columns)}: there should be one column for each cell.`);
  }
  checkFinite(table, where);
  if (!scan.detector.mirrored) return { views, detectors: columns, data };
  const mirrored = new Float32Array(data.length);
  for (let i = 0; i < data.length; i++) mirrored[i] = data[i - 2 * (i % columns) + columns - 1];
  return { views, detectors: columns, data: mirrored };
}
