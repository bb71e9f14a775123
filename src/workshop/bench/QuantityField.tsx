/** A quantity typed as people type it, with its unit or in the one beside the field. What cannot be read stays in the field and is complained of; the plan keeps the last that could. */
import { useId } from 'preact/hooks';
import { BadInput, quantityKinds, readQuantity, type QuantityKind, type QuantityOptions } from '../../lib/index.ts';
import { Complaint } from '../scan/fields.tsx';
import { useTyped } from '../scan/use-typed.ts';

interface Props extends Omit<QuantityOptions, 'label'> {
  readonly label: string;
  readonly kind: QuantityKind;
  /** In the unit beside the field; undefined where nothing is given. */
  readonly value: number | undefined;
  /** What holds while the field is empty; without it, it must not be. */
  readonly empty?: string;
  /** A unit that the kind does not have, after a plain number. */
  readonly after?: string;
  /** Whole numbers only. */
  readonly whole?: boolean;
  readonly hint?: string;
  /** What is wrong with it beside other answers. */
  readonly fault?: string;
  /** What the arrow keys add or take away. */
  readonly step?: number;
  readonly onValue: (value: number | undefined) => void;
}

export function QuantityField({ label, kind, value, empty, after, whole = false, hint, fault, step, onValue, ...options }: Props) {
  const id = useId();
  const unit = options.unit ?? quantityKinds[kind].usual;
  const factor = quantityKinds[kind].units[unit] ?? 1;
  const { text, setText, gave } = useTyped(value, written);
  const read = (typed: string): { value?: number; complaint?: string } => {
    if (typed.trim() === '' && empty !== undefined) return {};
    try {
      const found = Number((readQuantity(typed, kind, { label, unit, ...options }) / factor).toPrecision(12));
      if (whole && !Number.isInteger(found)) return { complaint: `${label} is “${typed}” and should be a whole number.` };
      return { value: found };
    } catch (error) {
      if (error instanceof BadInput) return { complaint: error.message };
      throw error;
    }
  };
  const { complaint } = read(text);
  const type = (typed: string) => {
    setText(typed);
    const found = read(typed);
    if (found.complaint) return;
    gave(found.value);
    if (found.value !== value) onValue(found.value);
  };
  const stepBy = (event: KeyboardEvent) => {
    const sign = event.key === 'ArrowUp' ? 1 : event.key === 'ArrowDown' ? -1 : 0;
    if (sign === 0 || value === undefined) return;
    event.preventDefault();
    type(written(Number((value + sign * (step ?? niceStep(value))).toPrecision(12))));
  };
  return (
    <div class="scan-field bench-field">
      <label for={id}>{label}</label>
      <span class="scan-entry">
        <input id={id} type="text" inputMode="text" autoComplete="off" spellcheck={false} value={text} placeholder={empty} aria-invalid={complaint || fault ? true : undefined} aria-describedby={`${id}-said`}
          onInput={(event) => type(event.currentTarget.value)} onKeyDown={stepBy} onBlur={() => { if (!read(text).complaint) setText(written(value)); }} />
        {(after ?? unit) && <span class="scan-unit">{after ?? unit}</span>}
      </span>
      <span id={`${id}-said`} class="scan-said">{complaint || fault ? <Complaint>{complaint ?? fault}</Complaint> : hint ? <span class="scan-why">{hint}.</span> : null}</span>
    </div>
  );
}

const written = (value: number | undefined) => (value === undefined ? '' : String(Number(value.toPrecision(9))));

/** A tenth of the value's own size: 1 for 60, 0.01 for 0.4. */
const niceStep = (value: number) => (value === 0 ? 1 : 10 ** (Math.floor(Math.log10(Math.abs(value))) - 1));
