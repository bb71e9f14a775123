/** Question 4: what do you see, and how does it compare? */
import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import { interpolated, profile, type Image } from '../../lib/index.ts';
import { Chart } from '../../widgets/chart/Chart.tsx';
import { Dot, Film, type FilmPoint } from '../../widgets/film/Film.tsx';
import { BesidePicture } from './BesidePicture.tsx';
import { DropPlace } from './Bring.tsx';
import { compare } from './darkroom.ts';
import { differenceOf, placed, resampled, type Placement } from './compare.ts';
import { Choice, Complaint, NumberField } from './fields.tsx';
import { differenceGreys, draggedGreys, greysOf, levelOf, usualGreys, windowOf } from './greys.ts';
import { endAt, rounded, usualLine } from './line.ts';
import { summary, type Beside, type Greys, type Line, type Look as LookState, type Scaling, type Sheet, type Slice } from './model.ts';
import type { GivenFile } from './receive.ts';
import { figure } from './words.ts';
import type { Compared } from './worker.ts';

interface Props {
  readonly sheet: Sheet;
  readonly slice: Slice;
  readonly onLook: (look: Partial<LookState>) => void;
  readonly onAside: () => void;
  readonly onPicture: (files: GivenFile[]) => void;
  readonly onMove: (changes: Partial<Placement> & { scaling?: Scaling }) => void;
  readonly onClear: () => void;
}

/** Where dragging may take hold of an end of the line, as a share of the film's width. */
const HOLD = 0.05;

export function Look({ sheet, slice, onLook, onAside, onPicture, onMove, onClear }: Props) {
  const { image } = slice;
  const { beside } = sheet;
  const second = useMemo(() => beside && besideImage(beside, image), [beside, image]);
  const difference = useMemo(() => second && differenceOf(image, second), [image, second]);
  const usual = useMemo(() => usualGreys(image), [image]);
  const usualDifference = useMemo(() => difference && differenceGreys(difference), [difference]);
  const greys = sheet.look.greys ?? usual;
  const line = sheet.look.line ?? usualLine(image);
  const [dragging, setDragging] = useState<'greys' | 'line'>('greys');
  const [pointer, setPointer] = useState<{ x: number; y: number }>();
  const [spot, setSpot] = useState<{ x: number; y: number }>({ x: 0, y: 0 });
  const figures = useFigures(image, second, beside);

  const width = image.width * image.pixelSize;
  const drag = useDrag({ greys, line, dragging, width, pixelSize: image.pixelSize, onLook });
  const film = { window: [greys.low, greys.high] as const, onDrag: drag, onPoint: (point?: FilmPoint) => setPointer(point && { x: point.x, y: point.y }) };
  const overlay = (
    <>
      <line x1={line.from[0]} y1={line.from[1]} x2={line.to[0]} y2={line.to[1]} />
      <Dot x={line.from[0]} y={line.from[1]} /><Dot x={line.to[0]} y={line.to[1]} />
    </>
  );
  return (
    <>
      <div class="scan-films">
        <Film title={`Your slice: ${summary(slice)}`} image={image} {...film}>{overlay}</Film>
        {second && beside && <Film title={`Beside it: ${besideName(beside)}`} image={second} {...film}>{overlay}</Film>}
        {difference && usualDifference && (
          <Film title="Yours less what lies beside it; mid-grey: no difference" image={difference} window={[usualDifference.low, usualDifference.high]} onPoint={film.onPoint}>{overlay}</Film>
        )}
        {!second && (
          <div class="scan-beside">
            <h3>Lay something beside it</h3>
            <p>An earlier slice with other settings: keep this one, change an answer above, make it again. Or a picture from elsewhere that it should match.</p>
            <p class="scan-buttons"><button type="button" onClick={onAside}>Keep this slice beside the next</button></p>
            <DropPlace label="Lay a picture here" hint="NPY, CSV, TSV, PNG or TIFF, grey." onFiles={onPicture} />
            <Complaint>{sheet.complaints.beside}</Complaint>
          </div>
        )}
      </div>
      <Reading at={pointer ?? spot} image={image} second={second} typed={spot} onSpot={setSpot} />
      {second && (
        <div class="scan-row scan-buttons">
          <button type="button" onClick={onAside}>Keep this slice beside the next</button>
          <button type="button" onClick={onClear}>Take away what lies beside</button>
        </div>
      )}
      {beside?.kind === 'picture' && <BesidePicture beside={beside} slice={image} laid={figures?.laid} onMove={onMove} />}
      {second && <Complaint>{sheet.complaints.beside}</Complaint>}
      <div class="scan-answers scan-wide">
        <fieldset class="scan-group">
          <legend>The greys</legend>
          <NumberField label="Level: the value in the middle grey" value={levelOf(greys)} step={windowOf(greys) / 50} unit="1/mm" onValue={(level) => onLook({ greys: greysOf(level, windowOf(greys)) })} />
          <NumberField label="Window: from black to white" value={windowOf(greys)} step={windowOf(greys) / 20} unit="1/mm" fault={windowOf(greys) > 0 ? undefined : 'From black to white must be more than 0.'} onValue={(window) => onLook({ greys: greysOf(levelOf(greys), window) })} />
          <p class="scan-row"><button type="button" onClick={() => onLook({ greys: undefined })} disabled={!sheet.look.greys}>Fit to all but 1 % of the pixels</button></p>
        </fieldset>
        <fieldset class="scan-group">
          <legend>The line</legend>
          <div class="scan-pairs">
            <EndFields name="starts" point={line.from} step={image.pixelSize} onPoint={(from) => onLook({ line: { ...line, from } })} />
            <EndFields name="ends" point={line.to} step={image.pixelSize} onPoint={(to) => onLook({ line: { ...line, to } })} />
          </div>
        </fieldset>
        <Choice label="Dragging on the film" value={dragging} onValue={setDragging}
          options={[{ value: 'greys', label: 'sideways widens the window, upwards raises the level' }, { value: 'line', label: 'draws a new line' }]}>
          <p class="scan-why">Either way, a dot at an end of the line can be dragged.</p>
        </Choice>
      </div>
      <ProfileChart image={image} second={second} line={line} name={beside ? besideName(beside) : ''} />
      {second && <Figures figures={figures} />}
    </>
  );
}

function EndFields({ name, point: [x, y], step, onPoint }: { name: string; point: readonly [number, number]; step: number; onPoint: (point: readonly [number, number]) => void }) {
  return (
    <>
      <NumberField label={`It ${name} at x`} value={x} step={step} unit="mm" onValue={(value) => onPoint([value, y])} />
      <NumberField label={`It ${name} at y`} value={y} step={step} unit="mm" onValue={(value) => onPoint([x, value])} />
    </>
  );
}

interface ReadingProps {
  readonly at: { readonly x: number; readonly y: number };
  readonly image: Image;
  readonly second?: Image;
  readonly typed: { readonly x: number; readonly y: number };
  readonly onSpot: (spot: { x: number; y: number }) => void;
}

/** The value under the pointer, or where the reader asks for it by number. */
function Reading({ at, image, second, typed, onSpot }: ReadingProps) {
  const value = interpolated(image, at.x, at.y);
  const other = second && interpolated(second, at.x, at.y);
  const inside = Number.isFinite(value);
  return (
    <div class="scan-reading">
      <output class="scan-value">
        At x {figure(at.x)} mm, y {figure(at.y)} mm: {inside ? <strong>{figure(value)} /mm</strong> : 'outside the picture'}
        {inside && other !== undefined && Number.isFinite(other) && <>; beside it {figure(other)} /mm, difference {figure(value - other)} /mm</>}
      </output>
      <NumberField label="Read at x" value={typed.x} step={image.pixelSize} unit="mm" onValue={(x) => onSpot({ ...typed, x })} />
      <NumberField label="Read at y" value={typed.y} step={image.pixelSize} unit="mm" onValue={(y) => onSpot({ ...typed, y })} />
    </div>
  );
}

function ProfileChart({ image, second, line, name }: { image: Image; second?: Image; line: Line; name: string }) {
  const { series, ends } = useMemo(() => {
    const mine = profile(image, line.from, line.to);
    const other = second && profile(second, line.from, line.to);
    let least = Infinity, most = -Infinity;
    for (const value of mine.value) { if (value < least) least = value; if (value > most) most = value; }
    return {
      ends: `from ${figure(least)} to ${figure(most)} /mm over ${figure(mine.distance.at(-1) ?? 0)} mm`,
      series: [
        { name: 'your slice', x: mine.distance, y: mine.value },
        ...(other ? [{ name: `beside it: ${name}`, x: other.distance, y: other.value, look: 'second' as const }] : []),
      ],
    };
  }, [image, second, line, name]);
  return <Chart title="Along the line" description={`Your slice runs ${ends}.`} x={{ label: 'along the line', unit: 'mm' }} y={{ label: 'attenuation', unit: '1/mm' }} series={series} height={260} />;
}

function Figures({ figures }: { figures?: Compared }) {
  if (!figures) return <p class="scan-row" role="status">Comparing…</p>;
  const { rmse, psnr, range, ssim, correlation } = figures;
  return (
    <div class="scrolls">
      <table class="scan-figures">
        <caption>How far the slice is from what lies beside it, over all pixels</caption>
        <tbody>
          <tr><th scope="row">correlation</th><td>{figure(correlation, 6)}</td><td>1: the same but for scale and level</td></tr>
          <tr><th scope="row">rms difference</th><td>{figure(rmse)} /mm</td><td>root of the mean squared difference</td></tr>
          <tr><th scope="row">PSNR</th><td>{Number.isFinite(psnr) ? `${figure(psnr)} dB` : psnr > 0 ? '∞' : '–'}</td><td>the range of what lies beside, {figure(range)} /mm, over the rms difference</td></tr>
          <tr><th scope="row">SSIM</th><td>{Number.isFinite(ssim) ? figure(ssim) : '–'}</td><td>1: the same; Gaussian window of 11 × 11 pixels, the same range</td></tr>
        </tbody>
      </table>
    </div>
  );
}

/** A press near an end of the line moves that end; elsewhere it changes the greys or draws a new line. */
function useDrag({ greys, line, dragging, width, pixelSize, onLook }: { greys: Greys; line: Line; dragging: 'greys' | 'line'; width: number; pixelSize: number; onLook: Props['onLook'] }) {
  const held = useRef<{ what: 'greys' | 'from' | 'to'; x: number; y: number; greys: Greys; line: Line }>();
  return (point: FilmPoint, phase: 'start' | 'move' | 'end') => {
    const at = rounded([point.x, point.y], pixelSize);
    if (phase === 'start') {
      const end = endAt(line, at, HOLD * width);
      const fresh = !end && dragging === 'line';
      held.current = { what: end ?? (fresh ? 'to' : 'greys'), x: point.x, y: point.y, greys, line: fresh ? { from: at, to: at } : line };
      return;
    }
    const hold = held.current;
    if (!hold) return;
    if (hold.what === 'greys') onLook({ greys: draggedGreys(hold.greys, (point.x - hold.x) / width, (point.y - hold.y) / width) });
    else if (point.x !== hold.x || point.y !== hold.y) onLook({ line: { ...hold.line, [hold.what]: at } });
    if (phase === 'end') held.current = undefined;
  };
}

/** Reckoned in the worker; nothing while it is under way. */
function useFigures(image: Image, second?: Image, beside?: Beside): Compared | undefined {
  const [found, setFound] = useState<{ image: Image; second: Image; figures: Compared }>();
  useEffect(() => {
    if (!second) return;
    let current = true;
    const picture = beside?.kind === 'picture' ? { table: beside.table, placement: beside.placement } : undefined;
    compare(image, second, picture).then((figures) => { if (current) setFound({ image, second, figures }); }, () => {});
    return () => { current = false; };
  }, [image, second]);
  return found && found.image === image && found.second === second ? found.figures : undefined;
}

function besideImage(beside: Beside, image: Image): Image {
  return resampled(beside.kind === 'slice' ? beside.slice.image : placed(beside.table, beside.placement, image.centre), image);
}

function besideName(beside: Beside): string {
  return beside.kind === 'slice' ? `an earlier slice, ${summary(beside.slice)}` : beside.name;
}
