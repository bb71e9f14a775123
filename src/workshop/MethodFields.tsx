/** By which method a picture is made, with what an iterative one asks. */
import type { MethodName } from '../lib/index.ts';
import { firstWish, methodTitles, wishFaults, type MethodWish } from './method.ts';
import { Choice, NumberField, Tick } from './scan/fields.tsx';

interface Props {
  readonly wish?: MethodWish;
  /** undefined: filtered backprojection. */
  readonly onWish: (wish: MethodWish | undefined) => void;
}

export function MethodFields({ wish, onWish }: Props) {
  const faults = wishFaults(wish);
  return (
    <fieldset class="scan-group">
      <legend>Method</legend>
      <Choice<MethodName> label="By" value={wish?.method ?? 'fbp'} options={methodTitles} onValue={(method) => onWish(firstWish(method))} />
      {wish && <NumberField label="Iterations" value={wish.iterations} step={10} fault={faults.iterations} onValue={(iterations) => onWish({ ...wish, iterations })} />}
      {wish?.method === 'tv' && (wish.strength === undefined
        ? <p class="scan-row">How much going up and down costs is chosen by the noise in the views. <button type="button" class="quiet" onClick={() => onWish({ ...wish, strength: 0.03 })}>Choose it myself</button></p>
        : (
          <>
            <NumberField label="What going up and down costs" value={wish.strength} step={0.01} unit="mm" fault={faults.strength} onValue={(strength) => onWish({ ...wish, strength })} />
            <p class="scan-row">More gives flatter patches, too much wipes small things out. <button type="button" class="quiet" onClick={() => onWish({ ...wish, strength: undefined })}>Choose it by the noise again</button></p>
          </>
        ))}
      {wish && wish.method !== 'cgls' && <Tick label="No value below 0" value={wish.nonNegative ?? true} onValue={(value) => onWish({ ...wish, nonNegative: value ? undefined : false })} />}
      {wish && <Tick label="Dark rays, which are noisier, count less" value={wish.weights === 'light'} onValue={(value) => onWish({ ...wish, weights: value ? 'light' : undefined })} />}
    </fieldset>
  );
}
