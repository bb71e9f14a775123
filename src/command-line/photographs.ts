import { dirname, isAbsolute, join } from 'node:path';
import { BadInput, lineIntegralsFrom, readPhotograph, scanGeometry, scanPhotoOptions, workingGeometry, type Geometry, type LineIntegrals, type Photograph, type PhotoOptions, type Scan, type Work } from '../lib/index.ts';
import { readBytes } from './files.ts';

export interface LoadedPhotographs extends LineIntegrals {
  /** Of the working frames: after cropping and binning, a mirrored detector put right. */
  readonly geometry: Geometry;
  /** Every file that was read. */
  readonly paths: readonly string[];
}

/**
 * The line integrals in a scan's photographs, read one file at a time. Everything is as the scan file says; `change` replaces some of it.
 * Throws BadInput where the scan has no photographs, a file cannot be read, or lineIntegralsFrom would; the sentence begins with the file.
 */
export async function loadPhotographs(scan: Scan, scanPath: string, change: Partial<PhotoOptions> = {}, work: Work = {}): Promise<LoadedPhotographs> {
  const { frames } = scan;
  if (frames.kind !== 'photographs') throw new BadInput(`${scanPath}: frames.kind is ${JSON.stringify(frames.kind)}, and photographs are expected.`);
  const geometry = scanGeometry(scan);
  let size: { width: number; height: number } | undefined;
  const read = async (path: string): Promise<Photograph> => {
    const photograph = await readPhotograph(readBytes(path), path, frames.channel ? { channel: frames.channel } : {});
    if (!size) {
      size = { width: photograph.width, height: photograph.height };
      workingGeometry(geometry, size, {}); // refuses a detector of another size before the rest is read
    }
    return photograph;
  };
  const listed = (names: readonly string[]) => names.map((name) => (isAbsolute(name) ? name : join(dirname(scanPath), name)));
  const of = (paths: readonly string[]) => ({ count: paths.length, frame: (k: number) => read(paths[k]), name: (k: number) => paths[k] });
  const [views, dark, flat] = [listed(frames.files), listed(frames.dark ?? []), listed(frames.flat ?? [])];
  const options: PhotoOptions = { ...scanPhotoOptions(scan), ...change };
  const { projections, report } = await lineIntegralsFrom({ views: of(views), dark: of(dark), flat: of(flat) }, options, work);
  return { projections, report, geometry: workingGeometry(geometry, size!, options), paths: [...views, ...dark, ...flat] };
}
