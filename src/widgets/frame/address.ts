import type { AnyControlOf, AnyPlate, Setting, State } from './definition.ts';
import { bounds, clean } from './settings.ts';

/**
 * A plate's settings in the page's address: ?ray.energy=60&ray.filling=water. What stands as it started is left out. A value that its
 * control cannot hold, or a number out of range, counts as absent.
 */
export function readAddress(plate: AnyPlate, search: string): State {
  const given = new URLSearchParams(search);
  const wish: Record<string, Setting> = {};
  for (const [name, control] of Object.entries<AnyControlOf<State>>(plate.controls)) {
    const text = given.get(`${plate.id}.${name}`);
    const value = text === null ? undefined : parse(control, text);
    if (value !== undefined) wish[name] = value;
  }
  // Bounds that follow other settings are known only now.
  const state = clean(plate, wish);
  for (const [name, control] of Object.entries<AnyControlOf<State>>(plate.controls)) {
    if (control.kind !== 'range' || !(name in wish)) continue;
    const { min, max } = bounds(control, state);
    if ((wish[name] as number) < min || (wish[name] as number) > max) delete wish[name];
  }
  return clean(plate, wish);
}

/** The address with this plate's settings in it; everything else in it stays. */
export function writeAddress(plate: AnyPlate, state: State, search: string): string {
  const address = new URLSearchParams(search);
  for (const [name, control] of Object.entries<AnyControlOf<State>>(plate.controls)) {
    if (state[name] === plate.initial[name]) address.delete(`${plate.id}.${name}`);
    else address.set(`${plate.id}.${name}`, serialise(control, state[name]));
  }
  const text = address.toString();
  return text ? `?${text}` : '';
}

function parse(control: AnyControlOf<State>, text: string): Setting | undefined {
  if (control.kind === 'range') return /^-?\d+(\.\d+)?$/.test(text) ? Number(text) : undefined;
  if (control.kind === 'toggle') return text === 'on' ? true : text === 'off' ? false : undefined;
  if (control.kind === 'choice') return control.options.find((option) => String(option.value) === text)?.value;
  return text;
}

function serialise(control: AnyControlOf<State>, value: Setting): string {
  return control.kind === 'toggle' ? (value ? 'on' : 'off') : String(value);
}

let waiting: (() => void) | undefined;

/** Puts the newest settings into the address bar, at most every 0.4 s: some browsers refuse more than a hundred changes in half a minute. */
export function keepAddress(plate: AnyPlate, state: State): void {
  pending.set(plate, state);
  waiting ??= schedule();
}

const pending = new Map<AnyPlate, State>();

function schedule(): () => void {
  const timer = setTimeout(flushAddress, 400);
  return () => clearTimeout(timer);
}

/** Writes what waits, at once. */
export function flushAddress(): void {
  waiting?.();
  waiting = undefined;
  let search = location.search;
  for (const [plate, state] of pending) search = writeAddress(plate, state, search);
  pending.clear();
  if (search !== location.search) history.replaceState(history.state, '', location.pathname + search + location.hash);
}
