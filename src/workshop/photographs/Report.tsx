/** One page on paper: what was scanned and how, what it looks like, what was measured. Printed by the browser, and gone again. */
import { useEffect, useState } from 'preact/hooks';
import { createPortal } from 'preact/compat';
import { cut, planeAcross, type Volume } from '../../lib/index.ts';
import { methodTitles } from '../method.ts';
import { figure, weighed } from '../scan/words.ts';
import { fittedGreys } from '../volume/greys.ts';
import { figuresOf, inWords } from '../volume/measures.ts';
import { pngOfCut } from '../volume/pictures.ts';
import { restoredView } from '../volume/model.ts';
import type { SavedView } from '../volume/VolumeSheet.tsx';
import { framesOf, type Roll } from './model.ts';
import type { Results } from './results.ts';
import { stepTitles } from './step-titles.ts';

interface Props { readonly roll: Roll; readonly results: Results; readonly volume: Volume; readonly view?: SavedView; readonly onDone: () => void }

const cuts = [['z', 'across the axis'], ['y', 'along the axis, from the front'], ['x', 'along the axis, from the side']] as const;

export function Report({ roll, results, volume, view: given, onDone }: Props) {
  const view = restoredView(given, volume, undefined);
  const greys = view.greys ?? fittedGreys(volume);
  const [pictures, setPictures] = useState<readonly string[]>();
  useEffect(() => {
    const urls: string[] = [];
    void Promise.all(cuts.map(async ([axis]) => {
      const plane = planeAcross(axis, view.cross[{ x: 0, y: 1, z: 2 }[axis]]);
      return URL.createObjectURL(await pngOfCut(cut(volume, plane), greys, view.map));
    })).then((made) => { urls.push(...made); setPictures(made); }, () => setPictures([]));
    return () => urls.forEach((url) => URL.revokeObjectURL(url));
  }, []);
  useEffect(() => {
    if (!pictures) return;
    document.documentElement.classList.add('printing-report');
    const done = () => { document.documentElement.classList.remove('printing-report'); onDone(); };
    addEventListener('afterprint', done, { once: true });
    const timer = setTimeout(() => print(), 200); // the pictures have to be decoded first
    return () => { clearTimeout(timer); removeEventListener('afterprint', done); document.documentElement.classList.remove('printing-report'); };
  }, [pictures]);

  const made = results.made!;
  const { scan, axis, seconds } = made;
  const { width, height, depth, voxelSize } = volume;
  const { detector, reconstruction, frames } = scan;
  const beam = scan.beam as { sourceToAxis: number; sourceToDetector: number };
  const photographs = frames as Extract<typeof frames, { kind: 'photographs' }>;
  const rows: readonly (readonly [string, string])[] = [
    ['Photographs', `${photographs.files.length} views, ${framesOf(roll, 'dark').length} dark, ${framesOf(roll, 'flat').length} flat, ${detector.columns} × ${detector.rows} pixels of ${figure(detector.pitch)} mm${photographs.bin ? `, ${photographs.bin} × ${photographs.bin} put together` : ''}${photographs.crop ? `, kept: ${photographs.crop.width} × ${photographs.crop.height} from column ${photographs.crop.left}, row ${photographs.crop.top}` : ''}`],
    ['Distances', `source to axis ${figure(beam.sourceToAxis)} mm, source to screen ${figure(beam.sourceToDetector)} mm, shadow ${figure(beam.sourceToDetector / beam.sourceToAxis)} times as large`],
    ['Turn', 'list' in scan.angles ? `${scan.angles.list.length} views at steps of ${figure(roll.rig.step)}° with gaps` : `${scan.angles.count} views at ${figure(scan.angles.step)}° from ${figure(scan.angles.start ?? 0)}°`],
    ['Axis', `${figure(axis.offset, 3)} mm from the middle, leaning ${figure(axis.tilt, 3)}°${axis.found ? '; found from the views' : '; given'}`],
    ['Light', results.developed ? results.developed.steps.filter(({ done }) => done).map(({ step }, k) => (k === 0 ? stepTitles[step] : stepTitles[step].charAt(0).toLowerCase() + stepTitles[step].slice(1))).join(', ') : ''],
    reconstruction && reconstruction.method !== 'fbp' ? ['Method', `${methodTitles.find(({ value }) => value === reconstruction.method)!.label}. ${made.how ?? ''}`] : ['Filter', `${reconstruction?.window === 'formula' ? reconstruction.formula : reconstruction?.window ?? 'ramp'}${reconstruction?.cutoff ? `, cut off at ${figure(reconstruction.cutoff)}` : ''}`],
    ['Volume', `${width} × ${height} × ${depth} voxels of ${figure(voxelSize)} mm, ${weighed(volume.data.byteLength)}, made in ${figure(seconds, 2)} s${!reconstruction || reconstruction.method === 'fbp' ? ' by the method of Feldkamp, Davis and Kress' : ''}`],
  ];
  const measured = view.measures.map((measure) => {
    try {
      return [measure.name, inWords(figuresOf(measure, volume))] as const;
    } catch (error) {
      return [measure.name, { chief: '', more: (error as Error).message }] as const;
    }
  });
  return createPortal(
    <section class="photo-report">
      <h1>{roll.title || 'A scan'}</h1>
      <p>{new Date().toLocaleDateString(undefined, { day: 'numeric', month: 'long', year: 'numeric' })}{roll.sample ? ' · An invented scan: nothing in it was measured.' : ''}</p>
      <div class="photo-report-cuts">
        {pictures?.map((url, k) => <figure key={url}><img src={url} alt="" /><figcaption>{cuts[k][1]}, at {cuts[k][0]} = {figure(view.cross[{ x: 0, y: 1, z: 2 }[cuts[k][0]]], 3)} mm</figcaption></figure>)}
      </div>
      <p>Black is {figure(greys.low, 3)}, white {figure(greys.high, 3)} /mm.</p>
      <table><tbody>{rows.map(([name, what]) => <tr key={name}><th scope="row">{name}</th><td>{what}</td></tr>)}</tbody></table>
      <h2>Measured</h2>
      {measured.length === 0 ? <p>Nothing was measured.</p> : <table><tbody>{measured.map(([name, { chief, more }], k) => <tr key={k}><th scope="row">{name}</th><td>{chief}</td><td>{more}</td></tr>)}</tbody></table>}
    </section>,
    document.body,
  );
}
