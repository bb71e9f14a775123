/** Work under way at a place of a sheet, and how to stop it. */
export interface Busy<Place extends string> {
  readonly place: Place;
  readonly what: string;
  readonly fraction: number;
  readonly stop: () => void;
}

/** Work under way at this place: what it is, how far it has come, and the button that stops it. */
export function Progress<Place extends string>({ busy, place }: { busy: Busy<Place> | undefined; place: Place }) {
  if (busy?.place !== place) return null;
  const percent = Math.floor(100 * busy.fraction);
  return (
    <p class="scan-go work-progress">
      <button type="button" onClick={busy.stop}>Stop</button>
      <progress value={busy.fraction} max={1} aria-label={busy.what} />
      <span>{busy.what}… {percent} %</span>
    </p>
  );
}
