import { useState } from 'preact/hooks';
import { NumberField } from '../scan/fields.tsx';
import { figure } from '../scan/words.ts';

interface Props {
  readonly label: string;
  readonly value: number;
  readonly from: number;
  readonly to: number;
  /** Of the slider and of the arrow keys. */
  readonly step: number;
  readonly unit?: string;
  /** Equal ways of the slider are equal factors; from has to be above 0. */
  readonly byFactors?: boolean;
  /** What may be typed, where it is less than the slider's range. */
  readonly within?: readonly [from: number, to: number];
  readonly why?: string;
  readonly fault?: string;
  readonly onValue: (value: number) => void;
}

/** A number by slider or by typing, with more figures than the slider has steps. A typed number out of range is complained of, and changes nothing. */
export function Slide({ label, value, from, to, step, unit, byFactors = false, within = [from, to], why, fault, onValue }: Props) {
  const [refused, setRefused] = useState(false);
  const type = (typed: number) => {
    const fits = typed >= within[0] && typed <= within[1];
    setRefused(!fits);
    if (fits) onValue(typed);
  };
  const shown = rounded(value, step);
  const slider = byFactors ? Math.log(Math.max(from, value) / from) / Math.log(to / from) : value;
  const slid = (at: number) => onValue(byFactors ? Number((from * (to / from) ** at).toPrecision(3)) : Number(at.toPrecision(12)));
  return (
    <div class="volume-slide" onFocusOut={() => setRefused(false)}>
      <NumberField label={label} value={shown} unit={unit} step={step} why={why} fault={refused ? `Between ${figure(within[0])} and ${figure(within[1])}${unit ? ` ${unit}` : ''}.` : fault} onValue={type} />
      <input type="range" aria-label={label} autocomplete="off" min={byFactors ? 0 : from} max={byFactors ? 1 : to} step={byFactors ? 0.01 : step} value={slider}
        aria-valuetext={`${figure(shown)} ${unit ?? ''}`.trim()} onInput={(event) => slid(event.currentTarget.valueAsNumber)} />
    </div>
  );
}

/** A thousandth of a step is as fine as a number is written. */
function rounded(value: number, step: number): number {
  const digits = Math.min(12, Math.max(0, Math.ceil(3 - Math.log10(Math.abs(step) || 1))));
  return Number(value.toFixed(digits));
}
