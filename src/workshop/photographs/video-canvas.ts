/** Where a frame is laid to be saved as a picture: a canvas off the page, or on a page without such canvases one of its own. */
import { BadInput } from '../../lib/index.ts';

export interface Sheet {
  readonly context: CanvasRenderingContext2D | OffscreenCanvasRenderingContext2D;
  readonly blob: (type: 'image/png' | 'image/jpeg') => Promise<Blob>;
}

export function sheetOf(width: number, height: number): Sheet {
  // Kept in main memory: every pixel is read back. No opacity, so that nothing is multiplied into the values and back.
  const settings = { alpha: false, willReadFrequently: true, colorSpace: 'srgb' } as const;
  if (typeof OffscreenCanvas !== 'undefined') {
    const canvas = new OffscreenCanvas(width, height);
    return { context: canvas.getContext('2d', settings) as OffscreenCanvasRenderingContext2D, blob: (type) => canvas.convertToBlob({ type, quality: 0.8 }) };
  }
  const canvas = Object.assign(document.createElement('canvas'), { width, height });
  return {
    context: canvas.getContext('2d', settings) as CanvasRenderingContext2D,
    blob: (type) => new Promise((resolve, reject) => canvas.toBlob((blob) => (blob ? resolve(blob) : reject(new Error('the canvas gave no picture'))), type, 0.8)),
  };
}

/** The size of a preview: the longer side at most `longest`, never enlarged. */
export function previewSize(width: number, height: number, longest: number): [number, number] {
  const scale = Math.min(1, longest / Math.max(width, height));
  return [Math.max(1, Math.round(width * scale)), Math.max(1, Math.round(height * scale))];
}

/**
 * Some browsers alter the pixels that a page reads, as a shield against being recognised; such greys are no measurements.
 * Throws BadInput if what is read back here is not what was laid down.
 */
export function checkReadsTrue(name: string): void {
  const side = 64;
  const { context } = sheetOf(side, side);
  const laid = new ImageData(side, side);
  for (let i = 0; i < side * side; i++) laid.data.set([(i * 37) % 256, (i * 91) % 256, (i * 151) % 256, 255], 4 * i);
  context.putImageData(laid, 0, 0);
  const { data } = context.getImageData(0, 0, side, side);
  if (!laid.data.every((value, i) => data[i] === value)) throw new BadInput(`${name}: This browser alters pixels before they are read, as a shield against being recognised: allow this page to read pictures, or export the film’s frames elsewhere.`);
}
