import { BadInput } from './bad-input.ts';

/** A grey picture as a file holds it: raw sample values, not scaled; pages[p][row · width + column], row 0 at the top. */
export interface Picture {
  readonly width: number;
  readonly height: number;
  readonly pages: Float32Array[];
  /** Bits of one sample in the file. */
  readonly bits: number;
  /** What a sample is in the file. */
  readonly sample: 'unsigned' | 'signed' | 'float';
}

/** Red, green and blue that differ by less than this share of the range are taken for grey. */
const greyTolerance = 0.01;

/**
 * The grey of interleaved colour samples whose channels agree; luminance 0.2126 R + 0.7152 G + 0.0722 B (ITU-R BT.709) of what is left.
 * samples: `channels` a pixel, red, green, blue first.   full: the largest value that a sample can have.
 * Throws BadInput with the first pixel that is coloured.
 */
export function greyOf(samples: ArrayLike<number>, channels: number, width: number, height: number, full: number, kind: string): Float32Array {
  const grey = new Float32Array(width * height);
  for (let pixel = 0; pixel < grey.length; pixel++) {
    const red = samples[pixel * channels];
    const green = samples[pixel * channels + 1];
    const blue = samples[pixel * channels + 2];
    if (Math.max(red, green, blue) - Math.min(red, green, blue) > greyTolerance * full) {
      throw new BadInput(
        `This ${kind} is a colour picture (row ${Math.floor(pixel / width) + 1}, column ${(pixel % width) + 1} has red ${red}, green ${green}, blue ${blue}): ` +
        'a sinogram needs one grey value a pixel, so save it in greyscale.',
      );
    }
    grey[pixel] = red === green && green === blue ? red : 0.2126 * red + 0.7152 * green + 0.0722 * blue;
  }
  return grey;
}

/** What makes one grey value a pixel of interleaved colour samples; greyOf, or one channel of them. */
export type ToGrey = typeof greyOf;

/** Refuses a picture with transparent pixels: what is behind them is not in the file. */
export function checkOpaque(samples: ArrayLike<number>, channels: number, full: number, kind: string): void {
  for (let i = channels - 1; i < samples.length; i += channels) {
    if (samples[i] < full) throw new BadInput(`This ${kind} has transparent pixels: flatten it and save it without an alpha channel.`);
  }
}
