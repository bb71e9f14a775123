/** Question 7: what do you take away besides the volume? The scan file, the photographs as they are in order, a report on paper. */
import { useState } from 'preact/hooks';
import { writeScan } from '../../lib/index.ts';
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
      {printing && volume && results.made && <Report roll={roll} results={results} volume={volume} view={photographs.view} onDone={() => setPrinting(false)} />}
    </>
  );
}

function rowsOf(roll: Roll): string[][] {
  const scan = scanOf(roll);
  const degrees = 'list' in scan.angles ? scan.angles.list : Array.from({ length: scan.angles.count }, (_, k) => (roll.rig.start + k * roll.rig.step));
  return viewsOf(roll).map(({ name }, k) => [String(k + 1), /[",]/.test(name) ? `"${name.replaceAll('"', '""')}"` : name, String(Math.round((degrees[k] - roll.rig.start) / roll.rig.step)), String(degrees[k])]);
}
