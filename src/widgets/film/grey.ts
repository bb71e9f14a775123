import { interpolateCividis } from 'd3-scale-chromatic';

export type ColourMap = 'grey' | 'cividis';

export interface Picture {
  readonly width: number;
  readonly height: number;
  readonly data: ArrayLike<number>;
}

/** Values that become black and white: the least and the greatest finite value, or around the value when all are alike. */
export function fullWindow(data: ArrayLike<number>): [low: number, high: number] {
  let low = Infinity;
  let high = -Infinity;
  for (let i = 0; i < data.length; i++) {
    const value = data[i];
    if (value < low && value > -Infinity) low = value;
    if (value > high && value < Infinity) high = value;
  }
  if (!(low <= high)) return [0, 1];
  return low < high ? [low, high] : [low - 0.5, high + 0.5];
}

/** 256 packed RGBA pixels in the byte order of this machine, from black (or the map's dark end) to white. */
export function colours(map: ColourMap): Uint32Array {
  let table = tables.get(map);
  if (!table) {
    table = Uint32Array.from({ length: 256 }, (_, i) => {
      const [red, green, blue] = map === 'grey' ? [i, i, i] : interpolateCividis(i / 255).match(/\d+/g)!.map(Number);
      return littleEndian ? (255 << 24) | (blue << 16) | (green << 8) | red : (red << 24) | (green << 16) | (blue << 8) | 255;
    });
    tables.set(map, table);
  }
  return table;
}

const tables = new Map<ColourMap, Uint32Array>();
const littleEndian = new Uint8Array(Uint32Array.of(1).buffer)[0] === 1;

/**
 * Writes the picture as RGBA into `pixels` (4 bytes a pixel). low becomes the first colour and high the last, in 256 equal steps;
 * what is no number shows as the first. low may exceed high: the picture is then a negative.
 */
export function develop(picture: Picture, [low, high]: readonly [number, number], map: ColourMap, pixels: Uint8ClampedArray | Uint8Array): void {
  const table = colours(map);
  const out = new Uint32Array(pixels.buffer, pixels.byteOffset, picture.width * picture.height);
  const scale = 256 / (high - low || 1);
  const { data } = picture;
  for (let i = 0; i < out.length; i++) {
    const level = (data[i] - low) * scale;
    out[i] = table[level > 0 ? (level < 255 ? level | 0 : 255) : 0];
  }
}

/** The map from low to high as a CSS gradient. */
export function gradient(map: ColourMap): string {
  if (map === 'grey') return 'linear-gradient(to right, #000, #fff)';
  return `linear-gradient(to right, ${Array.from({ length: 9 }, (_, i) => interpolateCividis(i / 8)).join(', ')})`;
}
