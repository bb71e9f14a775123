/** Question 7: what do you take away besides the volume? The scan file, the photographs as they are in order, a report on paper. */
import { useState } from 'preact/hooks';
import { cut, planeAcross, writeScan, type Volume } from '../../lib/index.ts';
import { chooseSpecimen } from '../../widgets/specimen/choice.ts';
import { saveOwnSlice } from '../../widgets/specimen/store.ts';
import { Complaint } from '../scan/fields.tsx';
import { fileName, save } from '../volume/pictures.ts';
import { viewsOf, type Roll } from './model.ts';
import { Report } from './Report.tsx';
import { axisKey, volumeKey } from './results.ts';
import { scanOf } from './scanfile.ts';
import type { Photographs } from './usePhotographs.ts';

export function Away({ photographs, roll }: { photographs: Photographs; roll: Roll }) {
  const { results, volume, complaints, complain, pacify } = photographs;
  const [printing, setPrinting] = useState(false);
  const name = fileName(roll.title || 'scan');
  const found = results.axis?.key === axisKey(roll) ? results.axis.axis : {};
  const take = (act: () => void) => () => {
    pacify('away');
    try {
      act();
    } catch (error) {
      complain('away', error);
    }
  };
  const angles = () => `view,file,step,angle (degree)\r\n${rowsOf(roll).map((row) => row.join(',')).join('\r\n')}\r\n`;
  return (
    <>
      <table class="scan-away">
        <tbody>
          <tr><th scope="row"><button type="button" onClick={take(() => save('scan.json', new TextEncoder().encode(writeScan(scanOf(roll, found))), 'application/json'))}>scan.json</button></th><td>the scan file: all answers, with the axis that was found; put it beside the photographs</td></tr>
          <tr><th scope="row"><button type="button" onClick={take(() => save(`${name}-views.csv`, new TextEncoder().encode(angles()), 'text/csv'))}>{name}-views.csv</button></th><td>which photograph was taken at which step and angle</td></tr>
          <tr><th scope="row"><button type="button" disabled={!volume || !results.made} onClick={() => setPrinting(true)}>Print the report…</button></th><td>one page: geometry, settings, pictures, measurements</td></tr>
        </tbody>
      </table>
      <Complaint>{complaints.away}</Complaint>
      {results.made && results.made.key !== volumeKey(roll) && <p class="scan-row scan-note">Something was changed since the volume was made: the scan file speaks of what is asked now, the report of what was made.</p>}
      <p>With scan.json beside the photographs, the command line makes the same volume:</p>
      <pre tabIndex={0}><code>npm run --silent slices -- reconstruct scan.json --out {name}.nrrd</code></pre>
      {volume && <Specimen volume={volume} height={photographs.view?.cross[2] ?? 0} title={roll.title} />}
      {printing && volume && results.made && <Report roll={roll} results={results} volume={volume} view={photographs.view} onDone={() => setPrinting(false)} />}
    </>
  );
}

/** A cut for the plates of the book, in place of their own objects. */
function Specimen({ volume, height, title }: { volume: Volume; height: number; title: string }) {
  const [said, setSaid] = useState('');
  const pick = async () => {
    try {
      await saveOwnSlice(cut(volume, planeAcross('z', height)), title || 'A cut of your own scan');
      chooseSpecimen('own');
      setSaid('It is now what the plates show.');
    } catch {
      setSaid('This browser keeps nothing for this page, so the plates cannot show it.');
    }
  };
  return (
    <p class="scan-row">
      The plates of the book can show the cut across z at the cross-hair, in place of their own objects.{' '}
      <button type="button" onClick={() => void pick()}>Make it my specimen</button> <span role="status">{said}</span>
    </p>
  );
}

function rowsOf(roll: Roll): string[][] {
  const scan = scanOf(roll);
  const degrees = 'list' in scan.angles ? scan.angles.list : Array.from({ length: scan.angles.count }, (_, k) => (roll.rig.start + k * roll.rig.step));
  return viewsOf(roll).map(({ name }, k) => [String(k + 1), /[",]/.test(name) ? `"${name.replaceAll('"', '""')}"` : name, String(Math.round((degrees[k] - roll.rig.start) / roll.rig.step)), String(degrees[k])]);
}
