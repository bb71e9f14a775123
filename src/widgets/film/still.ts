import { encode } from 'fast-png';
import { develop, type ColourMap, type Picture } from './grey.ts';

/** The picture as a PNG in a data: address: what stands on the page before scripts run, and in print. */
export function still(picture: Picture, window: readonly [number, number], map: ColourMap): string {
  const { width, height } = picture;
  const pixels = new Uint8Array(width * height * 4);
  develop(picture, window, map, pixels);
  const channels = map === 'grey' ? 1 : 3;
  const data = new Uint8Array(width * height * channels);
  for (let i = 0; i < width * height; i++) for (let c = 0; c < channels; c++) data[i * channels + c] = pixels[i * 4 + c];
  return `data:image/png;base64,${Buffer.from(encode({ width, height, data, channels, depth: 8 })).toString('base64')}`;
}
