import type { ToGrey } from './picture.ts';

/** A photograph of the screen, one number a pixel: data[row · width + column], row 0 at the top, as it is to be looked at. */
export interface Photograph {
  readonly width: number;
  readonly height: number;
  /** What is stored, as a share of the file's full scale, 0…1; not yet light (see linearise). Floats of a TIFF are as they are. */
  readonly data: Float32Array;
  /** Bits of one sample in the file. */
  readonly bits: number;
  /** Pixels at full scale, where more light would have made no difference; of a JPEG, within one step of it. */
  readonly saturated: number;
  /** How light is probably written in this file: a guess from its kind, for want of a statement. */
  readonly encoding: 'srgb' | 'linear' | 'unknown';
  /** Mean of each channel as a share of full scale, of a colour picture. */
  readonly channels?: { readonly red: number; readonly green: number; readonly blue: number };
}

/** Which channel of a colour photograph is taken. */
export type Channel = 'red' | 'green' | 'blue';

const channelNames: readonly Channel[] = ['red', 'green', 'blue'];

/**
 * Takes one channel of colour samples, so that the numbers are still what the camera stored: a mixture of channels that were each
 * written along a curve does not lie on that curve. Green is the channel for the usual green screen, and has most of a camera's cells.
 * Also leaves the mean of each channel, as a share of full scale, in `means`.
 */
export function takeChannel(channel: Channel, means: { channels?: Photograph['channels'] } = {}): ToGrey {
  const chosen = channelNames.indexOf(channel);
  return (samples, channels, width, height, full) => {
    const taken = new Float32Array(width * height);
    const sums = [0, 0, 0];
    for (let pixel = 0, at = 0; pixel < taken.length; pixel++, at += channels) {
      taken[pixel] = samples[at + chosen];
      sums[0] += samples[at];
      sums[1] += samples[at + 1];
      sums[2] += samples[at + 2];
    }
    const [red, green, blue] = sums.map((sum) => sum / (taken.length * full));
    means.channels = { red, green, blue };
    return taken;
  };
}
