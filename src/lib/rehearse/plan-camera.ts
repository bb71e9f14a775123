import type { XrayPlan } from '../files/plan.ts';
import type { ScreenCamera } from '../physics/quantum-chain.ts';

/** Width of the sensor that a picture is taken to fill where the plan does not say what a pixel covers on it, mm: APS-C's. Common practice, no source. */
const usualSensor = 23.5;

/**
 * The camera of a plan as quantumChain asks for it, where `bin` × `bin` pixels (1 when left out) and the frames of a view (1 when left out) are added to one: so many
 * times the electrons and the room for them, read noise as the root of their number. A pixel's place on the sensor, which says how much light the lens
 * gathers, is the plan's sensorPixel; left out, the picture is taken to fill a sensor 23.5 mm wide.
 * bits: of the sum, whose rounding errors add up as the read noise does, to the nearest whole bit above; quantumChain's 16 at most.
 */
export function planCamera({ camera }: Pick<XrayPlan, 'camera'>, bin = 1, frames = 1): ScreenCamera {
  const added = bin * bin * frames;
  return {
    pixel: bin * (camera.sensorPixel ?? usualSensor / camera.columns), patch: bin * camera.pitch,
    fNumber: camera.fNumber, quantumEfficiency: camera.quantumEfficiency,
    readNoise: camera.readNoise * Math.sqrt(added), fullWell: camera.fullWell * added,
    bits: Math.min(16, Math.ceil(camera.bits + Math.log2(added) / 2)),
  };
}
