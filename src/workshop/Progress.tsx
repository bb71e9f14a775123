import type { Busy, Place } from './usePhotographs.ts';

/** Work under way at this place: what it is, how far it has come, and the button that stops it. */
export function Progress({ busy, place }: { busy: Busy | undefined; place: Place }) {
  if (busy?.place !== place) return null;
  const percent = Math.floor(100 * busy.fraction);
  return (
    <p class="scan-go photo-progress">
      <button type="button" onClick={busy.stop}>Stop</button>
      <progress value={busy.fraction} max={1} aria-label={busy.what} />
      <span>{busy.what}… {percent} %</span>
    </p>
  );
}
