/** What the reader carries off, as files; written by the library, so that the command line and any other reader understand them. */
import { writeNpy, writePng, writeScan, writeTiff, type Image, type Table2D } from '../../lib/index.ts';
import type { Greys, Slice } from './model.ts';
import { lineIntegrals } from './prepare.ts';
import { scanOf, SINOGRAM_FILE } from './scanfile.ts';

export interface Parcel {
  readonly name: string;
  readonly type: string;
  readonly bytes: Uint8Array;
}

/** The values in 1/mm, 32-bit floats, row 0 at the top. */
export function sliceAsNpy({ image }: Slice): Parcel {
  return { name: 'slice.npy', type: 'application/octet-stream', bytes: writeNpy([image.height, image.width], image.data) };
}

export function sliceAsTiff({ image }: Slice): Parcel {
  return { name: 'slice.tif', type: 'image/tiff', bytes: writeTiff(image.width, image.height, [image.data]) };
}

/** What is on the film: 8-bit greys between the two levels. */
export async function sliceAsPng({ image }: { readonly image: Image }, greys: Greys): Promise<Parcel> {
  const scale = 255 / (greys.high - greys.low || 1);
  const shown = image.data.map((value) => Math.min(255, Math.max(0, (value - greys.low) * scale)));
  return { name: 'slice.png', type: 'image/png', bytes: await writePng(image.width, image.height, shown, 8) };
}

/** The scan file of the slice; it names sinogram.npy, which goes with it. */
export function scanFile(slice: Slice, pages: readonly Table2D[]): Parcel {
  const { rows, columns } = lineIntegrals(pages[slice.page], slice.taken);
  const text = writeScan(scanOf(slice.taken, slice.recipe, rows, columns));
  return { name: 'scan.json', type: 'application/json', bytes: new TextEncoder().encode(text) };
}

/** The line integrals as the slice was made from them, a view in each row. */
export function sinogramFile(slice: Slice, pages: readonly Table2D[]): Parcel {
  const { rows, columns, data } = lineIntegrals(pages[slice.page], slice.taken);
  return { name: SINOGRAM_FILE, type: 'application/octet-stream', bytes: writeNpy([rows, columns], data) };
}
