import { writeDelimited, writeNpy, writePng } from '../../lib/index.ts';
import { fullWindow } from '../film/grey.ts';
import type { AnyPlate, Numbers, Picture } from './definition.ts';
import type { Outcome } from './desk.ts';

/** Writes one of the plate's exports and hands it to the browser as a download. Returns what to say. */
export async function save(plate: AnyPlate, shown: Outcome, file: string): Promise<string> {
  const { pictures = [], numbers = [] } = plate.exports!(shown.state, shown.result, shown.specimen);
  const picture = pictures.find(({ name }) => `${name}.png` === file);
  const table = numbers.find((each) => fileOf(each) === file);
  const bytes = picture ? await pngOf(picture) : bytesOf(table!);
  const link = document.createElement('a');
  link.href = URL.createObjectURL(new Blob([bytes as BlobPart]));
  link.download = `${plate.id}-${file}`;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
  return `Saved ${link.download}.`;
}

export function fileOf(numbers: Numbers): string {
  return `${numbers.name}.${'shape' in numbers ? 'npy' : 'csv'}`;
}

/** The picture in 256 greys, as the film shows it. */
export function pngOf({ image, window = fullWindow(image.data) }: Picture): Promise<Uint8Array> {
  const scale = 256 / (window[1] - window[0]);
  const levels = Uint8Array.from({ length: image.width * image.height }, (_, i) => Math.min(255, Math.max(0, Math.floor((image.data[i] - window[0]) * scale) || 0)));
  return writePng(image.width, image.height, levels, 8);
}

/** CSV with a heading for each column, or NPY. */
export function bytesOf(numbers: Numbers): Uint8Array {
  if ('shape' in numbers) return writeNpy(numbers.shape, numbers.data);
  const names = Object.keys(numbers.columns);
  const columns = Object.values(numbers.columns);
  const rows = columns[0].length;
  const data = new Float32Array(rows * names.length);
  for (let row = 0; row < rows; row++) columns.forEach((column, i) => (data[row * names.length + i] = column[row]));
  return new TextEncoder().encode(`${names.join(',')}\n${writeDelimited({ rows, columns: names.length, data })}`);
}
