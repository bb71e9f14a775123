/** Question 4: where is the axis, and at which step was each view taken? */
import { useState } from 'preact/hooks';
import { Chart } from '../../widgets/chart/Chart.tsx';
import { Complaint, NumberField, Tick } from '../scan/fields.tsx';
import { counted, figure, listed } from '../scan/words.ts';
import { placed, placedAt, stepsInTurn, stepsOf, viewsOf, type Roll } from './model.ts';
import { Progress } from '../Progress.tsx';
import { axisKey, checkKey, stepsKey, type FoundSteps } from './results.ts';
import type { Photographs } from './usePhotographs.ts';

interface Props { readonly photographs: Photographs; readonly roll: Roll; readonly stands?: string }

export function Align({ photographs, roll, stands }: Props) {
  const { busy, complaints } = photographs;
  return (
    <div class="photo-align">
      <div class="scan-wide">
        <Axis photographs={photographs} roll={roll} stands={stands} />
        <Steps photographs={photographs} roll={roll} stands={stands} />
      </div>
      <Progress busy={busy} place="align" />
      <Complaint>{complaints.align}</Complaint>
      <Check photographs={photographs} roll={roll} stands={stands} />
    </div>
  );
}

const percent = (chance: number) => (chance > 0.9995 ? 'over 99.9 %' : chance < 0.0005 ? 'under 0.1 %' : `${figure(100 * chance, 3)} %`);

function Axis({ photographs: { edit, busy, results, seekAxis }, roll, stands }: Props) {
  const found = results.axis?.key === axisKey(roll) ? results.axis : undefined;
  const { offset, tilt } = roll.axis;
  const give = (changes: { offset?: number; tilt?: number }) => edit((now) => ({ ...now, axis: Object.fromEntries(Object.entries({ ...now.axis, ...changes }).filter(([, value]) => value !== undefined)) }), Object.keys(changes).join());
  const own = offset !== undefined || tilt !== undefined;
  return (
    <fieldset class="scan-group">
      <legend>The axis</legend>
      <p class="scan-row" role="status">
        {found
          ? <>It falls {figure(Math.abs(found.axis.offset), 3)} mm ({figure(Math.abs(found.axis.pixels), 3)} pixels) to the {found.axis.offset < 0 ? 'left' : 'right'} of the middle, ± {figure(found.axis.deviation.offset, 2)} mm, and leans by {figure(found.axis.tilt, 3)}° ± {figure(found.axis.deviation.tilt, 2)}°; found from {found.how}, sure to half a pixel by {percent(found.sure)}.</>
          : 'It is looked for when the volume is made, unless you give it.'}
      </p>
      <p class="scan-row"><button type="button" disabled={stands !== undefined || busy !== undefined} onClick={() => void seekAxis()}>Look for the axis now</button></p>
      <Tick label="I give it myself" value={own} onValue={(yes) => give(yes ? { offset: found?.axis.offset ?? 0, tilt: found?.axis.tilt ?? 0 } : { offset: undefined, tilt: undefined })} />
      {own && <NumberField label="The axis falls right of the middle by" value={offset ?? 0} step={roll.rig.pitch / 2} unit="mm" onValue={(value) => give({ offset: value })} />}
      {own && <NumberField label="It leans, + to the right going up" value={tilt ?? 0} step={0.1} unit="°" onValue={(value) => give({ tilt: value })} />}
      <p class="scan-hint">In a whole turn the mean of all views is its own mirror image about the axis. A wrong axis draws every edge twice.</p>
    </fieldset>
  );
}

function Steps({ photographs: { edit, busy, results, seekSteps }, roll, stands }: Props) {
  const views = viewsOf(roll);
  const usual = stepsInTurn(roll) ?? views.length;
  const [count, setCount] = useState<number>();
  const [fixed, setFixed] = useState<readonly (readonly [number, number])[]>([]);
  const found = results.steps?.key === stepsKey(roll) ? results.steps : undefined;
  const steps = stepsOf(roll);
  const now = views.map(({ id }) => steps.get(id)!);
  const wanted = count ?? usual;
  const given = roll.frames.some(({ step }) => step !== undefined);
  const gaps = Array.from({ length: Math.max(0, (now.at(-1) ?? -1) + 1) }, (_, k) => k).filter((k) => !now.includes(k));
  const fault = !Number.isInteger(wanted) || wanted < Math.max(8, views.length) ? `A whole number from ${Math.max(8, views.length)} is needed: there are ${views.length} views.` : wanted > 180 ? 'Gaps are looked for in at most 180 steps a turn.' : undefined;
  return (
    <fieldset class="scan-group">
      <legend>Missing steps</legend>
      <p class="scan-row">
        {given ? `The views stand at the steps that were found or given; without a view: ${gaps.length > 0 ? listed(gaps.map(String)) : 'none'} (counted from 0).` : 'The views are taken one after the other, a step apart.'}{' '}
        {given && <button type="button" class="quiet" onClick={() => edit((roll) => placed(roll, undefined))}>One after the other again</button>}
      </p>
      <p class="scan-hint">Were some photographs lost on the way, and nobody knows which? The others tell: what each view shows has to fit the views beside it.</p>
      <NumberField label="Steps that a whole turn had" value={wanted} step={1} fault={fault} onValue={setCount} />
      <p class="scan-row"><button type="button" disabled={stands !== undefined || busy !== undefined || fault !== undefined} onClick={() => void seekSteps(wanted, fixed)}>Find which steps are missing</button></p>
      {found && <Found found={found} roll={roll} onUse={(steps) => edit((roll) => placed(roll, steps))} />}
      <details>
        <summary>Say where a view stands</summary>
        <Overrule roll={roll} now={now} fixed={fixed} onFix={(frame, step) => setFixed([...fixed.filter(([other]) => other !== frame), [frame, step]])} onPut={(frame, step) => edit((roll) => placedAt(roll, views[frame].id, step))} onFree={(frame) => setFixed(fixed.filter(([other]) => other !== frame))} />
      </details>
    </fieldset>
  );
}

function Found({ found, roll, onUse }: { found: FoundSteps; roll: Roll; onUse: (steps: readonly number[]) => void }) {
  const views = viewsOf(roll);
  const names = (frames: readonly number[]) => listed(frames.slice(0, 4).map((frame) => views[frame]?.name ?? '?')) + (frames.length > 4 ? ' and more' : '');
  const same = (steps: readonly number[]) => { const now = stepsOf(roll); return views.every(({ id }, k) => now.get(id) === steps[k]); };
  const unsure = found.sureOfFrame.map((sure, frame) => ({ sure, frame })).filter(({ sure }) => sure < 0.9);
  return (
    <div class="photo-found" role="status">
      <p class="scan-row">
        {found.lost.length === 0 ? `None of the ${found.count} steps is without a view.` : `${counted(found.lost.length, 'step')} of ${found.count} without a view: ${listed(found.lost.map(String))} (counted from 0), by a chance of ${percent(found.sure)}.`}
        {' '}Nothing can tell by how much the whole is turned: the first view stands at step {found.steps[0]}.
      </p>
      {found.lost.length > 0 && (same(found.steps) ? <p class="scan-row">The views stand there.</p> : <p class="scan-row"><button type="button" class="scan-chief" onClick={() => onUse(found.steps)}>Put the views at these steps</button></p>)}
      {found.next && found.next.sure >= 0.0005 && found.next.lost.length > 0 && (
        <p class="scan-row">Next best: without {listed(found.next.lost.map(String))}, {percent(found.next.sure)}. <button type="button" class="quiet" onClick={() => onUse(found.next!.steps)}>Take that instead</button></p>
      )}
      {unsure.length > 0 && <p class="scan-row">Least sure of {names(unsure.map(({ frame }) => frame))}.</p>}
      {found.duplicates.length > 0 && <p class="scan-row">{names(found.duplicates.map(({ frame }) => frame))} {found.duplicates.length === 1 ? 'repeats another view' : 'repeat other views'}: leave {found.duplicates.length === 1 ? 'it' : 'them'} out.</p>}
      {found.moved.length > 0 && <p class="scan-row">{names(found.moved)} {found.moved.length === 1 ? 'looks' : 'look'} as if the stage moved meanwhile: leave {found.moved.length === 1 ? 'it' : 'them'} out.</p>}
    </div>
  );
}

interface OverruleProps {
  readonly roll: Roll;
  readonly now: readonly number[];
  readonly fixed: readonly (readonly [number, number])[];
  readonly onFix: (frame: number, step: number) => void;
  readonly onPut: (frame: number, step: number) => void;
  readonly onFree: (frame: number) => void;
}

/** What the reader knows better: a view put at a step with those after it following on, or held there while the others are looked for. */
function Overrule({ roll, now, fixed, onFix, onPut, onFree }: OverruleProps) {
  const views = viewsOf(roll);
  const [frame, setFrame] = useState(0);
  const [step, setStep] = useState<number>();
  const at = step ?? now[frame] ?? 0;
  const fault = Number.isInteger(at) && at >= 0 ? undefined : 'Steps are whole numbers, counted from 0.';
  return (
    <>
      <div class="scan-field">
        <label>View{' '}
          <select value={frame} onChange={(event) => { setFrame(Number(event.currentTarget.value)); setStep(undefined); }}>
            {views.map(({ name }, k) => <option key={k} value={k}>{k + 1}: {name.slice(name.lastIndexOf('/') + 1)}</option>)}
          </select>
        </label>
      </div>
      <NumberField key={frame} label="was taken at step (counted from 0)" value={at} step={1} fault={fault} onValue={setStep} />
      <p class="scan-buttons">
        <button type="button" disabled={fault !== undefined} onClick={() => onPut(frame, at)}>Put it there</button>
        <button type="button" disabled={fault !== undefined} onClick={() => onFix(frame, at)}>Hold it there in the next search</button>
      </p>
      <p class="scan-hint">Views that have no step of their own follow the one before them.</p>
      {fixed.length > 0 && <ul class="photo-fixed-list">{fixed.map(([frame, step]) => <li key={frame}>{views[frame]?.name ?? `View ${frame + 1}`} at step {step} <button type="button" class="quiet" onClick={() => onFree(frame)}>Let go</button></li>)}</ul>}
    </>
  );
}

function Check({ photographs: { busy, results, check }, roll, stands }: Props) {
  const found = results.check?.key === checkKey(roll) ? results.check : undefined;
  return (
    <div class="photo-check">
      <p class="scan-row"><button type="button" disabled={stands !== undefined || busy !== undefined} onClick={() => void check()}>Compare each view with the others</button></p>
      {!found && <p class="scan-hint">What a view shows has to fit what all the others say: one that stands at a wrong angle, or was taken while something moved, does not.</p>}
      {found?.how === 'steps' && <BySteps {...found} roll={roll} />}
      {found?.how === 'volume' && <ByVolume {...found} />}
    </div>
  );
}

/** Above these a view does not fit: of the views of an undisturbed scan the first stays below about 1.2, the second within a tenth. */
const surprising = 1.4, beside = 0.3;

function BySteps({ surprises, ahead, roll }: { surprises: readonly number[]; ahead: readonly number[]; roll: Roll }) {
  const views = viewsOf(roll);
  const nameOf = (k: number) => { const name = views[k]?.name ?? `view ${k + 1}`; return name.slice(name.lastIndexOf('/') + 1); };
  const numbers = surprises.map((_, k) => k + 1);
  const last = Math.max(2, numbers.length);
  const off = ahead.filter((value) => Math.abs(value) > beside).length;
  const odd = surprises.map((value, k) => ({ value, k })).filter(({ value }) => value > surprising).sort((a, b) => b.value - a.value).slice(0, 5);
  const words = odd.map(({ k }) => `${nameOf(k)}${Math.abs(ahead[k]) > beside ? ` (it lies ${figure(Math.abs(ahead[k]), 2)} steps ${ahead[k] > 0 ? 'after' : 'before'} its place)` : ''}`);
  return (
    <>
      <div class="scan-films">
        <Chart title="How far each view is from what the others predict; about 1 is usual" height={160} x={{ label: 'view', domain: [1, last] }} y={{ label: 'times the usual', domain: [0, Math.max(2, ...surprises) * 1.05] }} series={[{ name: 'view', x: numbers, y: surprises, kind: 'stems' }]} rules={[{ y: 1 }]} />
        <Chart title="By how much of a step it lies after its place" height={160} x={{ label: 'view', domain: [1, last] }} y={{ label: 'steps', domain: [-Math.max(1, ...ahead.map(Math.abs)), Math.max(1, ...ahead.map(Math.abs))] }} series={[{ name: 'view', x: numbers, y: ahead, kind: 'stems' }]} rules={[{ y: 0 }]} />
      </div>
      <p class="scan-row" role="status">
        {off > ahead.length / 4 ? 'Many views lie beside their places: were photographs lost? Look for the missing steps above.'
          : odd.length > 0 ? `${listed(words)} ${odd.length === 1 ? 'does' : 'do'} not fit: a wrong angle, a movement, or something in the beam. Look at ${odd.length === 1 ? 'it' : 'them'}, and leave out what is bad.`
            : 'No view stands out: all fit with the others.'}
      </p>
    </>
  );
}

function ByVolume({ residuals }: { residuals: readonly number[] }) {
  return (
    <>
      <Chart title="How far each view lies from what a volume made of all shows there (rms of line integrals)" height={170} x={{ label: 'view', domain: [1, Math.max(2, residuals.length)] }} y={{ label: 'rms, no unit', domain: [0, Math.max(...residuals) * 1.1] }}
        series={[{ name: 'difference', x: residuals.map((_, k) => k + 1), y: residuals, kind: 'stems' }]} />
      <p class="scan-row">The views are not in equal steps of a whole turn, so they were compared with a coarse volume made of all. Views beside a gap lie farther off than others by themselves; one that sticks out alone stands at a wrong angle, or something moved.</p>
    </>
  );
}
