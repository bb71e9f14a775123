import { useRef } from 'preact/hooks';
import { timeLeft, type Mark } from './time-left.ts';

/** Work under way at a place of a sheet, and how to stop it. */
export interface Busy<Place extends string> {
  readonly place: Place;
  readonly what: string;
  readonly fraction: number;
  readonly stop: () => void;
}

/** Work under way at this place: what it is, how far it has come, how long it may still take, and the button that stops it. */
export function Progress<Place extends string>({ busy, place }: { busy: Busy<Place> | undefined; place: Place }) {
  const marks = useRef<Mark[]>([]);
  if (busy?.place !== place) {
    marks.current = [];
    return null;
  }
  const { fraction } = busy, at = performance.now(), before = marks.current.at(-1);
  if (before && fraction < before.fraction) marks.current = []; // other work
  if (!before || at - before.at > 200) marks.current = [...marks.current.slice(-60), { at, fraction }];
  const left = timeLeft(marks.current);
  return (
    <p class="scan-go work-progress">
      <button type="button" onClick={busy.stop}>Stop</button>
      <progress value={fraction} max={1} aria-label={busy.what} />
      <span>{busy.what}… {Math.floor(100 * fraction)} %{left && `, ${left}`}</span>
    </p>
  );
}
