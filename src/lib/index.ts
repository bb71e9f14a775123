/** The public face of the library: the contents page. */
export * from './types.ts';

// Long work, in steps that can be followed and stopped
export { finish, part, run, waitFor, type Steps } from './engine/steps.ts';

// Where the heavy loops run
export { EngineLost, engineNames, type Engine, type EngineName, type ReconstructOptions } from './engine/engine.ts';
export { plainEngine } from './engine/plain.ts';
export { simdEngine, type SimdOptions } from './engine/simd/simd-engine.ts';
export { gpuEngine, type GpuEngine, type GpuOptions } from './engine/gpu/gpu-engine.ts';
export { useKernels } from './engine/in-use.ts';
export { openEngine, type OpenOptions } from './engine/open-engine.ts';
export { keepGoing, type NextEngine } from './engine/keep-going.ts';
export { engineAgreement, type Agreement } from './engine/agreement.ts';
export { engineSpeed, type EngineSpeed } from './engine/engine-speed.ts';
export { updatesPerSecond } from './engine/updates-per-second.ts';

// What X-rays lose in a material
export * from './physics/attenuation.ts';

// X-ray tubes: their beams, and what filters and objects make of them
export { tubeSpectrum, type TubeOptions } from './physics/tube-spectrum.ts';
export type { Anode } from './physics/anodes.ts';
export { filtered, layersIntegral, type BeamSpectrum, type Layer } from './physics/beam-spectrum.ts';
export type { DetectorWeight } from './physics/detector-weight.ts';
export { meanEnergy, transmission } from './physics/transmission.ts';
export { halfValueLayer, type HalfValueLayer } from './physics/half-value-layer.ts';
export { effectiveEnergy } from './physics/effective-energy.ts';
export { beamHardening, type HardeningPoint } from './physics/beam-hardening.ts';
export { energyShares } from './physics/energy-shares.ts';
export { airKerma } from './physics/air-kerma.ts';

// Screen, lens and camera: quanta and noise
export { screenAbsorption, screenBlur, screenEnergy, screenLight, type Screen } from './physics/screen.ts';
export { lensCoupling } from './physics/lens-coupling.ts';
export { quantumChain, type ChainOptions, type QuantumChain, type ScreenCamera, type StageName } from './physics/quantum-chain.ts';
export { contrastPerNoise, countNoise, lineIntegralNoise, logOfCounts, reconstructionNoise } from './physics/noise.ts';

// Planning: heat of the tube, steps of the stage, what may reach a person
export { dutyCycle, exposureEnergy, heatUnitFactor, heatUnits, joulesPerHeatUnit, type Waveform } from './physics/tube-energy.ts';
export { tubeHeat, type ExposurePlan, type HeatCurve, type TubeLimits } from './physics/tube-heat.ts';
export { restNeeded } from './physics/rest-needed.ts';
export type { Stage } from './physics/stage.ts';
export { stageTable, type StageRow, type StageTable } from './physics/stage-table.ts';
export { evenViews, requireEvenViews, type EvenViews } from './physics/even-views.ts';
export { stepAccuracy } from './physics/step-accuracy.ts';
export { halfValueLayers, inverseSquare, transmissionAllowed } from './physics/inverse-square.ts';
export { archerRows, halfValueRows, halfValuesInTenth, type BarrierMaterial, type HalfValueSet } from './physics/barrier-tables.ts';
export { archerSet, archerThickness, archerTransmission, halfValueTransmission, limitingHalfValue } from './physics/barrier-transmission.ts';
export { barrierRange, type Barrier, type BarrierRange } from './physics/barrier-range.ts';
export { doseLimits, sharesOfLimits, type DoseLimit, type LimitShare, type Range } from './physics/dose-limits.ts';
export { tubeOutput } from './physics/tube-output.ts';
export { doseEstimate, type DoseEstimate, type DoseQuestion } from './physics/dose-estimate.ts';

// Beams, rays, pixels; how much of the turn a scan saw, and how many views it needs
export { coneBeam, fanBeam, parallelBeam, type ConeOptions, type FanOptions, type ViewsOptions } from './geometry/beams.ts';
export { coneRay } from './geometry/cone-ray.ts';
export { coverage, type Coverage } from './geometry/coverage.ts';
export { detectorIndex, detectorPosition } from './geometry/detector-position.ts';
export { equalAngles } from './geometry/equal-angles.ts';
export { conjugateRay, detectorReach, halfFanAngle, shortScanTurn, widestRay } from './geometry/fan.ts';
export { fieldRadius } from './geometry/field-radius.ts';
export { blurBudget, type BlurBudget, type BlurOptions, type BlurPart } from './geometry/blur-budget.ts';
export { fieldOfView, type FieldOfView } from './geometry/field-of-view.ts';
export { largestMagnification, type LargestMagnification } from './geometry/largest-magnification.ts';
export { magnification } from './geometry/magnification.ts';
export { parkerWeight } from './geometry/parker-weight.ts';
export { pointInCone, type PointInCone } from './project/point-in-cone.ts';
export { pixelAt, pixelPosition } from './geometry/pixel-position.ts';
export { pointInFan, pointOfDetector, pointOnDetector, sourcePosition, type PointInFan } from './geometry/point-on-detector.ts';
export { rayOf, type Ray } from './geometry/ray-of.ts';
export { bestMagnification, effectivePixel, leastSourceDistance, unsharpness } from './geometry/unsharpness.ts';
export { viewWeights } from './geometry/view-weights.ts';
export { viewsByRule, type RuleAnswer } from './geometry/views-by-rule.ts';
export { detailKept, viewsNeeded, type ViewsAnswer, type ViewsQuestion } from './geometry/views-needed.ts';

// Phantoms and their exact projections
export { lineIntegral } from './phantom/line-integral.ts';
export { centreOfMass, mass } from './phantom/mass.ts';
export { projectPhantom, type ProjectPhantomOptions } from './phantom/project-phantom.ts';
export { rasterize } from './phantom/rasterize.ts';
export { bead, disc, ellipse, gaussian, type Ellipse, type Gaussian, type Phantom, type Shape } from './phantom/shapes.ts';
export { sheppLogan, type SheppLoganOptions } from './phantom/shepp-logan.ts';
export { valueAt } from './phantom/value-at.ts';

// Solids, and their exact projections in a cone beam
export {
  ball, box, cone, cylinder, difference, ellipsoid, halfSpace, hexNut, intersection, prism, rod, spring, union,
  type Form, type Solid, type SpringOptions, type Stance, type Substance, type Vector,
} from './phantom/solids.ts';
export { attenuationOf } from './phantom/attenuation-of.ts';
export { capsule, oilDensity } from './phantom/capsule.ts';
export { chord, pathLengths } from './phantom/chord.ts';
export { insideSolid, solidAt } from './phantom/inside-solid.ts';
export { projectLight, projectLightSteps, type EnergyShare, type ProjectLightOptions } from './phantom/project-light.ts';
export { projectPaths, projectPathsSteps, projectSolids, projectSolidsSteps, substancesOf, type ProjectSolidsOptions, type SubstancePaths } from './phantom/project-solids.ts';
export { volumeOf } from './phantom/volume-of.ts';
export { voxelizeSolids, voxelizeSolidsSteps, type VoxelizeOptions } from './phantom/voxelize-solids.ts';

// Projections of pictures, and their transpose
export { forwardProject, forwardProjectSteps } from './project/forward-project.ts';
export { transposeProject, transposeProjectSteps } from './project/transpose-project.ts';
export { projectionMoment } from './project/projection-moment.ts';
export { forwardProjectCone, forwardProjectConeSteps } from './project/forward-project-cone.ts';
export { transposeProjectCone, transposeProjectConeSteps } from './project/transpose-project-cone.ts';
export { residuals, residualsSteps } from './project/residuals-cone.ts';

// Filters: the ramp, its windows, and windows of one's own
export { windowNames, type Filter, type WindowFunction, type WindowName } from './filter/filter.ts';
export { rampKernel } from './filter/ramp-kernel.ts';
export { filterResponse } from './filter/filter-response.ts';
export { filterKernel } from './filter/filter-kernel.ts';
export { filterViews } from './filter/filter-views.ts';
export { spectra, spectrum, type Spectrum } from './filter/spectrum.ts';
export { compileWindow } from './filter/compile-window.ts';

// Back from shadows to a slice
export { backproject, backprojectSteps, type BackprojectOptions } from './reconstruct/backproject.ts';
export { fbp, fbpSteps, type FbpOptions } from './reconstruct/fbp.ts';
export { fdk, fdkSteps, type FdkOptions } from './reconstruct/fdk.ts';
export { rowsOf, slabCuts, slabOf, type Slab } from './reconstruct/slab.ts';

// Better guesses, again and again: slices and volumes from few or noisy views
export type { Iterated, IterateOptions, IterationHistory, Stopped, StopRule } from './reconstruct/iterate.ts';
export type { Operator } from './reconstruct/operator.ts';
export { sirt, sirtSteps, type SirtOptions } from './reconstruct/sirt.ts';
export { osSart, osSartSteps, type OsSartOptions } from './reconstruct/os-sart.ts';
export { cgls, cglsSteps, type CglsOptions } from './reconstruct/cgls.ts';
export { totalVariation, totalVariationSteps, type TotalVariationHistory, type TotalVariationOptions } from './reconstruct/total-variation.ts';
export { noiseInViews } from './reconstruct/noise-in-views.ts';
export { averageCells } from './reconstruct/average-cells.ts';
export { uprightSteps, type Upright } from './reconstruct/upright-frames.ts';
export { methodNames, reconstructWith, usualIterations, usualIterative, type Iterative, type MethodName, type MethodRecipe, type Reconstructed } from './reconstruct/reconstruct-with.ts';

// Looking at a volume: cuts, rays, surfaces
export type { Point3 } from './volume/point.ts';
export { voxelAt, voxelPosition } from './volume/voxel-position.ts';
export { valueInVolume } from './volume/trilinear.ts';
export { normalOf, planeAcross, planeThrough, pointOnPlane, type Plane } from './volume/plane.ts';
export { cut, cutSteps, gridOfCut, polygonOfCut, type CutOptions } from './volume/cut.ts';
export { cameraAround, cameraFrame, type Camera, type CameraFrame } from './volume/camera.ts';
export { castRays, castRaysSteps, type CastOptions, type CastPicture, type ClipPlane, type Transfer, type TransferPoint } from './volume/cast-rays.ts';
export { mostTriangles, surface, surfaceSteps, type SurfaceOptions } from './volume/surface.ts';
export { joinMeshes, type Mesh } from './volume/mesh.ts';
export { meshArea, meshVolume } from './volume/mesh-volume.ts';
export { watertight, type Tightness } from './volume/watertight.ts';
export { connectedParts, type MeshPart } from './volume/connected-parts.ts';
export { smoothMesh, smoothMeshSteps } from './volume/smooth-mesh.ts';
export { suggestThreshold, thresholdBetween, type ThresholdSuggestion } from './volume/suggest-threshold.ts';
export { volumeStatistics, volumeStatisticsSteps, type VolumeStatistics } from './volume/volume-statistics.ts';
export { histogramOf } from './volume/histogram-of.ts';
export { checkVolumeGrid, fitGrid, volumeMemory } from './volume/fit-grid.ts';

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
export { angleAt, distanceBetween, type Point } from './measure/distance-between.ts';
export { circleThrough, fitCircle, type Circle, type FittedCircle } from './measure/circle-through.ts';
export { regionStatistics, type FlatRegion, type Region, type RegionStatistics } from './measure/region-statistics.ts';
export { materialsNear, type MaterialNear } from './measure/materials-near.ts';

// Files, both ways
export { BadInput } from './files/bad-input.ts';
export { checkMemory, inWords, memoryLimit } from './files/memory-limit.ts';
export { readTable, type Table2D } from './files/read-table.ts';
export { readNpy, type NpyArray } from './files/read-npy.ts';
export { checkNpyLength, longestNpyHeader, npyHeader, type NpyHeader } from './files/npy-header.ts';
export { writeNpy, type NpyType } from './files/write-npy.ts';
export { readDelimited } from './files/read-delimited.ts';
export { writeDelimited } from './files/write-delimited.ts';
export type { Picture } from './files/picture.ts';
export { readPng } from './files/read-png.ts';
export { writePng } from './files/write-png.ts';
export { readTiff } from './files/read-tiff.ts';
export { writeTiff, type TiffSample } from './files/write-tiff.ts';
export { writeTiffStack } from './files/write-tiff-stack.ts';
export { readNrrd, type NrrdVolume } from './files/read-nrrd.ts';
export { writeNrrd, writeNrrdGzip, type NrrdSample } from './files/write-nrrd.ts';
export { volumeEndings, volumeLayout, type VolumeEnding, type VolumeLayout } from './files/volume-layout.ts';
export { readSlabNote, writeSlabNote, type SlabNote } from './files/slab-note.ts';
export { readStl } from './files/read-stl.ts';
export { writeStl } from './files/write-stl.ts';
export { checkFinite } from './files/check-finite.ts';
export { photographOf, readPhotograph, type ColourPixels, type ReadPhotographOptions } from './files/read-photograph.ts';
export { isJpeg, jpegHeader } from './files/read-jpeg.ts';
export type { Channel, Photograph } from './files/photograph.ts';
export { upright, type Orientation8 } from './files/exif-orientation.ts';
export { compareNatural, naturalOrder } from './files/natural-order.ts';
export { sortFrames, type SortedFrames } from './files/sort-frames.ts';
export { isZip, unpackZip, type ZipEntry } from './files/read-zip.ts';
export { guessOrientation, turned, type Orientation } from './files/guess-orientation.ts';
export { readScan, writeScan, type Scan } from './files/scan.ts';
export { readPlan, writePlan, type LampPlan, type Plan, type PlanForm, type PlanSolid, type XrayPlan } from './files/plan.ts';
export { xrayPlan } from './files/xray-plan.ts';
export { planSolids } from './files/plan-solids.ts';
export { planToScan, type PlanToScanOptions } from './files/plan-to-scan.ts';
export { planHeat } from './files/plan-heat.ts';
export { planDose } from './files/plan-dose.ts';
export { readQuantity, type QuantityOptions } from './files/read-quantity.ts';
export { quantityKinds, type QuantityKind } from './files/quantity-kinds.ts';
export { scanGeometry, scanGrid } from './files/scan-geometry.ts';
export { scanSinogram } from './files/scan-sinogram.ts';
export { scanPhotoOptions } from './files/scan-photo-options.ts';
export { scanVolumeGrid } from './files/scan-volume-grid.ts';
export { scanRecipe } from './files/scan-recipe.ts';
export { scanAxis, type ScanAxis } from './files/scan-axis.ts';
export { scanBead, type ScanBead } from './files/scan-bead.ts';

// What a reader takes away from a plan: a sheet to print, a table of steps, a program for the stage
export { runSheet, type RunSheet, type SheetNote } from './run-sheet/run-sheet.ts';
export { runTimes, type SheetOptions, type RunTimes } from './run-sheet/run-times.ts';
export type { SheetFrame } from './run-sheet/run-frames.ts';
export type { SheetPart } from './run-sheet/sheet-checks.ts';
export { resumeAt } from './run-sheet/resume-at.ts';
export { duration } from './run-sheet/duration.ts';
export { stepTableCsv } from './run-sheet/step-table-csv.ts';
export { controllerListing } from './run-sheet/controller-listing.ts';

// Plans: all that follows from one, a rehearsal, and what would be enough
export { derivePlan, type DeriveOptions } from './rehearse/derive-plan.ts';
export type { Derived, DerivedFigure, Knob, Mark } from './rehearse/derived.ts';
export { rehearse, rehearseSteps, type Rehearsal, type RehearseOptions } from './rehearse/rehearse.ts';
export type { PartFigures, RehearsalFigures } from './rehearse/measure-rehearsal.ts';
export { rehearseEdgeSteps, type RehearseEdgeOptions } from './rehearse/rehearse-edge.ts';
export { sliceNoise, type SliceNoiseQuestion } from './rehearse/slice-noise.ts';
export { sliceResolution, type SliceResolution } from './rehearse/slice-resolution.ts';
export { planBlur, type PlanBlur } from './rehearse/plan-blur.ts';
export { workingBin } from './rehearse/plan-geometry.ts';
export { enoughFor, enoughForSteps, type Enough, type EnoughLimit, type EnoughLimits, type EnoughWish } from './rehearse/enough-for.ts';
export { enoughGrid, type EnoughGrid } from './rehearse/enough-grid.ts';
export { planObject, type PlanObject } from './rehearse/plan-object.ts';

// Photographs of the screen, and the light in them, to line integrals
export { lineIntegrals, lineIntegralsFrom, lineIntegralsSteps } from './photos/line-integrals.ts';
export type { LineIntegrals, PhotoFrames, PhotoOptions, PhotoReport, PhotoScan } from './photos/photo-scan.ts';
export { photoSteps, type Light, type PhotoStep, type Rectangle, type StepReport } from './photos/light.ts';
export { lightOf, lightToSrgb, linearise, srgbToLight, type Curve, type MeasuredCurve } from './photos/linearise.ts';
export { curveFromExposures, type CurveReport, type ExposedPhotograph } from './photos/curve-from-exposures.ts';
export { averageFrames, type FrameAverage } from './photos/average-frames.ts';
export { subtractDark } from './photos/subtract-dark.ts';
export { findBadPixels, mendPixels, type BadPixels } from './photos/bad-pixels.ts';
export { findSpots, removeSpots, type SpotOptions } from './photos/spots.ts';
export { binFrame, suggestedBin, workingSize, type WorkingSize } from './photos/bin-frame.ts';
export { blur } from './photos/blur.ts';
export { addGlare, glareFromOpaque, removeGlare, type Glare } from './photos/glare.ts';
export { divideByFlat } from './photos/divide-flat.ts';
export { estimateFlat, type EstimatedFlat } from './photos/estimate-flat.ts';
export { openRegion, openRegionSteps, type OpenRegion } from './photos/open-region.ts';
export { evenExposure, exposureLevels, levelTogether } from './photos/exposure.ts';
export { takeLogarithm } from './photos/take-logarithm.ts';
export { fillColumns, findDeadColumns } from './photos/dead-columns.ts';
export { suppressRings, suppressRingsOf, suppressRingsSteps, type RingOptions, type RingReport } from './photos/rings.ts';
export { hardeningCurve, manyEnergies, straighten, straightened, type Hardening, type HardeningOptions } from './photos/hardening.ts';
export { findSameFrames, findTruncation, type FrameWarning, type Truncation } from './photos/frame-faults.ts';
export { workingGeometry } from './photos/working-geometry.ts';
export { turnSeen, type TurnSeen } from './photos/half-turn.ts';

// Where the axis is, which frames were lost, what a bead tells
export { findAxis, findAxisSteps, type Axis } from './align/find-axis.ts';
export { mostSteps, placeFrames, placeFramesSteps, type BeamWithoutAngles, type Duplicate, type Placement, type PlaceOptions } from './align/place-frames.ts';
export { followBead, geometryFromBead, type BeadGeometry, type BeadPath } from './align/bead.ts';
export { fitEllipse, type EllipseFit } from './measure/ellipse-fit.ts';

// The library against the outside world
export type { Check, CheckResult, LoadFixture } from './verify/check.ts';
export { passes, runChecks, type RunOptions } from './verify/run.ts';
