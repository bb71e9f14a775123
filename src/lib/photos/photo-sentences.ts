import { grouped } from '../files/memory-limit.ts';
import type { WorkingSize } from './bin-frame.ts';
import { named, type FrameWarning, type Truncation } from './frame-faults.ts';
import type { IntakeFacts } from './frame-intake.ts';
import type { Glare } from './glare.ts';
import type { Hardening } from './hardening.ts';
import type { PhotoStep, StepReport } from './light.ts';
import { lightOf, type Curve } from './linearise.ts';
import type { FrameKind, FrameList } from './photo-scan.ts';

/** What each step has to say. Each gives a report; the chain keeps them by their step. */
const told = (step: PhotoStep, done: boolean, says: string, figures: Record<string, number> = {}): StepReport => ({ step, done, says, figures });

export const switchedOff = (step: PhotoStep) => told(step, false, 'Switched off.');
export const needsLogarithm = (step: PhotoStep) => told(step, false, 'Works on line integrals, and the logarithm is switched off.');

export function onLinearise(curve: Curve, { encodings }: IntakeFacts): StepReport {
  const doubt = curve === 'linear' && encodings.srgb > 0 ? ', though such files usually hold sRGB' : curve === 'srgb' && encodings.linear > 0 ? ', though these files say that they are linear' : '';
  const what = curve === 'srgb' ? 'The curve of sRGB was undone' : curve === 'linear' ? 'Stored values were taken as proportional to light' : 'The measured curve was undone';
  return told('linearise', curve !== 'linear', `${what}${doubt}.`, { lightOfHalf: lightOf(curve)(0.5) });
}

export function onDark(frames: number, mean: number, outliers: number): StepReport {
  if (frames === 0) return told('dark', false, 'There is no dark frame, so none was subtracted.');
  const spots = outliers > 0 ? `; ${counted(outliers, 'spot')} in single dark frames were left out of it` : '';
  return told('dark', true, `The mean of ${counted(frames, 'dark frame')}, ${percent(mean)} of full scale, was subtracted${spots}.`, { frames, mean, outliers });
}

export function onPixels(known: boolean, hot: number, dead: number, mended: number): StepReport {
  if (!known) return told('pixels', false, 'Bad pixels could not be looked for: there is neither a dark nor a flat frame.');
  return told('pixels', true, mended === 0 ? 'The camera has no bad pixels.' : `${counted(mended, 'bad pixel')} of the camera (${grouped(hot)} bright in the dark, ${grouped(dead)} unlike those around in even light) ${mended === 1 ? 'was' : 'were'} mended in every frame from those around.`, { hot, dead, mended });
}

export function onSpots(pixels: number, frames: number, views: number, all: number): StepReport {
  const says = pixels === 0 ? 'No spots of single photons were found.' : `${counted(pixels, 'pixel')} of spots in ${grouped(frames)} of ${grouped(views)} frames were replaced by the median around, ${percent(pixels / all)} of all.`;
  return told('spots', true, says, { pixels, frames, share: pixels / all });
}

export function onBin(bin: number, views: number, { columns, rows, bytes }: WorkingSize): StepReport {
  const how = bin > 1 ? `${bin} × ${bin} pixels were averaged into one` : 'The pixels were taken as they are';
  return told('bin', bin > 1, `${how}: ${grouped(views)} frames of ${grouped(columns)} × ${grouped(rows)} pixels, ${figure(bytes / 1e6)} MB.`, { bin, columns, rows, bytes });
}

export function onGlare(glare: Glare | undefined): StepReport {
  if (!glare) return told('glare', false, 'No share of glare is given, so none was taken off.');
  const where = glare.sigma === undefined ? 'evenly over the frame' : `over ${figure(glare.sigma)} pixels`;
  return told('glare', true, `${percent(glare.share)} of the light, scattered ${where}, was put back where it came from.`, { share: glare.share, ...(glare.sigma === undefined ? {} : { sigma: glare.sigma }) });
}

export function onFlat(frames: number, outliers: number, withoutLight: number): StepReport {
  const dark = withoutLight > 0 ? `; ${counted(withoutLight, 'pixel')} of it without light took that of their neighbours` : '';
  return told('flat', true, `Divided by the mean of ${counted(frames, 'flat frame')}${dark}.`, { frames, outliers, withoutLight });
}

export function onEstimatedFlat(share: number, misfit: number): StepReport {
  return told('flat', true, `There is no flat frame: the light without the object was estimated by a smooth surface through the ${percent(share)} of the frame that stays free, which it fits within ${percent(misfit)}.`, { frames: 0, share, misfit });
}

export function onExposure(relative: readonly number[], share: number, marked: boolean): StepReport {
  if (share === 0) return told('exposure', false, 'No part of the frame stays free of the object in all views, so that exposures could not be compared: all were taken as equal.', { share });
  const [least, greatest] = [Math.min(...relative), Math.max(...relative)];
  const deviation = Math.sqrt(relative.reduce((sum, value) => sum + (value - 1) ** 2, 0) / relative.length);
  const where = marked ? 'in the part that was marked' : `in the ${percent(share)} of the frame that stays free of the object`;
  return told('exposure', true, `The views’ exposures, compared ${where}, ran from ${figure(least)} to ${figure(greatest)} of their mean and were made one.`, { least, greatest, deviation, share });
}

export function onLogarithm(held: number, all: number, floor: number): StepReport {
  const says = held === 0 ? `No pixel was darker than the floor of ${figure(floor)}.` : `${counted(held, 'pixel')} (${percent(held / all)}) darker than ${figure(floor)} of the open beam ${held === 1 ? 'was' : 'were'} held at a line integral of ${figure(-Math.log(floor))}.`;
  return told('logarithm', true, says, { floor, held, share: held / all });
}

export function onColumns(dead: readonly number[]): StepReport {
  const names = `${dead.slice(0, 8).map((column) => column + 1).join(', ')}${dead.length > 8 ? ' and more' : ''}`;
  const says = dead.length === 0 ? 'No column is dead.' : dead.length === 1 ? `Column ${names} tells nothing and was filled from its neighbours.` : `Columns ${names} tell nothing and were filled from their neighbours.`;
  return told('columns', true, says, { columns: dead.length });
}

export function onRings(changed: number, moved: number, cells: number): StepReport {
  const says = changed === 0 ? 'No cell was found to be off in all views.' : `${counted(changed, 'cell')} of ${grouped(cells)}, off in all views alike, ${changed === 1 ? 'was' : 'were'} put right, by ${figure(moved)} in the root mean square.`;
  return told('rings', true, says, { changed, of: cells, moved });
}

export function onHardening(hardening: Hardening | undefined): StepReport {
  if (!hardening) return told('hardening', false, 'No spectrum is given, so beam hardening was left as it is.');
  return told('hardening', true, `Line integrals were straightened to ${figure(hardening.energy)} keV by a polynomial of degree ${hardening.coefficients.length}.`, { energy: hardening.energy });
}

/** A share of saturated pixels that spots of single photons do not reach. */
const mostSaturated = 0.002;

export function saturationWarnings({ saturated }: IntakeFacts, nameOf: FrameList['nameOf']): FrameWarning[] {
  const words: Record<FrameKind, string> = { views: 'view', flat: 'flat frame', dark: 'dark frame' };
  return (['views', 'flat', 'dark'] as const).flatMap((kind) => {
    const frames = [...saturated[kind].keys()].filter((k) => saturated[kind][k] > mostSaturated);
    if (frames.length === 0) return [];
    const worst = Math.max(...frames.map((k) => saturated[kind][k]));
    return [{ kind: 'saturated' as const, frames, says: `${counted(frames.length, words[kind])} (${named(frames, (k) => nameOf(kind, k))}) ${frames.length === 1 ? 'has' : 'have'} pixels at full scale, ${percent(worst)} of a frame at most, where the light is not known and the object comes out too thin: expose shorter.` }];
  });
}

export function channelWarnings({ red, green, blue }: IntakeFacts): FrameWarning[] {
  const brightest = red > blue ? 'red' : 'blue';
  const most = Math.max(red, blue);
  if (most === 0 || green >= 0.5 * most) return [];
  return [{ kind: 'channel', frames: [], says: `The green of the photographs has only ${percent(green / most)} of the light of their ${brightest}: if the screen glows ${brightest}, use that channel.` }];
}

export function sameWarnings(pairs: readonly (readonly [number, number])[], nameOf: FrameList['nameOf']): FrameWarning[] {
  return pairs.map(([a, b]) => ({ kind: 'same', frames: [a, b], says: `${nameOf('views', a)} and ${nameOf('views', b)} are the same picture: one of them is a copy and stands at a wrong angle, so drop it.` }));
}

export function truncationWarnings({ frames, sides, coveredRows }: Truncation, rows: number, nameOf: FrameList['nameOf']): FrameWarning[] {
  const warnings: FrameWarning[] = [];
  if (frames.length > 0) {
    warnings.push({ kind: 'truncated', frames, says: `The object leaves the frame at the ${sides.join(' and ')} in ${counted(frames.length, 'view')} (${named(frames, (k) => nameOf('views', k))}): its slices will have a bright rim where sight ends, and values inside that are too high.` });
  }
  if (coveredRows.length > 0) {
    warnings.push({ kind: 'covered', frames: [], says: `${counted(coveredRows.length, 'row')} of ${grouped(rows)}, from row ${coveredRows[0] + 1} of the working frame (counted from the bottom), ${coveredRows.length === 1 ? 'is' : 'are'} covered from edge to edge in all views, by a stand perhaps: the slices there cannot be right.` });
  }
  return warnings;
}

export const halfTurnWarning: FrameWarning = {
  kind: 'half-turn', frames: [],
  says: 'The angles say a full turn, but the last view is nearly the mirror image of the first, as at the end of half a turn: if the stage went half way round, halve the step between the angles.',
};

const counted = (count: number, what: string) => `${grouped(count)} ${what}${count === 1 ? '' : 's'}`;
export const percent = (share: number) => `${figure(100 * share)} %`;

/** Three figures, without a needless tail. */
function figure(value: number): string {
  return Number.isFinite(value) ? String(Number(value.toPrecision(3))) : String(value);
}
