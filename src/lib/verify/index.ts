import type { Check } from './check.ts';
import { coneChecks } from './cone.ts';
import { fanGeometryChecks } from './fan-geometry.ts';
import { fileChecks } from './files.ts';
import { kernelChecks } from './kernels.ts';
import { magnificationChecks } from './magnification.ts';
import { metricChecks } from './metrics.ts';
import { momentChecks } from './moments.ts';
import { parityChecks } from './parity.ts';
import { phantomChecks } from './phantom.ts';
import { projectionChecks } from './projections.ts';
import { reconstructionChecks } from './reconstruction.ts';
import { samplingChecks } from './sampling.ts';
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
  ...metricChecks, // N
  ...fileChecks, // O
  ...volumeChecks, // P
  ...reconstructionChecks, // the head phantom, reconstructed
];
