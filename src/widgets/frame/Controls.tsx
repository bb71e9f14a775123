import type { ComponentChildren } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import type { AnyControlOf, AnyPlate, Choice, Range, State, Text, Toggle } from './definition.ts';
import { bounds, inWords } from './settings.ts';

interface ControlProps<C> {
  readonly id: string;
  readonly name: string;
  readonly control: C;
  readonly state: State;
  readonly set: (change: State) => void;
}

/** The plate's controls: native elements with their label, value and unit. They are asleep until scripts run. */
export function Controls({ plate, state, set, ready, children }: { plate: AnyPlate; state: State; set: (change: State) => void; ready: boolean; children?: ComponentChildren }) {
  return (
    <fieldset class="plate-controls" disabled={!ready}>
      <legend class="plate-hidden">Settings of {plate.title}</legend>
      {children}
      {Object.entries<AnyControlOf<State>>(plate.controls).map(([name, control]) => {
        if (control.visible && !control.visible(state)) return null;
        const Kind = kinds[control.kind] as (props: ControlProps<typeof control>) => ComponentChildren;
        return <Kind key={name} id={`${plate.id}-${name}`} name={name} control={control} state={state} set={set} />;
      })}
    </fieldset>
  );
}

function RangeControl({ id, name, control, state, set }: ControlProps<Range<State>>) {
  const { min, max } = bounds(control, state);
  const value = state[name] as number;
  const move = (event: Event) => set({ [name]: (event.currentTarget as HTMLInputElement).valueAsNumber });
  const type = (event: Event) => {
    const entry = event.currentTarget as HTMLInputElement;
    if (entry.value !== '') set({ [name]: Number(entry.value) });
    entry.value = String(value);
  };
  return (
    <div class="plate-control plate-range">
      <label for={id}>{control.label}</label>
      {control.format && <output for={id}>{inWords(control, state, value)}</output>}
      <div class="plate-slider">
        {control.play && <Play name={name} control={control} state={state} set={set} />}
        <input id={id} type="range" min={min} max={max} step={control.step} value={value} aria-valuetext={inWords(control, state, value)} onInput={move} autocomplete="off" />
        <input type="number" min={min} max={max} step={control.step} value={value} aria-label={`${control.label}${control.unit ? `, ${control.unit}` : ''}`} onChange={type} autocomplete="off" />
        {control.unit && <span class="plate-unit">{control.unit}</span>}
      </div>
      <Help id={id} text={control.help} />
    </div>
  );
}

/** Moves the slider by itself, from its start when it stands at its end. */
function Play({ name, control, state, set }: Omit<ControlProps<Range<State>>, 'id'>) {
  const [playing, play] = useState(false);
  const { min, max } = bounds(control, state);
  const value = state[name] as number;
  useEffect(() => {
    if (!playing) return;
    if (value >= max) return play(false);
    const timer = setTimeout(() => set({ [name]: value + control.step }), 1000 / control.play!);
    return () => clearTimeout(timer);
  }, [playing, value]);
  const press = () => {
    if (!playing && value >= max) set({ [name]: min });
    play(!playing);
  };
  return <button type="button" class="plate-play" aria-label={playing ? `Hold ${control.label}` : `Play ${control.label}`} onClick={press}>{playing ? 'Hold' : 'Play'}</button>;
}

function ChoiceControl({ id, name, control, state, set }: ControlProps<Choice<State>>) {
  const as = control.as ?? (control.options.length > 4 ? 'list' : 'radio');
  if (as === 'list') {
    const choose = (event: Event) => set({ [name]: control.options[(event.currentTarget as HTMLSelectElement).selectedIndex].value });
    return (
      <div class="plate-control">
        <label for={id}>{control.label}</label>
        <select id={id} onChange={choose} autocomplete="off">
          {control.options.map(({ value, label }) => <option value={String(value)} selected={value === state[name]}>{label}</option>)}
        </select>
        <Help id={id} text={control.help} />
      </div>
    );
  }
  return (
    <fieldset class="plate-control plate-choice">
      <legend>{control.label}</legend>
      {control.options.map(({ value, label }) => (
        <label><input type="radio" name={id} value={String(value)} checked={value === state[name]} onChange={() => set({ [name]: value })} autocomplete="off" /> {label}</label>
      ))}
      <Help id={id} text={control.help} />
    </fieldset>
  );
}

function ToggleControl({ id, name, control, state, set }: ControlProps<Toggle<State>>) {
  return (
    <div class="plate-control plate-toggle">
      <label for={id}><input id={id} type="checkbox" checked={state[name] as boolean} onChange={(event) => set({ [name]: event.currentTarget.checked })} autocomplete="off" /> {control.label}</label>
      <Help id={id} text={control.help} />
    </div>
  );
}

/** The text is taken over as it is typed, while it is well; what is wrong with it stands under it. */
function TextControl({ id, name, control, state, set }: ControlProps<Text<State>>) {
  const value = state[name] as string;
  const [typed, setTyped] = useState(value);
  const [taken, setTaken] = useState(value);
  if (value !== taken) {
    setTaken(value);
    setTyped(value);
  }
  const wrong = control.check?.(typed, state);
  const type = (event: Event) => {
    const text = (event.currentTarget as HTMLInputElement).value;
    setTyped(text);
    if (!control.check?.(text, state)) {
      setTaken(text);
      set({ [name]: text } as State);
    }
  };
  return (
    <div class="plate-control plate-text">
      <label for={id}>{control.label}</label>
      <input id={id} type="text" value={typed} maxLength={control.maxLength ?? 200} spellcheck={false} autocomplete="off" aria-invalid={wrong ? 'true' : undefined} aria-describedby={`${id}-help`} onInput={type} />
      <p id={`${id}-help`} class={wrong ? 'plate-wrong' : 'plate-help'} role={wrong ? 'alert' : undefined}>{wrong ?? control.help ?? ''}</p>
    </div>
  );
}

function Help({ text }: { id: string; text?: string }) {
  return text ? <p class="plate-help">{text}</p> : null;
}

const kinds = { range: RangeControl, choice: ChoiceControl, toggle: ToggleControl, text: TextControl } satisfies Record<AnyControlOf<State>['kind'], unknown>;
