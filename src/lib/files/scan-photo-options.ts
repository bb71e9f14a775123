import { coverage } from '../geometry/coverage.ts';
import type { PhotoOptions } from '../photos/photo-scan.ts';
import type { Scan } from './scan.ts';
import { scanGeometry } from './scan-geometry.ts';

/** How a scan's photographs become line integrals, as its file says. Throws RangeError where its frames are not photographs. */
export function scanPhotoOptions(scan: Scan): PhotoOptions {
  const { frames } = scan;
  if (frames.kind !== 'photographs') throw new RangeError(`frames.kind is ${frames.kind}, and photographs are expected`);
  return {
    encoding: frames.encoding === 'measured' ? frames.curve! : frames.encoding,
    mirrored: scan.detector.mirrored ?? false,
    turn: coverage(scanGeometry(scan)).kind === 'full' ? 2 * Math.PI : 0,
    ...(frames.crop ? { crop: frames.crop } : {}), ...(frames.bin ? { bin: frames.bin } : {}),
    ...(frames.open ? { open: frames.open } : {}), ...(frames.glare ? { glare: frames.glare } : {}),
    ...(frames.hardening ? { hardening: frames.hardening } : {}),
    steps: Object.fromEntries((frames.without ?? []).map((step) => [step, false])),
  };
}
