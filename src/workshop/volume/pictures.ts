/** Pictures to take away: as they are on the film, with their scale bar. */
import type { Image } from '../../lib/index.ts';
import { develop, type ColourMap } from '../../widgets/film/grey.ts';
import { barLength, short } from '../../widgets/film/numbers.ts';
import type { Greys } from '../scan/model.ts';

/** Pixels that a picture has across at least: small cuts are enlarged by whole numbers. */
const least = 640;

export function pngOfCut(image: Image, { low, high }: Greys, map: ColourMap): Promise<Blob> {
  const times = Math.max(1, Math.ceil(least / image.width));
  const small = context(image.width, image.height);
  const pixels = small.createImageData(image.width, image.height);
  develop(image, [low, high], map, pixels.data);
  small.putImageData(pixels, 0, 0);
  const paper = context(image.width * times, image.height * times);
  paper.imageSmoothingEnabled = false;
  paper.drawImage(small.canvas, 0, 0, image.width * times, image.height * times);
  drawBar(paper, image.pixelSize / times);
  return pngOf(paper.canvas);
}

/** A bar of round length in the lower left corner. pixelSize: mm. dark: on a bright picture. */
export function drawBar(paper: CanvasRenderingContext2D, pixelSize: number, dark = false): void {
  const { width, height } = paper.canvas;
  const length = barLength(width * pixelSize);
  const size = Math.max(12, Math.round(width / 40)), edge = size * 0.8;
  const at = { x: edge, y: height - edge, width: length / pixelSize };
  paper.save();
  paper.font = `${size}px Georgia, serif`;
  paper.textAlign = 'center';
  for (const [colour, wider] of [[dark ? '#fff' : '#000', 2], [dark ? '#000' : '#fff', 0]] as const) {
    paper.fillStyle = paper.strokeStyle = colour;
    paper.lineWidth = 2 * wider;
    paper.fillRect(at.x - wider, at.y - size / 6 - wider, at.width + 2 * wider, size / 6 + 2 * wider);
    if (wider) paper.strokeText(`${short(length)} mm`, at.x + at.width / 2, at.y - size / 2.2);
    paper.fillText(`${short(length)} mm`, at.x + at.width / 2, at.y - size / 2.2);
  }
  paper.restore();
}

export function context(width: number, height: number): CanvasRenderingContext2D {
  return Object.assign(document.createElement('canvas'), { width, height }).getContext('2d')!;
}

export function pngOf(canvas: HTMLCanvasElement): Promise<Blob> {
  return new Promise((resolve, reject) => canvas.toBlob((blob) => (blob ? resolve(blob) : reject(new Error('the browser could not make a PNG of the picture'))), 'image/png'));
}

export function save(name: string, what: Uint8Array | Blob, type = 'application/octet-stream'): void {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(what instanceof Blob ? what : new Blob([what as Uint8Array<ArrayBuffer>], { type }));
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}

/** A title as the first part of a file name. */
export function fileName(title: string): string {
  return title.toLowerCase().normalize('NFKD').replace(/[^a-z0-9]+/g, '-').replace(/^-|-$/g, '').slice(0, 40) || 'volume';
}
