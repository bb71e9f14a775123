/** Question 1: what is to be scanned? */
import { useId, useState } from 'preact/hooks';
import { energyRange, materials, type Material, type Plan, type PlanSolid } from '../../lib/index.ts';
import { DropPlace } from '../scan/Bring.tsx';
import { Choice, Complaint, TextField } from '../scan/fields.tsx';
import type { GivenFile } from '../scan/receive.ts';
import { figure } from '../scan/words.ts';
import { formFields, formNames, newForms, newSolid, newSolids, usual, type NewForm, type Path } from './model.ts';
import { QuantityField } from './QuantityField.tsx';
import type { OwnVolume } from './useBench.ts';

interface Props {
  readonly plan: Plan;
  readonly set: (path: Path, value: unknown) => void;
  readonly volume?: OwnVolume;
  readonly onVolume: (file: GivenFile) => void;
  readonly fault?: string;
}

export function ObjectPart({ plan, set, volume, onVolume, fault }: Props) {
  const { object } = plan;
  const inLight = plan.lamp !== undefined;
  const choose = (kind: Plan['object']['kind']) => set(['object'], kind === 'capsule' ? { kind } : kind === 'solids' ? { kind, solids: newSolids(inLight) } : { kind, file: volume?.name ?? 'object.nrrd' });
  return (
    <div class="bench-object-part">
      <TextField label="What is it called?" value={plan.title ?? ''} onValue={(title) => set(['title'], title === '' ? undefined : title)} />
      <Choice label="The object" value={object.kind} onValue={choose}
        options={[...(inLight ? [] : [{ value: 'capsule', label: 'the sealed capsule of the book (invented)' } as const]), { value: 'solids', label: 'simple solids' }, { value: 'volume', label: 'a volume of your own' }]} />
      {object.kind === 'solids' && <Solids solids={object.solids} set={set} inLight={inLight} />}
      {object.kind === 'volume' && (
        <>
          <DropPlace label="Lay a volume here" hint="NRRD, attenuation in 1/mm, as the sheets of chapter 13 hand it out." onFiles={(files) => files[0] && onVolume(files[0])} />
          <p class="scan-row" role="status">{volume ? `${volume.name}: ${volume.volume.width} × ${volume.volume.height} × ${volume.volume.depth} voxels of ${figure(volume.volume.voxelSize)} mm.` : 'No volume is here yet.'}</p>
          {!inLight && <div class="bench-groups">
            <QuantityField label="Its attenuation holds at" kind="energy" value={object.energy} from={energyRange.from} to={energyRange.to} empty="60" onValue={(value) => set(['object', 'energy'], value)} />
            <MaterialField label="At other energies it follows" value={object.material} none="water" onValue={(value) => set(['object', 'material'], value)} />
          </div>}
        </>
      )}
      <Complaint>{fault}</Complaint>
    </div>
  );
}

function Solids({ solids, set, inLight }: { solids: readonly PlanSolid[]; set: Props['set']; inLight: boolean }) {
  const [kind, setKind] = useState<NewForm>('ball');
  const id = useId();
  return (
    <>
      <p class="scan-hint">Lengths in mm from the axis and from the height of the {inLight ? 'lens' : 'source'}: x and y across the table, z up. Where two solids overlap, the later one stands.{inLight && ' Attenuation is that of the dye in the lamp’s colour; without one, a solid is as clear as the liquid.'}</p>
      <ol class="bench-list">
        {solids.map((solid, i) => <SolidRow key={i} solid={solid} number={i + 1} path={['object', 'solids', i]} set={set} inLight={inLight} last={solids.length === 1} />)}
      </ol>
      <p class="scan-row">
        <label for={id}>Another: </label>
        <select id={id} value={kind} onChange={(event) => setKind(event.currentTarget.value as NewForm)}>{Object.entries(formNames).map(([value, name]) => <option value={value}>{name}</option>)}</select>{' '}
        <button type="button" onClick={() => set(['object', 'solids'], [...solids, inLight ? newSolid(kind, { attenuation: usual.attenuation }) : newSolid(kind)])}>Add it</button>
      </p>
    </>
  );
}

function SolidRow({ solid, number, path, set, inLight, last }: { solid: PlanSolid; number: number; path: Path; set: Props['set']; inLight: boolean; last: boolean }) {
  const { form } = solid;
  const known = form.kind in newForms ? (form.kind as NewForm) : undefined;
  const name = solid.name ?? (known ? formNames[known] : form.kind);
  return (
    <li>
      {inLight ? <QuantityField label={`Solid ${number}, ${name}, takes`} kind="number" after="1/mm" value={solid.attenuation} above={0} to={1000} empty="nothing" onValue={(value) => set([...path, 'attenuation'], value)} />
        : <MaterialField label={`Solid ${number}, ${name}, of`} value={solid.material} none="air" onValue={(value) => set([...path, 'material'], value)} />}
      {known ? formFields[known].map(({ key, label, is }) => {
        const value = (form as unknown as Record<string, number | readonly number[]>)[key];
        if (is === 'point') return <PointField key={key} label={label} value={value as readonly number[]} onValue={(point) => set([...path, 'form', key], point)} />;
        return <QuantityField key={key} label={label} kind={is} value={value as number} above={0} onValue={(given) => set([...path, 'form', key], given)} />;
      }) : <p class="scan-row">A {form.kind} from the plan file, left as it stands.</p>}
      <p class="scan-buttons"><button type="button" class="quiet" disabled={last} onClick={() => set(path, undefined)}>Take solid {number} away</button></p>
    </li>
  );
}

interface MaterialFieldProps { readonly label: string; readonly value: Material | undefined; readonly none?: string; readonly only?: readonly Material[]; readonly onValue: (value: Material | undefined) => void }

const byTitle = (Object.keys(materials) as Material[]).sort((a, b) => materials[a].title.localeCompare(materials[b].title, 'en'));

export function MaterialField({ label, value, none, only = byTitle, onValue }: MaterialFieldProps) {
  const id = useId();
  return (
    <div class="scan-field">
      <label for={id}>{label}</label>
      <select id={id} value={value ?? ''} onChange={(event) => onValue((event.currentTarget.value || undefined) as Material | undefined)}>
        {none && <option value="">{none}</option>}
        {only.map((key) => <option key={key} value={key}>{materials[key].title}, {figure(materials[key].density)} g/cm³</option>)}
      </select>
    </div>
  );
}

/** Three numbers, mm, apart by commas or spaces. */
function PointField({ label, value, onValue }: { label: string; value: readonly number[]; onValue: (value: readonly number[]) => void }) {
  const id = useId();
  const [text, setText] = useState<string>();
  const point = text === undefined ? value : pointOf(text);
  const complaint = point ? undefined : `“${text}” is no place: three numbers are needed, in mm, such as 0, 12.5, −3.`;
  return (
    <div class="scan-field bench-field">
      <label for={id}>{label}</label>
      <span class="scan-entry">
        <input id={id} type="text" autoComplete="off" spellcheck={false} value={text ?? value.join(', ')} aria-invalid={complaint ? true : undefined} aria-describedby={`${id}-said`}
          onInput={(event) => { const typed = event.currentTarget.value; setText(typed); const found = pointOf(typed); if (found) onValue(found); }} onBlur={() => { if (point) setText(undefined); }} />
        <span class="scan-unit">mm</span>
      </span>
      <span id={`${id}-said`} class="scan-said"><Complaint>{complaint}</Complaint></span>
    </div>
  );
}

function pointOf(text: string): readonly number[] | undefined {
  const parts = text.replace(/[−–]/g, '-').trim().split(/[;,\s]+/).filter(Boolean);
  const numbers = parts.map(Number);
  return numbers.length === 3 && numbers.every((each) => Number.isFinite(each) && Math.abs(each) <= 1e6) ? numbers : undefined;
}
