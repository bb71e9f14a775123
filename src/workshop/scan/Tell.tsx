/** Question 2: how was it taken? */
import type { FlatBeam, Grid, Sinogram } from '../../lib/index.ts';
import { Film } from '../../widgets/film/Film.tsx';
import { ScanDrawing } from './Drawing.tsx';
import type { Faults } from './faults.ts';
import { Choice, Complaint, NumberField, TextField, Tick } from './fields.tsx';
import { usualGreys } from './greys.ts';
import { shape, type Sheet, type Taken } from './model.ts';
import { parsedAngles, writtenAngles } from './angle-list.ts';
import type { Remark } from './warnings.ts';
import { useMemo, useState } from 'preact/hooks';

interface Props {
  readonly sheet: Sheet;
  readonly faults: Faults;
  readonly geometry?: FlatBeam;
  readonly grid: Grid;
  readonly sinogram?: Sinogram;
  readonly remarks: readonly Remark[];
  readonly onAnswer: (changes: Partial<Taken>) => void;
}

export function Tell({ sheet, faults, geometry, grid, sinogram, remarks, onAnswer }: Props) {
  const { reasons, brought } = sheet;
  const taken = sheet.taken!;
  const { views, detectors } = shape(brought!.pages[brought!.page], taken);
  const number = (key: keyof Taken & ('bright' | 'unit' | 'pitch' | 'axisOffset' | 'sourceToAxis' | 'sourceToDetector'), label: string, step: number, unit?: string) => (
    <NumberField label={label} value={taken[key]} step={step} unit={unit} why={reasons[key]} fault={faults[key]} onValue={(value) => onAnswer({ [key]: value })} />
  );
  return (
    <div class="scan-tell">
      <div class="scan-answers">
        <p class="scan-row scan-source-of">{brought!.scanName ? `Answered by ${brought!.scanName}; correct what is wrong.` : 'Some of this the numbers tell; the rest only you know.'}</p>
        <fieldset class="scan-group">
          <legend>The numbers</legend>
          <p class="scan-row">{views} views of {detectors} cells: each view is one of the {taken.viewsIn} of the file.</p>
          <p class="scan-row"><button type="button" onClick={() => onAnswer({ viewsIn: taken.viewsIn === 'rows' ? 'columns' : 'rows' })}>Turn it</button></p>
          <p class="scan-said">{faults.viewsIn ? <Complaint>{faults.viewsIn}</Complaint> : reasons.viewsIn && <span class="scan-why">{reasons.viewsIn}.</span>}</p>
          <Choice label="What a number is" value={taken.numbers} why={reasons.numbers} onValue={(numbers) => onAnswer({ numbers })}
            options={[{ value: 'line-integrals', label: 'a line integral: how much the object took away' }, { value: 'brightness', label: 'a brightness: what light is left' }]} />
          {taken.numbers === 'brightness'
            ? number('bright', 'Brightness with nothing in the way', taken.bright / 100)
            : number('unit', 'A line integral of 1 is written as', 1)}
        </fieldset>
        <fieldset class="scan-group">
          <legend>The rays</legend>
          <Choice label="From the source they" value={taken.beam} why={reasons.beam} onValue={(beam) => onAnswer({ beam })}
            options={[{ value: 'parallel', label: 'run side by side (parallel beam)' }, { value: 'fan', label: 'spread from a point (fan beam)' }]} />
          {taken.beam === 'fan' && number('sourceToAxis', 'From the source to the axis', 1, 'mm')}
          {taken.beam === 'fan' && number('sourceToDetector', 'From the source to the detector', 1, 'mm')}
        </fieldset>
        <fieldset class="scan-group">
          <legend>The detector</legend>
          {number('pitch', 'From one cell to the next', taken.pitch / 10, 'mm')}
          {number('axisOffset', 'The axis falls beside the middle by', taken.pitch / 2, 'mm')}
          <Tick label="Mirrored: columns run the other way (seen from the source’s side, or by one mirror)" value={taken.mirrored} onValue={(mirrored) => onAnswer({ mirrored })} />
        </fieldset>
        <fieldset class="scan-group">
          <legend>The turn</legend>
          <AngleFields taken={taken} views={views} why={reasons.angles} fault={faults.angles} onAnswer={onAnswer} />
          <Choice label="Seen from above, the source goes round the object" value={taken.turn} why={reasons.turn} onValue={(turn) => onAnswer({ turn })}
            options={[{ value: 'counterclockwise', label: 'counter-clockwise (the object turns clockwise)' }, { value: 'clockwise', label: 'clockwise (the object turns counter-clockwise)' }]} />
        </fieldset>
      </div>
      <div class="scan-shown">
        {sinogram && <SinogramFilm sinogram={sinogram} />}
        {geometry ? <ScanDrawing geometry={geometry} grid={grid} /> : <p class="scan-row">The drawing comes back when the answers fit together.</p>}
        <ul class="scan-remarks">
          {remarks.map(({ kind, about, sentence }) => <li key={about} class={`scan-remark-${kind}`}><strong>{kind === 'warning' ? 'Mind' : 'Note'}</strong> {sentence}</li>)}
        </ul>
      </div>
    </div>
  );
}

function SinogramFilm({ sinogram }: { sinogram: Sinogram }) {
  const { views, detectors, data } = sinogram;
  const { low, high } = useMemo(() => usualGreys({ data }), [data]);
  const image = useMemo(() => ({ width: detectors, height: views, data }), [data]);
  return (
    <Film title={`The sinogram: ${views} views, the first on top`} image={image} window={[low, high]} unit="" scaling="smooth" aspect={1.5}
      extent={{ left: 0, right: detectors, top: 0, bottom: views }} axes={['cell', 'view']} />
  );
}

type AngleProps = { taken: Taken; views: number; why?: string; fault?: string; onAnswer: (changes: Partial<Taken>) => void };

function AngleFields({ taken, views, why, fault, onAnswer }: AngleProps) {
  const { angles } = taken;
  const even = (start: number, step: number) => onAnswer({ angles: { kind: 'even', start, step } });
  const kind = (next: 'even' | 'list') => {
    if (next === angles.kind) return;
    if (angles.kind === 'even') onAnswer({ angles: { kind: 'list', list: Array.from({ length: views }, (_, view) => Number((angles.start + view * angles.step).toPrecision(12))) } });
    else even(angles.list[0] ?? 0, (((angles.list.at(-1) ?? 360) - (angles.list[0] ?? 0)) / Math.max(1, angles.list.length - 1)) || 360 / views);
  };
  return (
    <>
      <Choice label="The views follow one another" value={angles.kind} why={why} fault={fault} onValue={kind}
        options={[{ value: 'even', label: 'in even steps' }, { value: 'list', label: 'at angles that I list' }]} />
      {angles.kind === 'even' ? (
        <>
          <NumberField label="First view at" value={angles.start} step={1} unit="°" onValue={(start) => even(start, angles.step)} />
          <NumberField label="From view to view" value={angles.step} step={0.1} unit="°" onValue={(step) => even(angles.start, step)} />
          <NumberField label={`Which makes, for ${views} views, a turn of`} value={Number((angles.step * views).toPrecision(9))} step={1} unit="°" onValue={(turn) => even(angles.start, turn / views)} />
        </>
      ) : <AngleList list={angles.list} onList={(list) => onAnswer({ angles: { kind: 'list', list } })} />}
    </>
  );
}

function AngleList({ list, onList }: { list: readonly number[]; onList: (list: number[]) => void }) {
  const [text, setText] = useState(writtenAngles(list));
  const read = parsedAngles(text);
  const type = (next: string) => {
    setText(next);
    const now = parsedAngles(next);
    if (Array.isArray(now)) onList(now);
  };
  return <TextField label="Angles in degrees, in the order of the views" value={text} lines={4} fault={typeof read === 'string' ? read : undefined} onValue={type} />;
}
