import { extname } from 'node:path';
import { BadInput, volumeEndings, volumeLayout, type Volume, type VolumeEnding, type VolumeGrid, type VolumeLayout } from '../lib/index.ts';
import { writePieces } from './files.ts';

/** How a volume will lie in a file of this name. what: "a volume", for the sentence. Throws BadInput for an ending that is none, or a TIFF of more than 4 GB. */
export function layoutFor(path: string, grid: VolumeGrid, title?: string, what = 'a volume'): VolumeLayout {
  return volumeLayout(endingOf(path, what), grid, title);
}

/** Throws BadInput for an ending that is none of a volume. */
export function endingOf(path: string, what = 'a volume'): VolumeEnding {
  const ending = extname(path).toLowerCase();
  if (!(volumeEndings as readonly string[]).includes(ending)) throw new BadInput(`${path}: the name of ${what} must end in .nrrd, .tif or .npy.`);
  return ending as VolumeEnding;
}

/** Writes a volume slice by slice, so that it need not be in memory twice. heard: gets every piece of the file. */
export async function writeVolume(path: string, volume: Volume, layout: VolumeLayout, heard?: (piece: Uint8Array) => void): Promise<void> {
  await writePieces(path, pieces(volume, layout, heard));
}

async function* pieces({ width, height, depth, data }: Volume, { before }: VolumeLayout, heard?: (piece: Uint8Array) => void): AsyncGenerator<Uint8Array> {
  for (let slice = 0; slice < depth; slice++) {
    const values = data.subarray(slice * width * height, (slice + 1) * width * height);
    for (const piece of [before(slice), littleEndian(values)]) {
      heard?.(piece);
      yield piece;
    }
  }
}

function littleEndian(values: Float32Array): Uint8Array {
  const bytes = new Uint8Array(values.buffer, values.byteOffset, values.byteLength);
  return new Uint8Array(Uint16Array.of(1).buffer)[0] === 1 ? bytes : Buffer.from(bytes).swap32();
}
