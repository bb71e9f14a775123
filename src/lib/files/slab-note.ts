import type { VolumeGrid } from '../types.ts';
import { BadInput } from './bad-input.ts';
import { mistakeIn, type Schema } from './check-schema.ts';
import { parseJson } from './parse-json.ts';
import schema from './slab.schema.json' with { type: 'json' };

/** What lies beside a slab: which part of which volume it is. slab.schema.json says what each key means. */
export interface SlabNote {
  readonly format: 'slab';
  readonly version: 1;
  readonly title?: string;
  /** Counted from 1. */
  readonly slab: number;
  readonly of: number;
  readonly firstSlice: number;
  readonly endSlice: number;
  readonly volume: Required<VolumeGrid>;
  readonly scan: string;
  readonly engine: 'plain' | 'simd' | 'gpu';
  readonly file: { readonly bytes: number; readonly first: number; readonly apart: number; readonly sha256: string };
}

/** Throws BadInput, one sentence: not JSON, a key that is unknown or missing, a value that cannot be, slices that the volume has not. */
export function readSlabNote(text: string): SlabNote {
  const value = parseJson(text, 'note beside a slab', 100_000);
  const mistake = mistakeIn(value, schema as unknown as Schema) ?? mistakeAcross(value as SlabNote);
  if (mistake) throw new BadInput(mistake);
  return value as SlabNote;
}

function mistakeAcross({ slab, of, firstSlice, endSlice, volume, file }: SlabNote): string | undefined {
  const { width, height, depth } = volume;
  if (slab > of) return `slab is ${slab} and should be at most of, ${of}.`;
  if (!(firstSlice < endSlice && endSlice <= depth)) return `Slices ${firstSlice} to ${endSlice} (firstSlice, endSlice) are not some of a volume with ${depth}.`;
  const least = file.first + (endSlice - firstSlice - 1) * file.apart + 4 * width * height;
  if (file.apart < 4 * width * height || file.bytes < least) return `file.bytes is ${file.bytes}, and the slices that it describes reach at least to ${least}.`;
  return undefined;
}

/** The text of the note. */
export function writeSlabNote(note: SlabNote): string {
  return `${JSON.stringify(note, null, 2)}\n`;
}
