import type { Light } from './light.ts';

/** Takes the dark frame off, in place. What falls below 0 is noise and stays, so that means stay right. */
export function subtractDark(light: Light, dark: Light): void {
  if (dark.width !== light.width || dark.height !== light.height) throw new RangeError(`a dark frame of ${dark.width} × ${dark.height} does not fit a frame of ${light.width} × ${light.height}`);
  for (let i = 0; i < light.data.length; i++) light.data[i] -= dark.data[i];
}
