/** The public face of the library: the contents page. */
export * from './types.ts';

// Long work, in steps that can be followed and stopped
export * from './engine/steps.ts';

// What X-rays lose in a material
export * from './physics/attenuation.ts';

// Beams, rays, pixels; how much of the turn a scan saw, and how many views it needs
export * from './geometry/beams.ts';
export * from './geometry/coverage.ts';
export * from './geometry/detector-position.ts';
export * from './geometry/equal-angles.ts';
export * from './geometry/fan.ts';
export * from './geometry/field-radius.ts';
export * from './geometry/magnification.ts';
export * from './geometry/parker-weight.ts';
export * from './geometry/pixel-position.ts';
export * from './geometry/point-on-detector.ts';
export * from './geometry/ray-of.ts';
export * from './geometry/view-weights.ts';
export * from './geometry/views-needed.ts';

// Phantoms and their exact projections
export * from './phantom/line-integral.ts';
export * from './phantom/mass.ts';
export * from './phantom/project-phantom.ts';
export * from './phantom/rasterize.ts';
export * from './phantom/shapes.ts';
export * from './phantom/shepp-logan.ts';
export * from './phantom/value-at.ts';

// Filters: the ramp, its windows, and windows of one's own
export { windowNames, type Filter, type WindowFunction, type WindowName } from './filter/filter.ts';
export { rampKernel } from './filter/ramp-kernel.ts';
export { filterResponse } from './filter/filter-response.ts';
export { filterKernel } from './filter/filter-kernel.ts';
export { filterViews } from './filter/filter-views.ts';
export { spectrum, type Spectrum } from './filter/spectrum.ts';
export { compileWindow } from './filter/compile-window.ts';

// Back from shadows to a slice
export { backproject, backprojectSteps, type BackprojectOptions } from './reconstruct/backproject.ts';
export { fbp, fbpSteps, type FbpOptions } from './reconstruct/fbp.ts';

// Measures on pictures, and between them
export type { Pixels } from './measure/pixels.ts';
export { mae, psnr, rmse } from './measure/rmse.ts';
export { ssim, type SsimSettings } from './measure/ssim.ts';
export { correlation, linearFit, type LinearFit } from './measure/linear-fit.ts';
export { interpolated, profile, type Profile } from './measure/profile.ts';
export { fullWidthHalfMaximum, pointSpread, type PointSpread } from './measure/point-spread.ts';
export { statistics, type Statistics } from './measure/statistics.ts';
export { histogram, type Histogram } from './measure/histogram.ts';
export { otsuThreshold } from './measure/otsu-threshold.ts';
export { matthews } from './measure/matthews.ts';
export { discMask } from './measure/disc-mask.ts';

// Files, both ways
export { BadInput } from './files/bad-input.ts';
export { checkMemory, memoryLimit } from './files/memory-limit.ts';
export { readTable, type Table2D } from './files/table.ts';
export { readNpy, writeNpy, type NpyArray, type NpyType } from './files/npy.ts';
export { readDelimited, writeDelimited } from './files/delimited.ts';
export type { Picture } from './files/picture.ts';
export { readPng, writePng } from './files/png.ts';
export { readTiff, writeTiff, type TiffSample } from './files/tiff.ts';
export { checkFinite } from './files/finite.ts';
export { guessOrientation, turned, type Orientation } from './files/orientation.ts';
export { readScan, writeScan, type Scan } from './files/scan.ts';
export { scanGeometry, scanGrid } from './files/scan-geometry.ts';
export { scanSinogram } from './files/scan-sinogram.ts';

// The library against the outside world
export type { Check, CheckResult, LoadFixture } from './verify/check.ts';
export { passes, runChecks, type RunOptions } from './verify/run.ts';

// Projections of pictures, and their transpose
export * from './project/forward-project.ts';
export * from './project/projection-moment.ts';
export * from './project/transpose-project.ts';
