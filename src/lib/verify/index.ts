import { attenuationChecks } from './attenuation.ts';
import type { Check } from './check.ts';
import { coneChecks } from './cone.ts';
import { doseChecks } from './dose.ts';
import { fanGeometryChecks } from './fan-geometry.ts';
import { fileChecks } from './files.ts';
import { kernelChecks } from './kernels.ts';
import { magnificationChecks } from './magnification.ts';
import { metricChecks } from './metrics.ts';
import { momentChecks } from './moments.ts';
import { noiseChecks } from './noise.ts';
import { parityChecks } from './parity.ts';
import { phantomChecks } from './phantom.ts';
import { projectionChecks } from './projections.ts';
import { reconstructionChecks } from './reconstruction.ts';
import { samplingChecks } from './sampling.ts';
import { spectrumChecks } from './spectra.ts';
import { stageChecks } from './stage.ts';
import { volumeChecks } from './volumes.ts';

/** Every comparison with the outside world, in the order of the check values' letters. */
export const checks: readonly Check[] = [
  ...phantomChecks, // A
  ...projectionChecks, // B
  ...momentChecks, // C
  ...kernelChecks, // D
  ...parityChecks, // E
  ...fanGeometryChecks, // F
  ...coneChecks, // G
  ...samplingChecks, // H
  ...magnificationChecks, // I
  ...attenuationChecks, // J
  ...spectrumChecks, // J
  ...noiseChecks, // K
  ...doseChecks, // L
  ...stageChecks, // M
  ...metricChecks, // N
  ...fileChecks, // O
  ...volumeChecks, // P
  ...reconstructionChecks, // the head phantom, reconstructed
];
