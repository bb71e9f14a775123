/** The few kinds of field that the sheet is made of: each with its name, its unit, its reason and its complaint. */
import type { ComponentChildren } from 'preact';
import { useId } from 'preact/hooks';
import { useTyped } from './use-typed.ts';

interface Common {
  readonly label: string;
  /** Why it is what it is, while it is a guess. */
  readonly why?: string;
  /** What is wrong with it. */
  readonly fault?: string;
}

interface NumberFieldProps extends Common {
  readonly value: number;
  readonly unit?: string;
  /** What the arrow keys add or take away. */
  readonly step: number;
  readonly onValue: (value: number) => void;
  readonly disabled?: boolean;
}

/** A number typed with a point or a comma; arrow keys step. What is not a number stays in the field and is complained of, and the sheet keeps the last one that was. */
export function NumberField({ label, value, unit, step, why, fault, onValue, disabled }: NumberFieldProps) {
  const id = useId();
  const { text, setText, gave } = useTyped(value, written);
  const number = parsed(text);
  const complaint = number === undefined ? `“${text}” is not a number; write it with digits, such as ${written(value)}.` : fault;
  const type = (next: string) => {
    setText(next);
    const typed = parsed(next);
    if (typed === undefined) return;
    gave(typed);
    if (typed !== value) onValue(typed);
  };
  const stepBy = (event: KeyboardEvent) => {
    const sign = event.key === 'ArrowUp' ? 1 : event.key === 'ArrowDown' ? -1 : 0;
    if (sign === 0) return;
    event.preventDefault();
    type(written(Number((value + sign * step).toPrecision(12))));
  };
  return (
    <div class="scan-field">
      <label for={id}>{label}</label>
      <span class="scan-entry">
        <input id={id} type="text" inputMode="decimal" autoComplete="off" value={text} disabled={disabled} aria-invalid={complaint ? true : undefined} aria-describedby={`${id}-said`}
          onInput={(event) => type(event.currentTarget.value)} onKeyDown={stepBy} onBlur={() => { if (parsed(text) !== undefined) setText(written(value)); }} />
        {unit && <span class="scan-unit">{unit}</span>}
      </span>
      <Said id={`${id}-said`} why={why} fault={complaint} />
    </div>
  );
}

interface ChoiceProps<V extends string> extends Common {
  readonly value: V;
  readonly options: readonly { readonly value: V; readonly label: string }[];
  readonly onValue: (value: V) => void;
  readonly children?: ComponentChildren;
}

/** One of a few, as radio buttons. */
export function Choice<V extends string>({ label, value, options, why, fault, onValue, children }: ChoiceProps<V>) {
  const id = useId();
  return (
    <fieldset class="scan-field scan-choice" aria-describedby={`${id}-said`}>
      <legend>{label}</legend>
      {options.map((option) => (
        <label key={option.value}>
          <input type="radio" name={id} checked={option.value === value} onChange={() => onValue(option.value)} />
          <span>{option.label}</span>
        </label>
      ))}
      {children}
      <Said id={`${id}-said`} why={why} fault={fault} />
    </fieldset>
  );
}

export function Tick({ label, value, onValue }: { label: string; value: boolean; onValue: (value: boolean) => void }) {
  return (
    <label class="scan-tick">
      <input type="checkbox" checked={value} onChange={(event) => onValue(event.currentTarget.checked)} />
      <span>{label}</span>
    </label>
  );
}

interface TextFieldProps extends Common {
  readonly value: string;
  readonly onValue: (value: string) => void;
  readonly lines?: number;
}

export function TextField({ label, value, why, fault, onValue, lines = 1 }: TextFieldProps) {
  const id = useId();
  const common = {
    id, value, spellcheck: false, autoComplete: 'off', 'aria-invalid': fault ? true : undefined, 'aria-describedby': `${id}-said`,
    onInput: (event: { currentTarget: { value: string } }) => onValue(event.currentTarget.value),
  };
  return (
    <div class="scan-field scan-text">
      <label for={id}>{label}</label>
      {lines > 1 ? <textarea {...common} rows={lines} /> : <input {...common} type="text" />}
      <Said id={`${id}-said`} why={why} fault={fault} />
    </div>
  );
}

function Said({ id, why, fault }: { id: string; why?: string; fault?: string }) {
  return (
    <span id={id} class="scan-said">
      {fault ? <Complaint>{fault}</Complaint> : why ? <span class="scan-why">{why}.</span> : null}
    </span>
  );
}

/** One sentence where something went wrong; read out at once. */
export function Complaint({ children }: { children?: ComponentChildren }) {
  return children ? <span class="scan-complaint" role="alert"><span aria-hidden="true">✕ </span>{children}</span> : null;
}

/** A number as it stands in a field: nine figures at most, a point, no thousands. */
function written(value: number): string {
  return Number.isFinite(value) ? String(Number(value.toPrecision(9))) : '';
}

function parsed(text: string): number | undefined {
  const plain = text.trim().replace('−', '-').replace(',', '.');
  return /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i.test(plain) ? Number(plain) : undefined;
}
