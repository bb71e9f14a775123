import type { AnyControlOf, AnyPlate, Range, Setting, State } from './definition.ts';

/** The ends of a range under these settings. */
export function bounds(control: Range<State>, state: State): { min: number; max: number } {
  const at = (bound: number | ((state: State) => number)) => (typeof bound === 'function' ? bound(state) : bound);
  const min = at(control.min);
  return { min, max: Math.max(min, at(control.max)) };
}

/** The nearest value of the range's scale: min, min + step, … up to max. */
export function onStep(control: Range<State>, state: State, value: number): number {
  const { min, max } = bounds(control, state);
  const steps = Math.round((value - min) / control.step);
  const last = Math.floor((max - min) / control.step + 1e-9);
  return Number((min + control.step * Math.min(last, Math.max(0, steps))).toFixed(decimals(control.step, min)));
}

/** Decimals that the scale needs: 0.25 has 2. */
export function decimals(step: number, min = 0): number {
  const count = (value: number) => (/\.(\d+)$/.exec(value.toFixed(10).replace(/0+$/, '')) ?? ['', ''])[1].length;
  return Math.max(count(step), count(min));
}

/** A number and its unit as the reader sees them. No space before a degree sign. */
export function inWords(control: Range<State>, state: State, value: number): string {
  if (control.format) return control.format(value, state);
  const number = String(value).replace('-', '−');
  return control.unit ? `${number}${control.unit === '°' ? '' : '\u202f'}${control.unit}` : number;
}

/** Settings made whole: what a control cannot hold is replaced by what it started with, a number out of range by the nearest in range. */
export function clean(plate: AnyPlate, wish: Readonly<Record<string, unknown>>): State {
  const state: Record<string, Setting> = { ...plate.initial };
  for (const name of Object.keys(plate.controls)) if (fits(plate.controls[name], wish[name])) state[name] = wish[name] as Setting;
  for (const [name, control] of Object.entries<AnyControlOf<State>>(plate.controls)) {
    if (control.kind === 'range') state[name] = onStep(control, state, state[name] as number);
  }
  return state;
}

function fits(control: AnyControlOf<State>, value: unknown): boolean {
  if (control.kind === 'range') return typeof value === 'number' && Number.isFinite(value);
  if (control.kind === 'choice') return control.options.some((option) => option.value === value);
  if (control.kind === 'toggle') return typeof value === 'boolean';
  return typeof value === 'string' && value.length <= (control.maxLength ?? 200);
}
