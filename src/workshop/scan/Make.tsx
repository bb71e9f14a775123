/** Question 3: which picture do you want? */
import { useEffect, useState } from 'preact/hooks';
import { MethodFields } from '../MethodFields.tsx';
import { checkFormula } from './darkroom.ts';
import type { Faults } from './faults.ts';
import { firstFault } from './faults.ts';
import { Choice, Complaint, NumberField, TextField } from './fields.tsx';
import { isStale, type Recipe, type Sheet } from './model.ts';
import { windows } from './windows.ts';
import { figure } from './words.ts';

export interface Making {
  readonly fraction: number;
  readonly stop: () => void;
}

interface Props {
  readonly sheet: Sheet;
  readonly faults: Faults;
  readonly making?: Making;
  readonly onWish: (changes: Partial<Recipe>) => void;
  readonly onFill: () => void;
  readonly onMake: () => void;
}

export function Make({ sheet, faults, making, onWish, onFill, onMake }: Props) {
  const { recipe, reasons, slice } = sheet;
  const formulaFault = useFormulaFault(recipe);
  const stands = firstFault(faults) ?? formulaFault;
  return (
    <div class="scan-make">
      <MethodFields wish={recipe.by} onWish={(by) => onWish({ by })} />
      {!recipe.by && <fieldset class="scan-group">
        <legend>Filter</legend>
        <Choice label="Window" value={recipe.window} options={windows} onValue={(window) => onWish({ window })} />
        {recipe.window === 'formula' && <TextField label="Gain on the ramp, in f and fc (cycles per mm)" value={recipe.formula} fault={faults.formula ?? formulaFault} onValue={(formula) => onWish({ formula })} />}
        {recipe.window !== 'none' && (
          <NumberField label="Cut-off, as a share of the finest that the cells can carry" value={recipe.cutoff} step={0.05} fault={faults.cutoff} onValue={(cutoff) => onWish({ cutoff })} />
        )}
      </fieldset>}
      <fieldset class="scan-group">
        <legend>Picture</legend>
        <NumberField label="Pixels each way" value={recipe.size} step={16} why={reasons.grid} fault={faults.size} onValue={(size) => onWish({ size })} />
        <NumberField label="Width of a pixel" value={recipe.pixelSize} step={recipe.pixelSize / 10} unit="mm" fault={faults.pixelSize} onValue={(pixelSize) => onWish({ pixelSize })} />
        <NumberField label="Middle of the picture, x from the axis" value={recipe.centre[0]} step={1} unit="mm" onValue={(x) => onWish({ centre: [x, recipe.centre[1]] })} />
        <NumberField label="Middle of the picture, y from the axis" value={recipe.centre[1]} step={1} unit="mm" onValue={(y) => onWish({ centre: [recipe.centre[0], y] })} />
        <p class="scan-row">The picture is {figure(recipe.size * recipe.pixelSize)} mm wide. <button type="button" class="quiet" onClick={onFill}>Fill the field again</button></p>
      </fieldset>
      <div class="scan-go">
        {making
          ? <button type="button" onClick={making.stop}>Stop</button>
          : <button type="button" class="scan-chief" disabled={stands !== undefined} aria-describedby="scan-go-said" onClick={onMake}>{slice ? 'Make the slice again' : 'Make the slice'}</button>}
        {making && <progress value={making.fraction} max={1} aria-label="How far the slice has come" />}
        <span id="scan-go-said" role="status">
          {making ? `${Math.floor(making.fraction * 100)} %` : stands ? `Not yet: ${stands}` : slice ? isStale(sheet) ? 'Something was changed since the slice below was made.' : `Made in ${figure(slice.seconds, 2)} s. ${slice.how ?? ''}` : ''}
        </span>
        <Complaint>{sheet.complaints.slice}</Complaint>
      </div>
    </div>
  );
}

/** The formula is tried a moment after the last key. */
function useFormulaFault({ window, formula }: Recipe): string | undefined {
  const [fault, setFault] = useState<string>();
  useEffect(() => {
    if (window !== 'formula' || formula.trim() === '') { setFault(undefined); return; }
    let current = true;
    const timer = setTimeout(() => {
      checkFormula(formula).then(() => { if (current) setFault(undefined); }, (error: Error) => { if (current) setFault(error.message); });
    }, 250);
    return () => { current = false; clearTimeout(timer); };
  }, [window, formula]);
  return fault;
}
