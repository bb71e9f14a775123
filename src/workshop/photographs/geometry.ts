/** What the answers make of the scan: the working beam, the voxels, what stands in the way. */
import { BadInput, checkVolumeGrid, fieldRadius, magnification, scanGeometry, scanPhotoOptions, scanVolumeGrid, workingGeometry, type ConeBeam, type VolumeGrid } from '../../lib/index.ts';
import { wishFaults } from '../method.ts';
import { anglesOf, stepsInTurn, viewsOf, type Roll } from './model.ts';
import { scanOf } from './scanfile.ts';

export interface Outline {
  /** Of the working frames. */
  readonly beam: ConeBeam;
  readonly grid: VolumeGrid;
  readonly magnification: number;
  /** mm at the axis: of a working cell, and across all that every view sees. */
  readonly cell: number;
  readonly field: number;
  /** Degrees from the first view to where the first would come again. */
  readonly span: number;
}

/** Throws BadInput or RangeError where the answers do not fit together. */
export function outlineOf(roll: Roll, axis: { readonly offset?: number; readonly tilt?: number } = {}): Outline {
  const scan = scanOf(roll, axis);
  const beam = workingGeometry(scanGeometry(scan) as ConeBeam, roll.size!, scanPhotoOptions(scan));
  if (!(beam.detectors >= 4 && beam.rows >= 1)) throw new BadInput('Too little is kept of the photographs: at least 4 columns and 1 row must remain after cropping and binning.');
  const field = 2 * fieldRadius(beam);
  if (!(field > 0)) throw new BadInput('What is kept of the photographs does not reach the axis, so that no point is seen in all views: keep more of them.');
  const grid = scanVolumeGrid(scan, beam);
  const angles = anglesOf(roll);
  return { beam, grid, magnification: magnification(beam), cell: beam.pitch / magnification(beam), field, span: angles.length > 1 ? Math.abs(angles.at(-1)! - angles[0]) + roll.rig.step : 0 };
}

/** What is wrong with an answer, by its name, as a sentence. */
export function faultsOf({ rig, light, volume, size }: Roll): Readonly<Record<string, string | undefined>> {
  const above = (value: number, what: string) => (value > 0 && Number.isFinite(value) ? undefined : `${what} has to be above 0.`);
  const { crop } = light;
  return {
    sourceToAxis: above(rig.sourceToAxis, 'The distance'),
    sourceToDetector: above(rig.sourceToDetector, 'The distance') ?? (rig.sourceToDetector >= rig.sourceToAxis ? undefined : `The screen is behind the axis: this has to be at least ${rig.sourceToAxis} mm.`),
    pitch: above(rig.pitch, 'The width of a pixel'),
    step: rig.step > 0 && rig.step <= 180 ? undefined : 'From view to view the object turns by an angle above 0° and up to 180°; which way is asked below.',
    bin: Number.isInteger(light.bin) && light.bin >= 1 && light.bin <= 32 ? undefined : 'A whole number from 1 to 32 is needed.',
    crop: crop && size && (crop.left < 0 || crop.top < 0 || crop.left + crop.width > size.width || crop.top + crop.height > size.height || crop.width < 8 || crop.height < 1 || ![crop.left, crop.top, crop.width, crop.height].every(Number.isInteger))
      ? `What is kept has to lie within the ${size.width} × ${size.height} pixels of the photograph, in whole pixels, at least 8 across.` : undefined,
    size: Number.isInteger(volume.size) && volume.size >= 8 && volume.size <= 2048 ? undefined : 'A whole number from 8 to 2048 is needed.',
    voxelSize: volume.voxelSize === undefined ? undefined : above(volume.voxelSize, 'The voxel'),
    cutoff: volume.by || volume.cutoff > 0 && volume.cutoff <= 1 ? undefined : 'The cut-off is a share, above 0 and at most 1.',
    ...wishFaults(volume.by),
    formula: !volume.by && volume.window === 'formula' && volume.formula.trim() === '' ? 'The formula is empty: write a gain in f and fc, such as 1 - f / fc.' : undefined,
    curve: light.encoding === 'measured' && !light.curve ? 'The curve has to be measured first, from three photographs or more.' : undefined,
    glare: light.glare && !(light.glare.share > 0 && light.glare.share <= 0.4) ? 'The share of glare lies above 0 and up to 40 %.' : undefined,
  };
}

/** The first thing that keeps the light from being turned into line integrals, if any. */
export function hindrance(roll: Roll): string | undefined {
  const views = viewsOf(roll).length;
  if (views < 8) return `there ${views === 1 ? 'is 1 view' : `are ${views} views`}, and at least 8 are needed.`;
  if (!roll.size) return 'none of the photographs has been opened yet.';
  return Object.values(faultsOf(roll)).find(Boolean);
}

/** The first thing that keeps a volume from being made, if any. */
export function volumeHindrance(roll: Roll, axis: { readonly offset?: number } = {}): string | undefined {
  const first = hindrance(roll);
  if (first) return first;
  try {
    checkVolumeGrid(outlineOf(roll, axis).grid);
    return undefined;
  } catch (error) {
    return (error as Error).message;
  }
}

export interface Remark { readonly kind: 'warning' | 'note'; readonly sentence: string }

const inDegrees = (angle: number) => `${Number(angle.toFixed(2))}°`;

/** What a careful colleague would say of these answers. */
export function remarksOn(roll: Roll, { span, field, beam, magnification }: Outline): Remark[] {
  const remarks: Remark[] = [];
  const views = viewsOf(roll).length, steps = stepsInTurn(roll);
  const halfFan = (Math.atan((beam.detectors * beam.pitch) / 2 / beam.sourceToDetector) * 180) / Math.PI;
  const needed = 180 + 2 * halfFan;
  if (span > 361) remarks.push({ kind: 'note', sentence: `${views} views in steps of ${inDegrees(roll.rig.step)} are more than one turn (${inDegrees(span)}). Is the step right?` });
  else if (steps && views < steps && span < 360 - 1e-6 && views >= 0.75 * steps) remarks.push({ kind: 'warning', sentence: `${views} views in steps of ${inDegrees(roll.rig.step)} are ${steps - views} short of a whole turn. If frames were lost on the way and nobody knows which, question 4 looks for the gaps.` });
  else if (span < needed) remarks.push({ kind: 'warning', sentence: `The views span ${inDegrees(span)}; a cone beam needs at least ${inDegrees(needed)} here. Edges along the directions that are missing will be lost.` });
  if (views < 45) remarks.push({ kind: 'note', sentence: `With ${views} views, fine detail far from the axis is drawn as streaks; chapter 6 says how many views an object needs.` });
  if (magnification > 3) remarks.push({ kind: 'note', sentence: `The shadow is ${Number(magnification.toFixed(1))} times as large as the object: a focal spot is then seen enlarged ${Number((magnification - 1).toFixed(1))} times, as a blur on the screen.` });
  const steepest = (Math.atan((beam.rows * beam.pitch) / 2 / beam.sourceToDetector) * 180) / Math.PI;
  if (steepest > 10) remarks.push({ kind: 'note', sentence: `Rays rise by up to ${inDegrees(steepest)}: flat faces far from the plane of the source are blurred by the cone beam itself, whatever the number of views.` });
  remarks.push({ kind: 'note', sentence: `What every view sees is a cylinder ${Number(field.toPrecision(3))} mm across; the object has to stay within it.` });
  return remarks;
}
