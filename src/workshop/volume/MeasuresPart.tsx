/** Points marked on the cuts become distances, angles, circles and regions in a list. */
import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import { materialsNear, normalOf, type MaterialNear, type Volume } from '../../lib/index.ts';
import { Choice, Complaint, NumberField } from '../scan/fields.tsx';
import { figure } from '../scan/words.ts';
import { cutTitles } from './Cut.tsx';
import { figuresOf, inWords, measuresAsCsv, type Figures } from './measures.ts';
import * as model from './model.ts';
import { pointsOf, titleOf, type Measure, type MeasureKind, type SavedView } from './model.ts';
import { fileName, save } from './pictures.ts';
import { planeOf } from './planes.ts';
import { sentenceOf } from '../sentence.ts';

interface Props {
  readonly volume: Volume;
  readonly title: string;
  readonly view: SavedView;
  /** The energy that came with the volume. */
  readonly knownKeV?: number;
  readonly turn: (change: (view: SavedView) => SavedView) => void;
}

const kinds: readonly { readonly value: MeasureKind; readonly label: string }[] = [
  { value: 'distance', label: 'a distance: two points' },
  { value: 'angle', label: 'an angle: a point, the corner, a point' },
  { value: 'circle', label: 'a circle: three points on it' },
  { value: 'region', label: 'a region: the middle of a disc in the cut; mean and spread of its values' },
];
/** Where no one has said what the energy is. */
const standIn = 50;

export function MeasuresPart({ volume, title, view, knownKeV, turn }: Props) {
  const needed = pointsOf[view.measuring], marked = view.marks.length;
  const keV = view.keV ?? knownKeV ?? standIn;
  const known = view.keV !== undefined || knownKeV !== undefined;
  const markHere = () => turn((now) => model.mark(now, now.cross, normalOf(planeOf(volume, now, now.cut))));
  // What is pressed goes away with its row; the button that brings it back is the next thing to want.
  const undoButton = useRef<HTMLButtonElement>(null);
  const removing = (change: (view: SavedView) => SavedView) => {
    turn(change);
    undoButton.current?.focus();
  };
  const regions = view.measures.some(({ kind }) => kind === 'region');
  return (
    <div class="volume-measuring">
      <div class="scan-wide">
        <Choice label="The next measurement" value={view.measuring} options={kinds} onValue={(kind) => turn((now) => model.measure(now, kind))}>
          {view.measuring === 'region' && (
            <NumberField label="Radius of the region" value={view.radius} step={volume.voxelSize} unit="mm" fault={view.radius > 0 ? undefined : 'A radius is above 0.'} onValue={(radius) => turn((now) => model.change(now, { radius }))} />
          )}
        </Choice>
        <div>
          <p class="scan-row" role="status">
            {needed === 1 ? `One point makes it, in the cut ${cutTitles[view.cut].toLowerCase()}.` : `${marked} of ${needed} points marked.`}{' '}
            Mark with the cross-hair and the button or <kbd>Enter</kbd>, or choose above that pressing on a cut marks.
          </p>
          <p class="scan-buttons">
            <button type="button" class="scan-chief" disabled={view.measuring === 'region' && !(view.radius > 0)} onClick={markHere}>Mark this point</button>
            <button type="button" disabled={marked === 0} onClick={() => turn(model.unmark)}>Take the last point back</button>
          </p>
        </div>
      </div>
      {view.measures.length > 0 && (
        <div class="scrolls" tabIndex={0} role="region" aria-label="Measurements">
          <table class="volume-measures">
            <thead><tr><th scope="col">Name</th><th scope="col">What it comes to</th><th scope="col"><span class="unseen">What to do with it</span></th></tr></thead>
            <tbody>{view.measures.map((measure) => <Row key={measure.id} measure={measure} volume={volume} keV={keV} keVSpread={view.keVSpread} turn={turn} removing={removing} />)}</tbody>
          </table>
        </div>
      )}
      {regions && (
        <div class="volume-energy">
          <div class="volume-numbers">
            <NumberField label="Energy that the attenuations belong to" value={keV} step={1} unit="keV" fault={faultOf(keV)} why={known ? undefined : 'A stand-in: nobody has said what it was'} onValue={(value) => turn((now) => model.change(now, { keV: value }))} />
            <NumberField label="give or take" value={view.keVSpread} step={1} unit="keV" fault={view.keVSpread >= 0 ? undefined : 'An uncertainty is 0 or more.'} onValue={(value) => turn((now) => model.change(now, { keVSpread: value }))} />
          </div>
          <p class="scan-why">A tube gives many energies at once; the one that stands for them all lies well below its highest and rises on the way through the object. sd: of the region’s values, the material’s density and the energy together. A hint, no analysis.</p>
        </div>
      )}
      <p class="scan-buttons">
        <button ref={undoButton} type="button" aria-disabled={view.before.length === 0 && marked === 0} onClick={() => turn(model.undo)}>Undo</button>
        <button type="button" aria-disabled={view.after.length === 0} onClick={() => turn(model.redo)}>Redo</button>
        <button type="button" disabled={view.measures.length === 0} onClick={() => removing(model.removeAll)}>Delete all</button>
        <button type="button" disabled={view.measures.length === 0} onClick={() => save(`${fileName(title)}-measurements.csv`, new TextEncoder().encode(measuresAsCsv(view.measures, volume)), 'text/csv')}>Save as CSV</button>
      </p>
    </div>
  );
}

function Row({ measure, volume, keV, keVSpread, turn, removing }: { measure: Measure; volume: Volume; keV: number; keVSpread: number; turn: Props['turn']; removing: Props['turn'] }) {
  const { figures, trouble } = useMemo((): { figures?: Figures; trouble?: string } => {
    try {
      return { figures: figuresOf(measure, volume) };
    } catch (error) {
      return { trouble: sentenceOf(error) };
    }
  }, [volume, measure.points, measure.radius, measure.facing]);
  const words = figures && inWords(figures);
  return (
    <tr>
      <th scope="row"><NameField name={measure.name} onName={(name) => turn((now) => model.rename(now, measure.id, name))} /></th>
      <td>
        {words && <><span class="unseen">{titleOf[measure.kind]}: </span><strong class="volume-figure">{words.chief}</strong> <span class="scan-why">{words.more}</span></>}
        {measure.kind === 'region' && figures && <Materials figures={figures} keV={keV} keVSpread={keVSpread} />}
        <Complaint>{trouble}</Complaint>
      </td>
      <td>
        <span class="scan-buttons">
          <button type="button" onClick={() => turn((now) => model.moveCross(now, volume, measure.points[0]))}>Go there<span class="unseen">: {measure.name}</span></button>
          <button type="button" onClick={() => removing((now) => model.remove(now, measure.id))}>Delete<span class="unseen"> {measure.name}</span></button>
        </span>
      </td>
    </tr>
  );
}

/** Named when the field is left or Enter pressed: one change for undo, however many letters. */
function NameField({ name, onName }: { name: string; onName: (name: string) => void }) {
  const [text, setText] = useState(name);
  useEffect(() => setText(name), [name]);
  return <input type="text" aria-label={`Name of ${name}`} autocomplete="off" value={text} onInput={(event) => setText(event.currentTarget.value)} onChange={(event) => onName(event.currentTarget.value)} />;
}

/** Materials whose attenuation lies within this many standard deviations are named; more than that speaks against them. */
const near = 3, mostNamed = 4;

function Materials({ figures, keV, keVSpread }: { figures: Figures; keV: number; keVSpread: number }) {
  const found = useMemo(() => {
    try {
      return materialsNear(figures.value, keV, figures.deviation || 0, keVSpread);
    } catch {
      return []; // the field of the energy says why
    }
  }, [figures, keV, keVSpread]);
  if (found.length === 0) return null;
  const fitting = found.filter(({ deviations }) => Math.abs(deviations) <= near).slice(0, mostNamed);
  const named = ({ title, expected, expectedDeviation, deviations }: MaterialNear) => `${title} (${figure(expected, 3)} ± ${figure(expectedDeviation, 1)} /mm, ${figure(Math.abs(deviations), 2)} sd away)`;
  return (
    <span class="scan-why volume-materials">
      At {figure(keV)} ± {figure(keVSpread)} keV{' '}
      {fitting.length > 0 ? `this could be ${fitting.map(named).join(', ')}.` : `no material of the table fits; the nearest is ${named(found[0])}.`}
    </span>
  );
}

/** Why there are no materials for an energy, in the library's words. */
function faultOf(keV: number): string | undefined {
  try {
    materialsNear(1, keV, 1);
    return undefined;
  } catch (error) {
    return sentenceOf(error);
  }
}
