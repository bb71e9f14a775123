import type { Volume, VolumeGrid } from '../types.ts';
import { voxelPosition } from '../volume/voxel-position.ts';
import { quantizationOf, quantized } from './quantize.ts';

/** What a NRRD file holds: values as they are, or steps of a scale. */
export type NrrdSample = 'float32' | 'uint16';

/**
 * Writes a volume as NRRD, version 4, header attached, raw, little-endian; columns run fastest, then rows, then slices, as in memory.
 * The header places it: space directions (columns to +x, rows to −y, slices to +z, a voxel long each) and space origin (the middle of the
 * first voxel), right-handed, in mm; the values are in 1/mm.
 * 'uint16' halves the file: value = offset + scale · sample, with scale and offset as key/value pairs, and as old min and old max.
 * title: one line of text, kept as the content.
 * Source: the format's definition, NRRD0004 (from memory); read back by three's reader (tests/outside).
 */
export function writeNrrd(volume: Volume, title = '', sample: NrrdSample = 'float32'): Uint8Array {
  const { header, data } = partsOf(volume, title, sample, 'raw');
  const bytes = new Uint8Array(header.length + data.length);
  bytes.set(header);
  bytes.set(data, header.length);
  return bytes;
}

/** The same, packed with gzip: about a tenth smaller where there is noise, much smaller where there is none. */
export async function writeNrrdGzip(volume: Volume, title = '', sample: NrrdSample = 'float32'): Promise<Uint8Array> {
  const { gzipSync } = await import('fflate');
  const { header, data } = partsOf(volume, title, sample, 'gzip');
  const packed = gzipSync(data, { mtime: 0 });
  const bytes = new Uint8Array(header.length + packed.length);
  bytes.set(header);
  bytes.set(packed, header.length);
  return bytes;
}

function partsOf(volume: Volume, title: string, sample: NrrdSample, encoding: 'raw' | 'gzip'): { header: Uint8Array; data: Uint8Array } {
  const { width, height, depth, data } = volume;
  if (data.length !== width * height * depth) throw new RangeError(`a volume of ${width} × ${height} × ${depth} needs ${width * height * depth} values; there are ${data.length}`);
  let samples: Float32Array | Uint16Array = data;
  const more: string[] = [];
  if (sample === 'uint16') {
    const { scale, offset } = quantizationOf(data);
    samples = quantized(data, { scale, offset });
    // Of 65536 equal cells between old min and old max, a sample stands for the middle of its own.
    more.push(`old min: ${offset - scale / 2}`, `old max: ${offset + 65535.5 * scale}`, `scale:=${scale}`, `offset:=${offset}`);
  }
  return { header: nrrdHead(volume, title, sample, encoding, more), data: littleEndian(samples) };
}

/** What stands before the samples of such a file. more: lines after the others. */
export function nrrdHead(grid: VolumeGrid, title = '', sample: NrrdSample = 'float32', encoding: 'raw' | 'gzip' = 'raw', more: readonly string[] = []): Uint8Array {
  const { width, height, depth, voxelSize } = grid;
  const lines = [
    'NRRD0004',
    ...(title ? [`content: ${oneLine(title)}`] : []),
    `type: ${sample === 'float32' ? 'float' : 'unsigned short'}`,
    'dimension: 3',
    'space: 3D-right-handed',
    `sizes: ${width} ${height} ${depth}`,
    `space directions: (${voxelSize},0,0) (0,${-voxelSize},0) (0,0,${voxelSize})`,
    'centerings: cell cell cell',
    'kinds: domain domain domain',
    'endian: little',
    `encoding: ${encoding}`,
    'space units: "mm" "mm" "mm"',
    `space origin: (${voxelPosition(grid, 0, 0, 0).join(',')})`,
    'sample units: 1/mm',
    ...more,
  ];
  return new TextEncoder().encode(`${lines.join('\n')}\n\n`);
}

/** The bytes of the numbers, lowest first: their own where the machine keeps them so. */
function littleEndian(samples: Float32Array | Uint16Array): Uint8Array {
  const bytes = new Uint8Array(samples.buffer, samples.byteOffset, samples.byteLength);
  if (new Uint8Array(Uint16Array.of(1).buffer)[0] === 1) return bytes;
  const size = samples.BYTES_PER_ELEMENT;
  const turned = new Uint8Array(bytes.length);
  for (let i = 0; i < bytes.length; i++) turned[i] = bytes[i - (i % size) + size - 1 - (i % size)];
  return turned;
}

const oneLine = (text: string) => text.replace(/\s+/g, ' ').trim();
