/** Beam hardening straightened as if all of the object were one material. */
import { useState } from 'preact/hooks';
import { hardeningCurve, materials, type Material } from '../../lib/index.ts';
import { Complaint, NumberField } from '../scan/fields.tsx';
import { figure } from '../scan/words.ts';
import type { LightPlan } from './model.ts';

type Chosen = NonNullable<NonNullable<LightPlan['hardening']>['of']>;

const usual: Chosen = { material: 'water', from: 25, to: 60 };

export function HardeningFields({ value, onValue }: { value: LightPlan['hardening']; onValue: (hardening: LightPlan['hardening']) => void }) {
  const [trouble, setTrouble] = useState<string>();
  const chosen = value?.of ?? usual;
  const make = (of: Chosen) => {
    try {
      if (!(of.from > 0 && of.to > of.from)) throw new RangeError('The energies rise from the first to the second, above 0.');
      const spectrum = Array.from({ length: 21 }, (_, k) => ({ keV: of.from + (k / 20) * (of.to - of.from), share: 1 }));
      onValue({ ...hardeningCurve({ spectrum, material: of.material }), of });
      setTrouble(undefined);
    } catch (error) {
      setTrouble((error as Error).message);
    }
  };
  return (
    <fieldset class="scan-group">
      <legend>Beam hardening</legend>
      <div class="scan-field">
        <label>Straightened as for{' '}
          <select value={value ? value.of?.material ?? 'given' : 'none'} onChange={(event) => { const to = event.currentTarget.value; if (to === 'none') onValue(undefined); else if (to !== 'given') make({ ...chosen, material: to as Material }); }}>
            <option value="none">nothing: left as it is</option>
            {value && !value.of && <option value="given">what the scan file gives</option>}
            {(Object.entries(materials) as [Material, { title: string }][]).map(([name, { title }]) => <option key={name} value={name}>{title}</option>)}
          </select>
        </label>
      </div>
      {value?.of && <NumberField label="Energies on the screen, from" value={chosen.from} step={5} unit="keV" onValue={(from) => make({ ...chosen, from })} />}
      {value?.of && <NumberField label="to" value={chosen.to} step={5} unit="keV" onValue={(to) => make({ ...chosen, to })} />}
      <Complaint>{trouble}</Complaint>
      <p class="scan-hint">{value ? `Values then belong to ${figure(value.energy, 3)} keV. ` : ''}Taken as spread evenly between two energies, for want of a measured spectrum. Right in an object of that one material; beside metal it does little.</p>
    </fieldset>
  );
}
