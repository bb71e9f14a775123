/** How a picture that the reader brought lies beside the slice: its size, its turn, and what its greys mean. */
import type { Image } from '../../lib/index.ts';
import { Choice, NumberField, Tick } from './fields.tsx';
import type { Laid, Placement } from './compare.ts';
import type { Beside, Scaling } from './model.ts';
import { figure } from './words.ts';

interface Props {
  readonly beside: Extract<Beside, { kind: 'picture' }>;
  readonly slice: Image;
  readonly laid?: { readonly now: Laid; readonly best: Laid };
  readonly onMove: (changes: Partial<Placement> & { scaling?: Scaling }) => void;
}

/** Only a clearly better way of laying it is worth a word. */
const CLEARLY = 0.02;

export function BesidePicture({ beside, slice, laid, onMove }: Props) {
  const { placement, scaling, table } = beside;
  const better = laid && laid.best.closeness > laid.now.closeness + CLEARLY ? laid.best : undefined;
  const off = table.columns !== slice.width || table.rows !== slice.height || Math.abs(placement.pixelSize / slice.pixelSize - 1) > 1e-6;
  return (
    <div class="scan-answers scan-wide">
      <fieldset class="scan-group">
        <legend>How the picture lies</legend>
        <p class="scan-row">
          <button type="button" onClick={() => onMove({ turns: (placement.turns + 1) % 4 })}>Turn it a quarter to the left</button>
        </p>
        <Tick label="Mirror it left to right" value={placement.flipped} onValue={(flipped) => onMove({ flipped })} />
        {better && (
          <p class="scan-row scan-note">{`It agrees better ${laidAs(better)}: correlation ${figure(better.closeness)} instead of ${figure(laid!.now.closeness)}.`}{' '}
            <button type="button" onClick={() => onMove({ turns: better.turns, flipped: better.flipped })}>Lay it so</button></p>
        )}
        <NumberField label="Width of one of its pixels" value={placement.pixelSize} step={placement.pixelSize / 100} unit="mm" fault={placement.pixelSize > 0 ? undefined : 'A pixel must be more than 0 mm wide.'} onValue={(pixelSize) => onMove({ pixelSize })} />
        {off && <p class="scan-why">It has {table.columns} × {table.rows} pixels; it is read between them at the pixels of your slice, and counts as 0 where it does not reach.</p>}
      </fieldset>
      <fieldset class="scan-group">
        <legend>What its greys mean</legend>
        <Choice label="Attenuation is" value={scaling} onValue={(next) => onMove({ scaling: next })} options={[
          { value: 'as-it-is', label: 'the number itself, in 1/mm' },
          { value: 'fitted', label: 'slope × number + offset, fitted to your slice' },
          { value: 'own', label: 'slope × number + offset, as I say' },
        ]} />
        {scaling === 'fitted' && <p class="scan-why">The straight line that brings it nearest to your slice: slope {figure(placement.slope)}, offset {figure(placement.intercept)} /mm. A fault of scale or level in either picture is hidden by this.</p>}
        {scaling === 'own' && <NumberField label="Slope" value={placement.slope} step={placement.slope / 100 || 0.01} unit="1/mm" onValue={(slope) => onMove({ slope })} />}
        {scaling === 'own' && <NumberField label="Offset" value={placement.intercept} step={0.001} unit="1/mm" onValue={(intercept) => onMove({ intercept })} />}
      </fieldset>
    </div>
  );
}

function laidAs({ turns, flipped }: { turns: number; flipped: boolean }): string {
  const turned = ['', 'turned a quarter to the left', 'turned upside down', 'turned a quarter to the right'][turns];
  return [turned, flipped ? 'mirrored' : ''].filter(Boolean).join(' and ') || 'as it was brought';
}
