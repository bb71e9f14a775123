import { useEffect, useState } from 'preact/hooks';
import { specimenTitles, type Specimen, type SpecimenId } from '../specimen/specimen.ts';
import { ownSlice } from '../specimen/store.ts';

/** Picks the object for every plate that can show it. One's own slice is offered once there is one. */
export function SpecimenPicker({ allowed, specimen, choose }: { allowed: readonly SpecimenId[]; specimen: Specimen; choose: (id: SpecimenId) => void }) {
  const [own, setOwn] = useState<string | undefined>();
  useEffect(() => {
    const look = () => void ownSlice().then((slice) => setOwn(slice?.title));
    look();
    addEventListener('ownslice', look);
    return () => removeEventListener('ownslice', look);
  }, []);
  const options = allowed.filter((id) => id !== 'own' || own !== undefined || specimen.id === 'own');
  if (allowed.length < 2) return null;
  return (
    <label class="plate-control plate-specimen">
      Specimen{' '}
      <select autocomplete="off" onChange={(event) => choose(event.currentTarget.value as SpecimenId)}>
        {options.map((id) => <option value={id} selected={id === specimen.id}>{id === 'own' && own ? `${specimenTitles.own}: ${own}` : specimenTitles[id]}</option>)}
      </select>
    </label>
  );
}
