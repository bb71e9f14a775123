/** Question 5: which volume do you want? */
import { useEffect, useState } from 'preact/hooks';
import { compileWindow, volumeMemory } from '../../lib/index.ts';
import { MethodFields } from '../MethodFields.tsx';
import { Choice, Complaint, NumberField, TextField } from '../scan/fields.tsx';
import { windows } from '../scan/windows.ts';
import { figure, weighed } from '../scan/words.ts';
import { outlineOf } from './geometry.ts';
import { firstSize, type Roll, type VolumePlan } from './model.ts';
import { Progress } from '../Progress.tsx';
import { volumeKey } from './results.ts';
import type { Photographs } from './usePhotographs.ts';

interface Props { readonly photographs: Photographs; readonly roll: Roll; readonly faults: Readonly<Record<string, string | undefined>>; readonly stands?: string; readonly axis?: { readonly offset?: number } }

export function VolumeMake({ photographs, roll, faults, stands, axis }: Props) {
  const { edit, busy, complaints, results, make, volume: there } = photographs;
  const { volume } = roll;
  const wish = (changes: Partial<VolumePlan>, what?: string) => edit((now) => ({ ...now, volume: { ...now.volume, ...changes } }), what);
  const formulaFault = useFormulaFault(volume);
  const outline = outlineFor(roll, axis);
  const stale = results.made !== undefined && results.made.key !== volumeKey(roll);
  const hindered = stands ?? formulaFault;
  const fine = outline && Math.min(1024, Math.round(outline.field / outline.cell));
  return (
    <div class="scan-make">
      <fieldset class="scan-group">
        <legend>Voxels</legend>
        <NumberField label="Voxels along x and y" value={volume.size} step={16} fault={faults.size} onValue={(size) => wish({ size }, 'size')} />
        <NumberField label="Edge of a voxel" value={volume.voxelSize ?? outline?.grid.voxelSize ?? 1} step={0.05} unit="mm" why={volume.voxelSize === undefined ? 'Fills what every view sees' : undefined} fault={faults.voxelSize} onValue={(voxelSize) => wish({ voxelSize }, 'voxelSize')} />
        {volume.voxelSize !== undefined && <p class="scan-row"><button type="button" class="quiet" onClick={() => wish({ voxelSize: undefined })}>Fill the field again</button></p>}
        <NumberField label="Middle, x from the axis" value={volume.centre[0]} step={1} unit="mm" onValue={(x) => wish({ centre: [x, volume.centre[1]] }, 'x')} />
        <NumberField label="Middle, y from the axis" value={volume.centre[1]} step={1} unit="mm" onValue={(y) => wish({ centre: [volume.centre[0], y] }, 'y')} />
      </fieldset>
      <MethodFields wish={volume.by} onWish={(by) => wish({ by }, 'method')} />
      {!volume.by && <fieldset class="scan-group">
        <legend>Filter</legend>
        <Choice label="Window" value={volume.window} options={windows.filter(({ value }) => value !== 'none')} onValue={(window) => wish({ window })} />
        {volume.window === 'formula' && <TextField label="Gain on the ramp, in f and fc (cycles per mm)" value={volume.formula} fault={faults.formula ?? formulaFault} onValue={(formula) => wish({ formula }, 'formula')} />}
        <NumberField label="Cut-off, as a share of the finest that the cells can carry" value={volume.cutoff} step={0.05} fault={faults.cutoff} onValue={(cutoff) => wish({ cutoff }, 'cutoff')} />
      </fieldset>}
      <div class="scan-go">
        {busy?.place === 'volume' ? null : <button type="button" class="scan-chief" disabled={hindered !== undefined || busy !== undefined} onClick={() => void make()}>{there ? 'Make the volume again' : 'Make the volume'}</button>}
        <span role="status">
          {hindered ? `Not yet: ${hindered}` : outline ? `${outline.grid.width} × ${outline.grid.height} × ${outline.grid.depth} voxels of ${figure(outline.grid.voxelSize)} mm: ${weighed(volumeMemory(outline.grid))}.` : ''}
          {!hindered && busy === undefined && results.made && there && (stale ? ' Something was changed since the volume below was made.' : ` Made in ${figure(results.made.seconds, 2)} s. ${results.made.how ?? ''}`)}
        </span>
        <Complaint>{complaints.volume}</Complaint>
      </div>
      <Progress busy={busy} place="volume" />
      {fine !== undefined && volume.size === firstSize && fine > firstSize * 1.2 && <p class="scan-hint photo-across">{firstSize} voxels are quick, to look around. The photographs carry up to {fine} along an edge: ask for more when all else is settled.</p>}
    </div>
  );
}

/** With the axis that was found: the field is narrower by what it is off the middle. */
function outlineFor(roll: Roll, axis: Props['axis']) {
  try {
    return roll.size ? outlineOf(roll, axis) : undefined;
  } catch {
    return undefined;
  }
}

/** The formula is tried a moment after the last key. */
function useFormulaFault({ window, formula }: VolumePlan): string | undefined {
  const [fault, setFault] = useState<string>();
  useEffect(() => {
    setFault(undefined);
    if (window !== 'formula' || formula.trim() === '') return;
    let current = true;
    const timer = setTimeout(() => {
      compileWindow(formula).then(() => {}, (error: Error) => { if (current) setFault(error.message); });
    }, 250);
    return () => { current = false; clearTimeout(timer); };
  }, [window, formula]);
  return fault;
}
