import type { VolumeGrid } from '../types.ts';
import { BadInput } from './bad-input.ts';
import { npyHead } from './write-npy.ts';
import { nrrdHead } from './write-nrrd.ts';
import { stackDescription } from './write-tiff-stack.ts';
import { tiffParts } from './write-tiff.ts';

export type VolumeEnding = '.npy' | '.nrrd' | '.tif' | '.tiff';
export const volumeEndings = ['.nrrd', '.npy', '.tif', '.tiff'] as const satisfies readonly VolumeEnding[];

/** Where the slices of a volume of 32-bit floats, little-endian, lie in a file, for who writes or reads one slice at a time. */
export interface VolumeLayout {
  /** What stands right before the numbers of a slice: of slice 0 the head of the file. */
  readonly before: (slice: number) => Uint8Array;
  /** Where the numbers of slice 0 begin, bytes, and how far on those of the next do. */
  readonly first: number;
  readonly apart: number;
  /** Of the whole file. */
  readonly bytes: number;
}

/**
 * The layout of the very file that writeNpy, writeNrrd and writeTiffStack make of such a volume. title: of NRRD.
 * Throws BadInput for a TIFF of more than 4 GB.
 */
export function volumeLayout(ending: VolumeEnding, grid: VolumeGrid, title = ''): VolumeLayout {
  const { width, height, depth } = grid;
  const slice = 4 * width * height;
  if (ending === '.npy' || ending === '.nrrd') {
    const head = ending === '.npy' ? npyHead([depth, height, width]) : nrrdHead(grid, title);
    const nothing = new Uint8Array(0);
    return { before: (k) => (k === 0 ? head : nothing), first: head.length, apart: slice, bytes: head.length + depth * slice };
  }
  const { head, directory, bytes } = partsOfStack(grid);
  const beforeFirst = new Uint8Array([...head, ...directory(0)]);
  return { before: (k) => (k === 0 ? beforeFirst : directory(k)), first: beforeFirst.length, apart: directory(0).length + slice, bytes };
}

function partsOfStack(grid: VolumeGrid): ReturnType<typeof tiffParts> {
  try {
    return tiffParts(grid.width, grid.height, grid.depth, 'float32', stackDescription(grid), grid.voxelSize);
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    throw new BadInput(`A TIFF cannot hold this volume (${error.message}): give it a name that ends in .nrrd or .npy.`);
  }
}
