/** The fields of a group of questions. */
import type { Plan } from '../../lib/index.ts';
import { Choice } from '../scan/fields.tsx';
import { valueAt, type Path } from './model.ts';
import { QuantityField } from './QuantityField.tsx';
import type { AskedValue, Group } from './questions.ts';

interface Props {
  readonly group: Group;
  readonly plan: Plan;
  /** By path, joined with dots. */
  readonly faults: Readonly<Record<string, string>>;
  readonly set: (path: Path, value: unknown) => void;
  readonly children?: preact.ComponentChildren;
}

export function Asks({ group, plan, faults, set, children }: Props) {
  return (
    <fieldset class="scan-group">
      <legend>{group.title}</legend>
      {group.asks.map((ask) => <Ask key={ask.path.join('.')} ask={ask} plan={plan} fault={faults[ask.path.join('.')]} set={set} />)}
      {children}
    </fieldset>
  );
}

function Ask({ ask, plan, fault, set }: { ask: AskedValue; plan: Plan; fault?: string; set: Props['set'] }) {
  const value = valueAt(plan, ask.path);
  if ('options' in ask) return <Choice label={ask.label} value={(value as string | undefined) ?? ask.usual ?? ask.options[0].value} options={ask.options} fault={fault} onValue={(chosen) => set(ask.path, chosen)} />;
  const { path, scale = 1, ...field } = ask;
  return (
    <QuantityField {...field} value={value === undefined ? undefined : Number(((value as number) / scale).toPrecision(12))} fault={fault}
      onValue={(given) => set(path, given === undefined ? undefined : Number((given * scale).toPrecision(12)))} />
  );
}
