/** All photographs at a glance, in the order of the turn: picked with mouse, touch or keys, put in order, left out, given their kind. */
import { useLayoutEffect, useRef, useState } from 'preact/hooks';
import { counted, figure } from '../scan/words.ts';
import { changed, moved, reversed, shifted, stepsOf, type Frame, type Role, type Roll } from './model.ts';
import type { Facts, Photographs } from './usePhotographs.ts';

const groups: readonly { role: Role; title: string; hint: string }[] = [
  { role: 'view', title: 'Views, in the order of the turn', hint: 'The object in the beam.' },
  { role: 'dark', title: 'Dark frames', hint: 'Beam off.' },
  { role: 'flat', title: 'Flat frames', hint: 'Beam on, no object.' },
  { role: 'aside', title: 'Set aside', hint: 'Kept, and not part of the scan: no step of the turn is theirs.' },
];

const roleNames: readonly { role: Role; label: string }[] = [{ role: 'view', label: 'a view' }, { role: 'dark', label: 'dark' }, { role: 'flat', label: 'flat' }, { role: 'aside', label: 'set aside' }];

interface Props { readonly roll: Roll; readonly facts: ReadonlyMap<number, Facts>; readonly edit: Photographs['edit'] }

export function ContactSheet({ roll, facts, edit }: Props) {
  const [picked, setPicked] = useState<ReadonlySet<number>>(new Set());
  const [at, setAt] = useState<number>();
  const [over, setOver] = useState<number>();
  const [said, setSaid] = useState('');
  const sheet = useRef<HTMLDivElement>(null);
  const refocus = useRef(false);
  const steps = stepsOf(roll);
  const here = roll.frames.filter(({ id }) => picked.has(id));
  useLayoutEffect(() => {
    if (!refocus.current || at === undefined) return;
    refocus.current = false;
    sheet.current?.querySelector<HTMLElement>(`[data-frame="${at}"]`)?.focus();
  }, [roll, at]);

  const pick = (id: number, how: 'only' | 'too' | 'through') => {
    const row = roll.frames.filter(({ role }) => role === roll.frames.find((frame) => frame.id === id)!.role).map((frame) => frame.id);
    setPicked((now) => {
      if (how === 'only') return new Set([id]);
      if (how === 'too') return new Set(now.has(id) ? [...now].filter((each) => each !== id) : [...now, id]);
      const from = row.indexOf(at ?? id), to = row.indexOf(id);
      return from < 0 ? new Set([id]) : new Set([...now, ...row.slice(Math.min(from, to), Math.max(from, to) + 1)]);
    });
    setAt(id);
  };
  const act = (words: string, change: (roll: Roll) => Roll) => { edit(change); setSaid(words); };
  const leaveOut = () => {
    const out = !here.every((frame) => frame.out);
    act(`${counted(here.length, 'photograph')} ${out ? 'left out' : 'taken back'}.`, (now) => changed(now, picked, { out }));
  };
  const shift = (by: -1 | 1) => act(`${counted(here.length, 'photograph')} moved ${by < 0 ? 'earlier' : 'later'}.`, (now) => shifted(now, picked, by));

  const keys = (event: KeyboardEvent, role: Role) => {
    const row = roll.frames.filter((frame) => frame.role === role);
    const focused = Number((event.target as Element).closest<HTMLElement>('[data-frame]')?.dataset.frame ?? at);
    const place = row.findIndex(({ id }) => id === focused);
    const tiles = [...sheet.current!.querySelectorAll<HTMLElement>(`[data-role="${role}"] [data-frame]`)];
    const across = Math.max(1, tiles.filter((tile) => tile.offsetTop === tiles[0].offsetTop).length);
    const jump = { ArrowLeft: -1, ArrowRight: 1, ArrowUp: -across, ArrowDown: across, Home: -Infinity, End: Infinity }[event.key];
    if (jump !== undefined) {
      event.preventDefault();
      if (event.altKey && picked.size > 0 && Math.abs(jump) === 1) {
        refocus.current = true;
        shift(jump as -1 | 1);
        return;
      }
      const next = row[Math.max(0, Math.min(row.length - 1, place + jump))];
      if (!next) return;
      refocus.current = true;
      if (event.shiftKey) pick(next.id, 'through');
      else pick(next.id, 'only');
    } else if (event.key === ' ' || event.key === 'Enter') {
      event.preventDefault();
      pick(focused, 'too');
    } else if ((event.key === 'Delete' || event.key === 'Backspace') && picked.size > 0) {
      event.preventDefault();
      leaveOut();
    } else if (event.key.toLowerCase() === 'a' && (event.ctrlKey || event.metaKey)) {
      event.preventDefault();
      setPicked(new Set(row.map(({ id }) => id)));
    }
  };
  const drop = (id: number, after: boolean) => {
    setOver(undefined);
    const ids = picked.size > 0 ? picked : new Set<number>();
    if (ids.size === 0 || ids.has(id)) return;
    const stay = roll.frames.filter((frame) => !ids.has(frame.id));
    const target = stay.findIndex((frame) => frame.id === id);
    const { role } = stay[target];
    act(`${counted(ids.size, 'photograph')} put elsewhere.`, (now) => moved(changed(now, ids, { role }), ids, target + (after ? 1 : 0)));
  };

  return (
    <div class="photo-sheet" ref={sheet}>
      {groups.map(({ role, title, hint }) => {
        const row = roll.frames.filter((frame) => frame.role === role);
        if (row.length === 0) return null;
        const focusable = row.some(({ id }) => id === at) ? at : row[0].id;
        return (
          <section key={role} class="photo-group">
            <h3 id={`photo-${role}`}>{title} <span class="photo-count">{row.length}</span></h3>
            <p class="scan-hint">{hint}</p>
            <ul class="photo-tiles" role="listbox" aria-multiselectable="true" aria-labelledby={`photo-${role}`} data-role={role} onKeyDown={(event) => keys(event, role)}>
              {row.map((frame) => (
                <Tile key={frame.id} frame={frame} fact={facts.get(frame.id)} picked={picked.has(frame.id)} focusable={frame.id === focusable} over={over === frame.id}
                  angle={role === 'view' ? `${figure(roll.rig.start + steps.get(frame.id)! * roll.rig.step, 5)}°` : undefined}
                  onPick={(how) => pick(frame.id, how)} onDrag={() => { if (!picked.has(frame.id)) pick(frame.id, 'only'); }} onOver={() => setOver(frame.id)} onDrop={(after) => drop(frame.id, after)} />
              ))}
            </ul>
          </section>
        );
      })}
      <div class="photo-tools" role="group" aria-label="What to do with the picked photographs">
        <span class="photo-picked">{here.length === 0 ? 'Pick a photograph to change it; with shift, a row of them.' : here.length === 1 ? here[0].name : `${here.length} photographs picked`}</span>
        <button type="button" disabled={here.length === 0} onClick={leaveOut}>{here.length > 0 && here.every((frame) => frame.out) ? 'Take back' : 'Leave out'}</button>
        <button type="button" disabled={here.length === 0} onClick={() => shift(-1)}>Earlier</button>
        <button type="button" disabled={here.length === 0} onClick={() => shift(1)}>Later</button>
        <label class="photo-kind">This is{' '}
          <select disabled={here.length === 0} value={here[0]?.role ?? 'view'} onChange={(event) => { const role = event.currentTarget.value as Role; act(`${counted(here.length, 'photograph')} now ${roleNames.find((each) => each.role === role)!.label}.`, (now) => changed(now, picked, { role })); }}>
            {roleNames.map(({ role, label }) => <option key={role} value={role}>{label}</option>)}
          </select>
        </label>
        <button type="button" onClick={() => act('The order is turned round.', reversed)}>Turn the order round</button>
        <span class="unseen" role="status">{said}</span>
      </div>
      <p class="scan-hint">Keys: arrows go from one to the next, with shift they pick a row, with alt they move what is picked; space picks one more; delete leaves out or takes back. A view that is left out keeps its step of the turn empty, so that the others keep their angles.</p>
    </div>
  );
}

interface TileProps {
  readonly frame: Frame;
  readonly fact?: Facts;
  readonly angle?: string;
  readonly picked: boolean;
  readonly focusable: boolean;
  readonly over: boolean;
  readonly onPick: (how: 'only' | 'too' | 'through') => void;
  readonly onDrag: () => void;
  readonly onOver: () => void;
  readonly onDrop: (after: boolean) => void;
}

function Tile({ frame, fact, angle, picked, focusable, over, onPick, onDrag, onOver, onDrop }: TileProps) {
  const short = frame.name.slice(frame.name.lastIndexOf('/') + 1);
  const after = (event: DragEvent) => { const box = (event.currentTarget as Element).getBoundingClientRect(); return event.clientX > box.left + box.width / 2; };
  return (
    <li role="option" aria-selected={picked} tabIndex={focusable ? 0 : -1} data-frame={frame.id} draggable title={fact?.trouble ?? frame.name}
      class={['photo-tile', frame.out && 'photo-out', fact?.trouble && 'photo-trouble', over && 'photo-over'].filter(Boolean).join(' ')}
      onClick={(event) => onPick(event.shiftKey ? 'through' : event.ctrlKey || event.metaKey ? 'too' : 'only')}
      onDragStart={(event) => { onDrag(); event.dataTransfer!.effectAllowed = 'move'; event.dataTransfer!.setData('text/plain', short); }}
      onDragOver={(event) => { event.preventDefault(); onOver(); }} onDrop={(event) => { event.preventDefault(); event.stopPropagation(); onDrop(after(event)); }}>
      {fact?.thumb ? <img src={fact.thumb} alt="" loading="lazy" draggable={false} /> : <span class="photo-blank" aria-hidden="true">{fact?.trouble ? '✕' : '…'}</span>}
      <span class="photo-name">{short}</span>{' '}
      <span class="photo-angle">{fact?.trouble ? 'cannot be used' : frame.out ? 'left out' : angle ?? ''}{!fact?.trouble && (fact?.saturated ?? 0) > 0.001 ? ' · saturated' : ''}</span>
    </li>
  );
}
