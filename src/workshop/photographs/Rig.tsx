/** Question 2: how were they taken? */
import type { FlatBeam } from '../../lib/index.ts';
import { ScanDrawing } from '../scan/Drawing.tsx';
import { Choice, NumberField, TextField, Tick } from '../scan/fields.tsx';
import { figure } from '../scan/words.ts';
import { BeadFinder } from './BeadFinder.tsx';
import { outlineOf, remarksOn, type Outline } from './geometry.ts';
import { stepsInTurn, viewsOf, type Rig as Answers, type Roll } from './model.ts';
import type { Photographs } from './usePhotographs.ts';

interface Props { readonly photographs: Photographs; readonly roll: Roll; readonly faults: Readonly<Record<string, string | undefined>>; readonly stands?: string }

export function Rig({ photographs, roll, faults, stands }: Props) {
  const { edit } = photographs;
  const { rig, size } = roll;
  const views = viewsOf(roll, true).length;
  const answer = (changes: Partial<Answers>) => edit((now) => ({ ...now, rig: { ...(changes.step === undefined ? now.rig : said(now.rig)), ...changes } }), Object.keys(changes).join());
  const number = (key: 'sourceToAxis' | 'sourceToDetector' | 'pitch' | 'start' | 'step', label: string, step: number, unit: string, why?: string) => (
    <NumberField label={label} value={rig[key]} step={step} unit={unit} why={why} fault={faults[key]} onValue={(value) => answer({ [key]: value })} />
  );
  const outline = outlineFor(roll);
  return (
    <div class="scan-tell">
      <div class="scan-answers">
        <fieldset class="scan-group photo-title">
          <legend>The scan</legend>
          <TextField label="What is it of?" value={roll.title} onValue={(title) => edit((now) => ({ ...now, title }), 'title')} />
        </fieldset>
        <fieldset class="scan-group">
          <legend>Distances</legend>
          {number('sourceToAxis', 'From the source to the axis', 1, 'mm')}
          {number('sourceToDetector', 'From the source to the screen', 1, 'mm')}
          {number('pitch', 'Width of a photograph’s pixel, on the screen', rig.pitch / 10, 'mm')}
          {size && <NumberField label={`Which makes ${size.width} pixels`} value={Number((rig.pitch * size.width).toPrecision(9))} step={1} unit="mm" why="Photograph a ruler on the screen to know it" onValue={(width) => answer({ pitch: width / size.width })} />}
          {size && <BeadFinder photographs={photographs} roll={roll} stands={stands} />}
        </fieldset>
        <fieldset class="scan-group">
          <legend>The turn</legend>
          {number('step', 'From view to view', 0.5, '°', rig.stepGuessed ? `Guessed: ${views} views once round` : undefined)}
          {number('start', 'First view at', 1, '°')}
          <Choice label="Seen from above, the object turned" value={rig.turn} onValue={(turn) => answer({ turn })}
            options={[{ value: 'counterclockwise', label: 'clockwise (the source goes round it counter-clockwise)' }, { value: 'clockwise', label: 'counter-clockwise (the source goes round it clockwise)' }]} />
          <Tick label="The photographs are mirrored: taken from the source’s side of the screen, or by one mirror" value={rig.mirrored} onValue={(mirrored) => answer({ mirrored })} />
        </fieldset>
      </div>
      <div class="scan-shown">
        {'beam' in outline ? <Shown roll={roll} outline={outline} /> : <p class="scan-row">{outline.sentence}</p>}
      </div>
    </div>
  );
}

/** The step is no longer a guess. */
function said({ stepGuessed, ...rig }: Answers): Answers {
  return rig;
}

function Shown({ roll, outline }: { roll: Roll; outline: Outline }) {
  const { rows, rowOffset, tilt, ...flat } = outline.beam;
  const fan: FlatBeam = { ...flat, beam: 'fan' };
  const { width, height, voxelSize, centre } = outline.grid;
  const steps = stepsInTurn(roll);
  return (
    <>
      <ScanDrawing geometry={fan} grid={{ width, height, pixelSize: voxelSize, centre: [centre?.[0] ?? 0, centre?.[1] ?? 0] }} />
      <p class="scan-row">
        The shadow is {figure(outline.magnification)} times as large as the object. One working pixel is {figure(outline.cell, 3)} mm wide at the axis.
        {steps ? ` A whole turn has ${steps} such steps.` : ' The step does not divide a whole turn.'}
      </p>
      <ul class="scan-remarks">
        {remarksOn(roll, outline).map(({ kind, sentence }) => <li key={sentence} class={`scan-remark-${kind}`}><strong>{kind === 'warning' ? 'Mind' : 'Note'}</strong> {sentence}</li>)}
      </ul>
    </>
  );
}

function outlineFor(roll: Roll): Outline | { readonly sentence: string } {
  if (!roll.size) return { sentence: 'The drawing comes when the first photograph has been opened.' };
  if (viewsOf(roll).length < 2) return { sentence: 'The drawing comes with the second view.' };
  try {
    return outlineOf(roll);
  } catch {
    return { sentence: 'The drawing comes back when the answers fit together.' };
  }
}
