import { useRef, useState } from 'preact/hooks';
import type { Specimen } from '../specimen/specimen.ts';
import { flushAddress } from './address.ts';
import type { AnyPlate } from './definition.ts';
import type { Outcome } from './desk.ts';

/** Reset, a link to exactly this state, and what can be taken away: pictures as PNG, numbers as CSV or NPY. */
export function TakeAway({ plate, shown, specimen, reset, order, ready }: { plate: AnyPlate; shown: Outcome | undefined; specimen: Specimen; reset: () => void; order: () => void; ready: boolean }) {
  const [said, say] = useState('');
  const wish = useRef<string | undefined>(undefined);
  const copy = async () => {
    flushAddress();
    const address = new URL(location.href);
    if (plate.specimens && specimen.id !== 'own') address.searchParams.set('specimen', specimen.id);
    address.hash = `plate-${plate.id}`;
    try {
      await navigator.clipboard.writeText(address.href);
      say('The link is on the clipboard.');
    } catch {
      say(address.href);
    }
  };
  const take = async (name: string) => {
    if (!shown) {
      wish.current = name;
      return order();
    }
    const { save } = await import('./save.ts');
    say(await save(plate, shown, name));
  };
  if (shown && wish.current) {
    const name = wish.current;
    wish.current = undefined;
    void take(name);
  }
  return (
    <div class="plate-actions">
      <button type="button" disabled={!ready} onClick={reset}>Reset</button>
      <button type="button" disabled={!ready} onClick={copy}>Copy link to this state</button>
      {plate.exports && <TakeMenu plate={plate} shown={shown} ready={ready} take={take} order={order} />}
      <span class="plate-said" role="status">{said}</span>
    </div>
  );
}

function TakeMenu({ plate, shown, ready, take, order }: { plate: AnyPlate; shown: Outcome | undefined; ready: boolean; take: (name: string) => void; order: () => void }) {
  const [open, setOpen] = useState(false);
  if (!ready) return null;
  const things = shown && open ? plate.exports!(shown.state, shown.result, shown.specimen) : { pictures: [], numbers: [] };
  const files = [
    ...(things.pictures ?? []).map(({ name, label }) => ({ file: `${name}.png`, label })),
    ...(things.numbers ?? []).map((each) => ({ file: `${each.name}.${'shape' in each ? 'npy' : 'csv'}`, label: each.label })),
  ];
  return (
    <details class="plate-take" onToggle={(event) => {
      setOpen(event.currentTarget.open);
      if (!shown) order();
    }}>
      <summary>Take away</summary>
      <ul>
        {files.map(({ file, label }) => <li><button type="button" onClick={() => take(file)}>{label} <small>{file}</small></button></li>)}
      </ul>
    </details>
  );
}
