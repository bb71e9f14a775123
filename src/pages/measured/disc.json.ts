/**
 * A measured disc for the plate "What a prior buys", thinned, where ../shared/measured lies beside the project when the book is built; else the
 * news that it does not. The data are the Helsinki Tomography Challenge's (CC BY 4.0) and no part of the project.
 */
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { readNpy, readScan, scanGeometry, scanSinogram, type FanBeam } from '../../lib/index.ts';
import { thinned, type MeasuredFile } from '../../widgets/priors/measured.ts';

const folder = join(process.cwd(), '..', 'shared', 'measured', 'disc-01a');

export async function GET() {
  return new Response(JSON.stringify(await measuredFile()), { headers: { 'content-type': 'application/json' } });
}

async function measuredFile(): Promise<MeasuredFile> {
  const text = await readFile(join(folder, 'scan.json'), 'utf8').catch(() => undefined);
  const bytes = await readFile(join(folder, 'sinogram.npy')).catch(() => undefined);
  if (text === undefined || bytes === undefined) return { there: false };
  const scan = readScan(text);
  const { shape: [rows, columns], data } = readNpy(bytes);
  const { sinogram, geometry } = thinned(scanSinogram(scan, { rows, columns, data }), scanGeometry(scan) as FanBeam, 2, 4);
  const { angles, detectors, pitch, sourceToAxis, sourceToDetector } = geometry;
  return {
    there: true,
    title: 'Disc 01a',
    credit: `Measured: disc 01a of the Helsinki Tomography Challenge 2022, by A. Meaney, F. Silva de Moura, M. Juvonen and S. Siltanen; Zenodo, DOI 10.5281/zenodo.7418878, licence CC BY 4.0 (https://creativecommons.org/licenses/by/4.0/). Changed for this book: every second view, and four neighbouring cells put together.`,
    sourceToAxis, sourceToDetector, pitch, detectors, angles,
    data: Buffer.from(sinogram.data.buffer).toString('base64'),
  };
}
