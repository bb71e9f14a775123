/** The volume, its surface and the cut in hand, as files. The large ones are written by the worker. */
import { useState } from 'preact/hooks';
import { cut, writeNpy, type Volume } from '../../lib/index.ts';
import { Complaint } from '../scan/fields.tsx';
import type { Greys } from '../scan/model.ts';
import { figure, weighed } from '../scan/words.ts';
import { cutTitles } from './Cut.tsx';
import type { Darkroom } from './darkroom.ts';
import { lookOf } from './look.ts';
import type { SavedView } from './model.ts';
import { fileName, pngOfCut, save } from './pictures.ts';
import { planeOf, shownGrid, wholeGrid } from './planes.ts';
import { sentenceOf } from '../sentence.ts';
import type { Survey, VolumeFile } from './worker.ts';

interface Props {
  readonly volume: Volume;
  readonly title: string;
  readonly darkroom: Darkroom;
  readonly view: SavedView;
  readonly greys: Greys;
  readonly survey?: Survey;
}

export function TakeAway({ volume, title, darkroom, view, greys, survey }: Props) {
  const [busy, setBusy] = useState<string>();
  const [said, setSaid] = useState('');
  const [trouble, setTrouble] = useState<string>();
  const name = fileName(title);
  const take = (file: string, pack: () => Promise<Uint8Array | Blob>) => async () => {
    setBusy(file);
    setTrouble(undefined);
    setSaid('');
    try {
      const bytes = await pack();
      save(file, bytes, file.endsWith('.png') ? 'image/png' : undefined);
      setSaid(`Saved ${file}, ${weighed(bytes instanceof Blob ? bytes.size : bytes.byteLength)}.`);
    } catch (error) {
      setTrouble(sentenceOf(error));
    } finally {
      setBusy(undefined);
    }
  };
  const shown = async () => {
    const plane = planeOf(volume, view, view.cut);
    const grid = shownGrid(wholeGrid(volume, plane, view.cut), plane, view);
    const options = { grid, thickness: view.slab.thickness, slab: view.slab.shows };
    return grid.width * grid.height * (view.slab.thickness / volume.voxelSize + 1) < 120_000 ? cut(volume, plane, options) : darkroom.ask({ kind: 'cut', plane, options });
  };
  const whole = (file: VolumeFile) => () => darkroom.ask({ kind: 'file', file, title });
  const stl = async () => {
    const { threshold } = lookOf(volume, survey!, view.solid);
    return darkroom.ask({ kind: 'stl', wish: { threshold, smooth: view.solid.smooth, least: view.solid.least }, title });
  };
  const threshold = survey && lookOf(volume, survey, view.solid).threshold;
  const inHand = cutTitles[view.cut].toLowerCase();
  const rows: readonly (readonly [file: string, what: string, pack: () => Promise<Uint8Array | Blob>])[] = [
    [`${name}-cut.png`, `the cut ${inHand} as it is on the film, with its scale bar`, async () => pngOfCut(await shown(), greys, view.map)],
    [`${name}-cut.npy`, `the values of that cut in 1/mm, 32-bit floats, pixels of ${figure(volume.voxelSize)} mm`, async () => { const { width, height, data } = await shown(); return writeNpy([height, width], data); }],
    [`${name}.nrrd`, 'the volume, 32-bit floats in 1/mm, with its place in mm', whole('nrrd')],
    [`${name}-16bit.tif`, 'a stack of pages, 16 bits; scale and offset to 1/mm are in its description', whole('tiff16')],
    [`${name}-float.tif`, 'the same as 32-bit floats in 1/mm', whole('tiff32')],
    [`${name}.npy`, `the bare numbers, [z][row][column], voxels of ${figure(volume.voxelSize)} mm`, whole('npy')],
    [`${name}.stl`, threshold === undefined ? 'the surface, mm' : `the surface at ${figure(threshold, 3)} /mm as set under the solid, binary, mm`, stl],
  ];
  return (
    <>
      <table class="scan-away volume-away">
        <tbody>
          {rows.map(([file, what, pack]) => (
            <tr key={file}><th scope="row"><button type="button" disabled={busy !== undefined || !survey} onClick={() => void take(file, pack)()}>{file}</button></th><td>{what}</td></tr>
          ))}
        </tbody>
      </table>
      <p class="scan-why" role="status">{busy ? `Writing ${busy}…` : said}</p>
      <Complaint>{trouble}</Complaint>
    </>
  );
}
