/** Question 5: what do you take away? */
import type { Table2D } from '../../lib/index.ts';
import { Complaint } from './fields.tsx';
import { usualGreys } from './greys.ts';
import { isStale, type Sheet, type Slice } from './model.ts';
import { scanFile, sinogramFile, sliceAsNpy, sliceAsPng, sliceAsTiff, type Parcel } from './takeaway.ts';

interface Props {
  readonly sheet: Sheet;
  readonly slice: Slice;
  readonly pages: readonly Table2D[];
  readonly onTrouble: (sentence: string | undefined) => void;
}

export function TakeAway({ sheet, slice, pages, onTrouble }: Props) {
  const take = (pack: () => Parcel | Promise<Parcel>) => async () => {
    try {
      save(await pack());
      onTrouble(undefined);
    } catch (error) {
      onTrouble(error instanceof Error ? error.message : String(error));
    }
  };
  return (
    <>
      <table class="scan-away">
        <tbody>
          <tr><th scope="row"><button type="button" onClick={take(() => sliceAsNpy(slice))}>slice.npy</button></th><td>the values in 1/mm, 32-bit floats</td></tr>
          <tr><th scope="row"><button type="button" onClick={take(() => sliceAsTiff(slice))}>slice.tif</button></th><td>the same as a TIFF of 32-bit floats</td></tr>
          <tr><th scope="row"><button type="button" onClick={take(() => sliceAsPng(slice, sheet.look.greys ?? usualGreys(slice.image)))}>slice.png</button></th><td>the picture as it is on the film, 256 greys</td></tr>
          <tr><th scope="row"><button type="button" onClick={take(() => scanFile(slice, pages))}>scan.json</button></th><td>the scan file: your answers, and the picture that you asked for</td></tr>
          <tr><th scope="row"><button type="button" onClick={take(() => sinogramFile(slice, pages))}>sinogram.npy</button></th><td>the line integrals that the scan file names; keep the two together</td></tr>
        </tbody>
      </table>
      {isStale(sheet) && <p class="scan-row scan-note">These belong to the slice as it was made; what you have changed since is not in them.</p>}
      <Complaint>{sheet.complaints.away}</Complaint>
      <p>With scan.json and sinogram.npy in one folder, the command line makes the same slice:</p>
      <pre tabIndex={0}><code>npm run --silent slices -- reconstruct scan.json --out slice.npy</code></pre>
    </>
  );
}

function save({ name, type, bytes }: Parcel): void {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(new Blob([bytes as Uint8Array<ArrayBuffer>], { type }));
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}
