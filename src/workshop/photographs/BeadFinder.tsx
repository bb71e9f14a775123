/** Distances, axis and tilt from photographs of a bead that goes round the same axis. */
import { useState } from 'preact/hooks';
import { compareNatural, type ScanBead } from '../../lib/index.ts';
import { DropPlace } from '../scan/Bring.tsx';
import { Complaint, NumberField } from '../scan/fields.tsx';
import type { GivenFile } from '../scan/receive.ts';
import { counted, figure } from '../scan/words.ts';
import type { Roll } from './model.ts';
import { Progress } from '../Progress.tsx';
import type { Photographs } from './usePhotographs.ts';

const fewest = 6; // places make an ellipse and tell how well it fits

export function BeadFinder({ photographs: { edit, busy, complaints, followBead }, roll, stands }: { photographs: Photographs; roll: Roll; stands?: string }) {
  const [files, setFiles] = useState<readonly GivenFile[]>([]);
  const [radius, setRadius] = useState(20);
  const [found, setFound] = useState<{ readonly bead: ScanBead; readonly sourceToAxis: number }>();
  const fault = radius > 0 ? undefined : 'The bead has to be off the axis: more than 0 mm.';
  const follow = async () => {
    setFound(undefined);
    const given = await Promise.all(files.map(async (file) => ({ name: file.name, file: file.blob ?? new Blob([(await file.bytes()) as Uint8Array<ArrayBuffer>]) })));
    const bead = await followBead(given, radius);
    if (bead) setFound({ bead, sourceToAxis: roll.rig.sourceToAxis });
  };
  const use = ({ sourceToDetector, offset, tilt }: ScanBead) => edit((now) => ({ ...now, rig: { ...now.rig, sourceToDetector }, axis: { offset, tilt } }));
  return (
    <details class="photo-bead">
      <summary>Or find them from a bead</summary>
      <p class="scan-hint">Fix a small steel or lead ball on a thin stick, off the axis and well above or below the height of the source, and photograph it at even steps of one whole turn, with nothing else on the stage and the camera where it is for the scan. Its path is an ellipse, and from it follow the magnification, the axis and its lean. The distance from the source to the axis is taken as you give it above.</p>
      <NumberField label="From the axis to the middle of the ball" value={radius} step={1} unit="mm" fault={fault} onValue={setRadius} />
      <DropPlace label="Lay the photographs of the bead here" hint={files.length > 0 ? `${counted(files.length, 'photograph')}, ${files[0].name} to ${files.at(-1)!.name}.` : 'In the order of their names, at even steps.'} folders
        onFiles={(given) => { setFiles([...given].sort((a, b) => compareNatural(a.name, b.name))); setFound(undefined); }} />
      {files.length > 0 && files.length < fewest && <Complaint>{`At least ${fewest} photographs are needed; here ${files.length === 1 ? 'is' : 'are'} ${files.length}.`}</Complaint>}
      {files.length >= fewest && <p class="scan-row"><button type="button" disabled={stands !== undefined || busy !== undefined || fault !== undefined} onClick={() => void follow()}>Follow the bead</button></p>}
      <Progress busy={busy} place="rig" />
      <Complaint>{complaints.rig}</Complaint>
      <p class="scan-row" role="status">{found && said(found.bead, found.sourceToAxis)}</p>
      {found && <p class="scan-row"><button type="button" onClick={() => use(found.bead)}>Use these</button></p>}
    </details>
  );
}

function said({ magnification, sourceToDetector, offset, pixels, tilt, rms, byFlatness }: ScanBead, sourceToAxis: number): string {
  const flat = byFlatness === undefined
    ? 'The track is too flat to tell how far the source is.'
    : `By how flat its path is, the source would stand about ${figure(byFlatness, 3)} mm from the axis${Math.abs(byFlatness / sourceToAxis - 1) > 0.1 ? `; you give ${figure(sourceToAxis)} mm, so measure that and the ball’s distance once more` : ''}.`;
  return `The shadow is ${figure(magnification, 4)} times as large as the object, so the screen stands ${figure(sourceToDetector, 4)} mm from the source. The axis falls ${figure(Math.abs(offset), 3)} mm (${figure(Math.abs(pixels), 3)} pixels) to the ${offset < 0 ? 'left' : 'right'} of the middle and leans by ${figure(tilt, 3)}°. The bead stayed on its ellipse to ${figure(rms, 2)} mm, root mean square. ${flat}`;
}
