import { basename } from 'node:path';
import { BadInput, checkFinite, linearFit, mae, matthews, otsuThreshold, psnr, rmse, ssim, statistics, type Pixels } from '../lib/index.ts';
import type { Command } from './command.ts';
import { readOneTable } from './files.ts';
import { figure, listing, printJson } from './output.ts';

export const compare: Command = {
  name: 'compare',
  summary: 'rmse, psnr, ssim, correlation of a picture with a reference',
  usage: '<picture> <reference> [--json]',
  details: `
Both are NPY, TIFF, PNG or text of the same size; the second is taken for the truth.
  range        greatest minus least value of the reference; psnr and ssim are measured against it
  fit          picture = slope · reference + intercept, least squares
  ssim         in two common settings: Wang 2004 (11 × 11 Gaussian window), and an even 7 × 7 window
  matthews     where one of the two is a mask (two values): the other is parted by Otsu's threshold, and the two masks are
               correlated (Matthews 1975)
What cannot be measured is null in JSON: psnr of equal pictures is infinite, ssim needs a picture larger than its window.`,
  files: ['The picture', 'The reference'],
  options: [],
  run: async ({ files: [first, second], json }) => {
    const [picture, reference] = [await readPixels(first), await readPixels(second)];
    if (picture.width !== reference.width || picture.height !== reference.height) {
      throw new BadInput(`${first} has ${picture.width} × ${picture.height} pixels and ${second} has ${reference.width} × ${reference.height}: to be compared they need the same size.`);
    }
    const figures = measure(picture, reference);
    if (json) printJson({ command: 'compare', picture: first, reference: second, width: picture.width, height: picture.height, ...figures });
    else process.stdout.write(inWords(first, second, picture, figures));
    return 0;
  },
};

async function readPixels(path: string): Promise<Pixels & { data: Float32Array }> {
  const table = await readOneTable(path);
  checkFinite(table, path);
  return { width: table.columns, height: table.rows, data: table.data };
}

/** A mask has exactly two values; the greater one is inside. */
function maskOf({ data }: Pixels & { data: Float32Array }): Uint8Array | undefined {
  const { least, greatest } = statistics({ data });
  if (least === greatest || data.some((value) => value !== least && value !== greatest)) return undefined;
  return Uint8Array.from(data, (value) => (value === greatest ? 1 : 0));
}

function measure(picture: Pixels & { data: Float32Array }, reference: Pixels & { data: Float32Array }) {
  const { least, greatest } = statistics(reference);
  const range = greatest - least;
  const { slope, intercept, correlation } = linearFit(reference, picture);
  const similarity = (kind: 'wang2004' | 'uniform7', window: number) =>
    range > 0 && Math.min(picture.width, picture.height) >= window ? ssim(picture, reference, range, { kind }) : null;
  const masks = [maskOf(picture), maskOf(reference)];
  const thresholds = [picture, reference].map((pixels, i) => (masks[i] ? undefined : otsuThreshold(pixels)));
  const above = (pixels: Pixels, threshold: number) => Uint8Array.from({ length: pixels.data.length }, (_, i) => (pixels.data[i] > threshold ? 1 : 0));
  const hasMask = masks.some(Boolean);
  return {
    range, rmse: rmse(picture, reference), mae: mae(picture, reference),
    psnr: range > 0 ? finite(psnr(picture, reference, range)) : null,
    ssim: { wang2004: similarity('wang2004', 11), uniform7: similarity('uniform7', 7) },
    correlation: finite(correlation), slope: finite(slope), intercept: finite(intercept),
    identical: picture.data.every((value, i) => value === reference.data[i]),
    ...(hasMask
      ? { matthews: matthews(masks[0] ?? above(picture, thresholds[0]!), masks[1] ?? above(reference, thresholds[1]!)), otsu: thresholds[0] ?? thresholds[1] ?? null }
      : {}),
  };
}

const finite = (value: number) => (Number.isFinite(value) ? value : null);

function inWords(first: string, second: string, { width, height }: Pixels, figures: ReturnType<typeof measure>): string {
  const shown = (value: number | null, unit = '', digits = 6) => (value === null ? 'none' : figure(value, digits) + unit);
  const { slope, intercept, matthews: agreement, otsu } = figures;
  return listing([
    ['picture', `${first}, ${width} × ${height} pixels`],
    ['reference', `${second}, range ${figure(figures.range, 6)} (greatest minus least value)`],
    ['rmse', shown(figures.rmse)],
    ['mae', shown(figures.mae)],
    ['psnr', figures.identical ? 'infinite, the two are the same' : shown(figures.psnr, ' dB')],
    ['ssim', `${shown(figures.ssim.wang2004)} (Wang 2004: Gaussian window of 11 × 11)`],
    ['ssim', `${shown(figures.ssim.uniform7)} (even window of 7 × 7)`],
    ['correlation', shown(figures.correlation, '', 8)],
    ['fit', slope === null || intercept === null ? 'none: the reference has one value' : `${basename(first)} = ${figure(slope, 6)} · ${basename(second)} ${intercept < 0 ? '−' : '+'} ${figure(Math.abs(intercept), 4)}`],
    ...(agreement === undefined ? [] : [['matthews', `${figure(agreement, 6)}${otsu === null || otsu === undefined ? '' : ` (parted at ${figure(otsu, 5)}, Otsu)`}`] as const]),
  ]);
}
