import { BadInput } from '../files/bad-input.ts';
import type { Light } from './light.ts';
import { usualByLevel } from './noise-by-level.ts';
import { storedStep } from './stored-step.ts';

/** Takes frames one after the other and keeps two pictures, however many there are. */
export interface FrameAverage {
  readonly add: (light: Light) => void;
  /** The mean of every pixel. `outliers`: values left out of it. */
  readonly mean: () => { light: Light; frames: number; outliers: number };
}

/** Of a pixel's noise: beyond this, one frame had a spot there. */
const tooFar = 10;
/** And further than so many steps of the stored values, which may be all the noise there is. */
const fewestSteps = 3;
const samples = 40_000;

/**
 * The mean of several frames of the same thing, dark frames or flat ones, without the spots that single photons leave: where the
 * brightest value of a pixel stands out from the mean of the others by ten times what is usual at its brightness, it is left out.
 * (Leaving the brightest out everywhere would darken every pixel.) With one frame, the frame.
 * what: the subject of the sentence when sizes differ.   Throws BadInput then, and of no frames.
 */
export function averageFrames(what: string): FrameAverage {
  let frames = 0, width = 0, height = 0;
  let sum = new Float32Array(0), most = new Float32Array(0);
  return {
    add(light) {
      if (frames++ === 0) {
        ({ width, height } = light);
        sum = light.data.slice();
        most = light.data.slice();
        return;
      }
      if (light.width !== width || light.height !== height) throw new BadInput(`${what} have different sizes: ${light.width} × ${light.height} pixels and ${width} × ${height}.`);
      for (let i = 0; i < sum.length; i++) {
        sum[i] += light.data[i];
        if (light.data[i] > most[i]) most[i] = light.data[i];
      }
    },
    mean() {
      if (frames === 0) throw new BadInput(`${what} are missing.`);
      const data = new Float32Array(sum.length);
      for (let i = 0; i < data.length; i++) data[i] = sum[i] / frames;
      if (frames === 1) return { light: { width, height, data }, frames, outliers: 0 };
      const rest = (i: number) => (sum[i] - most[i]) / (frames - 1);
      const step = Math.max(1, Math.floor(data.length / samples));
      const places = Array.from({ length: Math.ceil(data.length / step) }, (_, k) => k * step);
      const usual = usualByLevel(Float64Array.from(places, rest), Float64Array.from(places, (i) => most[i] - rest(i)));
      let outliers = 0;
      for (let i = 0; i < data.length; i++) {
        const others = rest(i);
        if (most[i] - others <= usual.middle(others) + tooFar * usual.deviation(others) + fewestSteps * storedStep(others)) continue;
        data[i] = others;
        outliers++;
      }
      return { light: { width, height, data }, frames, outliers };
    },
  };
}
