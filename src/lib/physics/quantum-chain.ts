import { layersIntegral, type BeamSpectrum, type Layer } from './beam-spectrum.ts';
import { lensCoupling } from './lens-coupling.ts';
import { screenAbsorption, screenEnergy, screenLight, type Screen } from './screen.ts';

/** The camera that looks at the screen. */
export interface ScreenCamera {
  /** Edge of a pixel, mm, on the sensor, and of the patch of screen that it sees. */
  readonly pixel: number;
  readonly patch: number;
  readonly fNumber: number;
  /** What glass and mirrors let through; lensCoupling's when left out. */
  readonly lensTransmission?: number;
  /** Electrons for each photon of green light: 0.5 for an ordinary colour sensor's green pixels, up to 0.9. */
  readonly quantumEfficiency: number;
  /** Standard deviation of reading a pixel, electrons. */
  readonly readNoise: number;
  /** Electrons at which a pixel is full, which is the largest grey value. */
  readonly fullWell: number;
  readonly bits: number;
}

export interface ChainOptions {
  /** At the tube, filters in it. */
  readonly spectrum: BeamSpectrum;
  /** Tube current times exposure of one photograph. */
  readonly mAs: number;
  /** mm */
  readonly sourceToScreen: number;
  readonly screen: Screen;
  readonly camera: ScreenCamera;
  /** What lies in the way, the object's layers; nothing when left out. */
  readonly object?: readonly Layer[];
}

export type StageName = 'X-rays arriving' | 'X-rays absorbed' | 'light towards the camera' | 'light collected' | 'electrons';

export interface QuantumChain {
  /** Quanta for each pixel and photograph, on average, from the screen to the sensor. */
  readonly stages: readonly { readonly name: StageName; readonly quanta: number }[];
  /** The stage with the fewest quanta, which rules the noise: with light to spare, the X-rays absorbed. */
  readonly sink: StageName;
  /** Electrons of a pixel, and their standard deviation from one photograph to the next. */
  readonly electrons: number;
  readonly deviation: number;
  /** deviation/electrons, which is also the standard deviation of the line integral where the open beam is known well. */
  readonly relativeNoise: number;
  /** Grey value, 0 to 2^bits − 1, and whether the pixel is full. */
  readonly grey: number;
  readonly saturated: boolean;
}

/**
 * From the tube to a grey value: what is left of a photograph's quanta at each stage in one pixel, and the noise that follows.
 *   n(E) = photons(E)·mAs·(1 m/distance)²·patch²·e^(−object);   an X-ray of energy E gives c·e(E) electrons on average, Poisson,
 *   e(E) = the energy that the screen keeps of an absorbed one, c = light for each keV · lens · quantum efficiency
 *   electrons = Σ n·a·c·e,   deviation² = Σ n·a·(c·e)² + electrons + readNoise² + step²/12,   a = share absorbed, step = fullWell/(2^bits − 1)
 * Left out: the screen's blur, which smooths noise as it smooths detail and makes neighbouring pixels alike; scattered X-rays; the spread of light
 * from grain to grain; dark current. A full pixel stops at fullWell.
 * Throws RangeError for mAs, a distance or a figure of the camera of 0 or below (read noise: below 0), or bits that are not 1 to 16.
 * Source: the cascade of Poisson processes, Rabbani, Shaw & Van Metter, J. Opt. Soc. Am. A 4, 895 (1987), from memory.
 */
export function quantumChain({ spectrum, mAs, sourceToScreen, screen, camera, object = [] }: ChainOptions): QuantumChain {
  checkCamera(camera);
  if (!(mAs > 0)) throw new RangeError(`The exposure is ${mAs} mAs and should be above 0.`);
  if (!(sourceToScreen > 0)) throw new RangeError(`The screen is ${sourceToScreen} mm from the source; it should be above 0.`);
  const toLight = screenLight(screen);
  const lens = lensCoupling(camera.fNumber, camera.pixel / camera.patch, camera.lensTransmission);
  const electronsPerKeV = toLight * lens * camera.quantumEfficiency;
  const reach = mAs * (1000 / sourceToScreen) ** 2 * camera.patch ** 2;
  let arriving = 0, absorbed = 0, kept = 0, spread = 0;
  spectrum.keV.forEach((keV, i) => {
    if (!(spectrum.photons[i] > 0)) return;
    const photons = spectrum.photons[i] * reach * Math.exp(-layersIntegral(object, keV));
    const stopped = screenAbsorption(screen, keV);
    const energy = screenEnergy(screen, keV); // of each that arrives; energy/stopped of each that is absorbed
    arriving += photons;
    absorbed += photons * stopped;
    kept += photons * energy;
    spread += (photons * energy * energy) / stopped;
  });
  const light = kept * toLight;
  const electrons = kept * electronsPerKeV;
  const stages = [
    { name: 'X-rays arriving', quanta: arriving },
    { name: 'X-rays absorbed', quanta: absorbed },
    { name: 'light towards the camera', quanta: light },
    { name: 'light collected', quanta: light * lens },
    { name: 'electrons', quanta: electrons },
  ] as const;
  const levels = 2 ** camera.bits - 1;
  const step = camera.fullWell / levels;
  const deviation = Math.sqrt(spread * electronsPerKeV ** 2 + electrons + camera.readNoise ** 2 + step ** 2 / 12);
  return {
    stages,
    sink: stages.reduce((least, stage) => (stage.quanta < least.quanta ? stage : least) as typeof least, stages[0]).name,
    electrons,
    deviation,
    relativeNoise: deviation / electrons,
    grey: Math.min(levels, electrons / step),
    saturated: electrons >= camera.fullWell,
  };
}

function checkCamera({ pixel, patch, quantumEfficiency, readNoise, fullWell, bits }: ScreenCamera): void {
  const above = (what: string, value: number, unit: string) => {
    if (!(value > 0 && value < Infinity)) throw new RangeError(`The camera's ${what} is ${value}${unit} and should be above 0.`);
  };
  above('pixel', pixel, ' mm');
  above('patch of screen', patch, ' mm');
  above('full well', fullWell, ' electrons');
  if (!(quantumEfficiency > 0 && quantumEfficiency <= 1)) throw new RangeError(`The camera's quantum efficiency is ${quantumEfficiency} and should be above 0 and at most 1.`);
  if (!(readNoise >= 0 && readNoise < Infinity)) throw new RangeError(`The camera's read noise is ${readNoise} electrons and should be 0 or more.`);
  if (!(Number.isInteger(bits) && bits >= 1 && bits <= 16)) throw new RangeError(`The camera writes ${bits} bits; it should be a whole number from 1 to 16.`);
}
