/** The solid picture, behind a door: nothing of it is loaded or computed before the reader opens it. */
import { useEffect, useMemo, useState } from 'preact/hooks';
import type { CastPicture, Volume } from '../../lib/index.ts';
import { Film } from '../../widgets/film/Film.tsx';
import { Choice, Complaint, NumberField } from '../scan/fields.tsx';
import type { Greys } from '../scan/model.ts';
import { counted, figure } from '../scan/words.ts';
import type { Darkroom } from './darkroom.ts';
import { cameraOf, clipMoved, clipPlanes, lookOf, transferOf, transmission, wholeClip, type Look } from './look.ts';
import * as model from './model.ts';
import type { SavedView, SolidKind, SolidView } from './model.ts';
import { fileName, pngOfCut, save } from './pictures.ts';
import { isStopped, sentenceOf } from '../sentence.ts';
import { Slide } from './Slide.tsx';
import { Turntable } from './Turntable.tsx';
import type { Surface, SurfaceWish, Survey } from './worker.ts';

interface Props {
  readonly volume: Volume;
  readonly title: string;
  readonly darkroom: Darkroom;
  readonly view: SavedView;
  readonly greys: Greys;
  readonly survey?: Survey;
  readonly turn: (change: (view: SavedView) => SavedView) => void;
}

export function SolidPart(props: Props) {
  const [open, setOpen] = useState(false);
  return (
    <details class="volume-door" onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>{open ? 'The solid picture' : 'Open the solid picture'}</summary>
      {open && (props.survey ? <Solid {...props} survey={props.survey} /> : <p class="scan-hint" role="status">Looking through the volume…</p>)}
    </details>
  );
}

const kinds: readonly { readonly value: SolidKind; readonly label: string }[] = [
  { value: 'solid', label: 'everything denser than a threshold, shaded' },
  { value: 'surface', label: 'its surface, as triangles' },
  { value: 'maximum', label: 'the greatest value along each line of sight' },
  { value: 'sum', label: 'its shadow: the light that would get through' },
];
const titles: Readonly<Record<SolidKind, string>> = {
  solid: 'What is denser than the threshold', surface: 'The surface', maximum: 'Greatest value along each line of sight', sum: 'Its shadow, in light of one energy',
};

function Solid({ volume, title, darkroom, view, greys, survey, turn }: Props & { readonly survey: Survey }) {
  const { solid } = view;
  const [flat, setFlat] = useState<string>(); // why there is no WebGL 2
  const set = (changes: Partial<SolidView>) => turn((now) => model.changeSolid(now, changes));
  const look = useMemo(() => lookOf(volume, survey, solid), [volume, survey, solid.threshold, solid.ramp, solid.opacity, solid.clip]);
  const { surface, fraction, trouble } = useSurface(darkroom, solid.shows === 'surface', { threshold: look.threshold, smooth: solid.smooth, least: solid.least });
  const heading = `${titles[solid.shows]}${solid.shows === 'solid' || solid.shows === 'surface' ? `, ${figure(look.threshold, 3)} /mm` : ''}`;
  return (
    <div class="volume-look">
      <div class="volume-pictures">
        {flat === undefined
          ? <Turntable volume={volume} title={title} heading={heading} darkroom={darkroom} solid={solid} look={look} greys={greys} map={view.map} surface={surface} onFacing={(facing) => set({ facing })} onZoom={(zoom) => set({ zoom })} onFailure={setFlat} />
          : <SmallPicture why={flat} volume={volume} title={title} heading={heading} darkroom={darkroom} view={view} look={look} greys={greys} />}
        {solid.shows === 'surface' && <SurfaceFacts surface={surface} fraction={fraction} trouble={trouble} />}
      </div>
      <div class="volume-controls">
        <Choice label="What to see" value={solid.shows} options={kinds} onValue={(shows) => set({ shows })} />
        <Material volume={volume} survey={survey} solid={solid} look={look} set={set} />
        <fieldset class="scan-group">
          <legend>From where</legend>
          <Slide label="Turn" value={solid.facing.turn} from={-180} to={180} step={1} unit="°" onValue={(to) => set({ facing: { ...solid.facing, turn: to } })} />
          <Slide label="Raise" value={solid.facing.tilt} from={-90} to={90} step={1} unit="°" onValue={(tilt) => set({ facing: { ...solid.facing, tilt } })} />
          <Slide label="Closer" value={solid.zoom} from={0.5} to={10} step={0.1} byFactors unit="times" onValue={(zoom) => set({ zoom })} />
          <Choice label="Lines of sight" value={solid.projection} onValue={(projection) => set({ projection })}
            options={[{ value: 'orthographic', label: 'parallel: lengths compare anywhere' }, { value: 'perspective', label: 'from an eye: what is near is larger' }]} />
        </fieldset>
        <ClipFields volume={volume} view={view} look={look} set={set} />
      </div>
    </div>
  );
}

function Material({ volume, survey, solid, look, set }: { volume: Volume; survey: Survey; solid: SolidView; look: Look; set: (changes: Partial<SolidView>) => void }) {
  if (solid.shows === 'maximum' || solid.shows === 'sum') return null;
  const range = survey.greatest - survey.least || 1;
  const step = Number((range / 200).toPrecision(1));
  return (
    <fieldset class="scan-group">
      <legend>Where the object begins</legend>
      <Slide label="Threshold" value={look.threshold} from={survey.least} to={survey.greatest} step={step} unit="1/mm" onValue={(threshold) => set({ threshold })}
        why={solid.threshold === undefined ? 'Half-way between the commonest value inside and the commonest outside' : undefined} />
      {solid.threshold !== undefined && <p class="scan-row"><button type="button" onClick={() => set({ threshold: undefined })}>Back to {figure(survey.threshold, 3)} /mm, as suggested</button></p>}
      {solid.shows === 'solid' && <Slide label="Haze above it" value={look.ramp} from={range / 1000} to={range} step={step} byFactors unit="1/mm" why="how far above the threshold a place has its full opacity" onValue={(ramp) => set({ ramp })} />}
      {solid.shows === 'solid' && <Slide label="Opacity" value={look.opacity} from={0.001 / volume.voxelSize} to={10 / volume.voxelSize} step={look.opacity / 10} byFactors unit="1/mm" why={`${figure(1 / look.opacity, 2)} mm of it let a third of the light through`} onValue={(opacity) => set({ opacity })} />}
      {solid.shows === 'surface' && <Slide label="Smoothing" value={solid.smooth} from={0} to={20} step={1} unit="passes" why={solid.smooth === 0 ? 'none: the surface as it was measured' : 'a smoothed surface no longer lies where the measured threshold does'} onValue={(smooth) => set({ smooth: Math.round(smooth) })} />}
      {solid.shows === 'surface' && <NumberField label="Leave out pieces smaller than" value={solid.least} step={volume.voxelSize ** 3} unit="mm³" fault={solid.least >= 0 ? undefined : 'A volume is 0 or more.'} onValue={(least) => set({ least: Math.max(0, least) })} />}
    </fieldset>
  );
}

function ClipFields({ volume, view, look, set }: { volume: Volume; view: SavedView; look: Look; set: (changes: Partial<SolidView>) => void }) {
  const whole = wholeClip(volume);
  return (
    <fieldset class="scan-group volume-clip">
      <legend>Cut away</legend>
      {(['x', 'y', 'z'] as const).map((name, i) => {
        const axis = i as 0 | 1 | 2;
        const moved = (end: 0 | 1) => (to: number) => set({ clip: clipMoved(volume, view.solid.clip, axis, end, to) });
        return (
          <div class="volume-ends" key={name}>
            <Slide label={`below ${name}`} value={look.clip[axis][0]} from={whole[axis][0]} to={whole[axis][1]} within={[whole[axis][0], look.clip[axis][1]]} step={volume.voxelSize} unit="mm" onValue={moved(0)} />
            <Slide label={`above ${name}`} value={look.clip[axis][1]} from={whole[axis][0]} to={whole[axis][1]} within={[look.clip[axis][0], whole[axis][1]]} step={volume.voxelSize} unit="mm" onValue={moved(1)} />
          </div>
        );
      })}
      <p class="scan-buttons">
        <button type="button" disabled={!view.solid.clip} onClick={() => set({ clip: undefined })}>Cut nothing away</button>
        <button type="button" onClick={() => set({ clip: clipMoved(volume, view.solid.clip, 1, 0, view.cross[1]) })}>Cut in front of the cross-hair</button>
      </p>
    </fieldset>
  );
}

function SurfaceFacts({ surface, fraction, trouble }: { surface?: Surface; fraction?: number; trouble?: string }) {
  return (
    <div class="volume-facts">
      <p role="status">
        {fraction !== undefined && <><progress value={fraction} aria-label="How far the surface has come" /> Finding the surface…</>}
        {fraction === undefined && surface && (
          <>
            {counted(surface.triangles.length / 3, 'triangle').replace(/\d+/, (digits) => Number(digits).toLocaleString('en').replaceAll(',', ' '))}; it encloses {figure(surface.volume, 5)} mm³;{' '}
            {surface.tight ? 'watertight: closed everywhere, facing outwards.' : 'not watertight: some edges do not belong to exactly two triangles.'}{' '}
            {counted(surface.pieces, 'piece')}, hollows included{surface.leftOut > 0 && `; ${counted(surface.leftOut, 'smaller one')} left out`}.
          </>
        )}
      </p>
      <Complaint>{trouble}</Complaint>
    </div>
  );
}

/** The surface, found anew a moment after the last change of what it hangs on. */
function useSurface(darkroom: Darkroom, wanted: boolean, { threshold, smooth, least }: SurfaceWish): { surface?: Surface; fraction?: number; trouble?: string } {
  const [state, setState] = useState<{ surface?: Surface; fraction?: number; trouble?: string }>({});
  useEffect(() => {
    if (!wanted) return;
    const control = new AbortController();
    const timer = setTimeout(() => {
      setState((now) => ({ surface: now.surface, fraction: 0 }));
      darkroom.ask({ kind: 'surface', wish: { threshold, smooth, least } }, { signal: control.signal, progress: (fraction) => { if (!control.signal.aborted) setState((now) => ({ ...now, fraction })); } }).then(
        (surface) => setState({ surface }),
        (error) => { if (!isStopped(error)) setState({ trouble: sentenceOf(error) }); },
      );
    }, 200);
    return () => {
      clearTimeout(timer);
      control.abort();
    };
  }, [darkroom, wanted, threshold, smooth, least]);
  return state;
}

/** Where there is no WebGL 2: the library casts the rays, slowly, for a small picture. */
function SmallPicture({ why, volume, title, heading, darkroom, view, look, greys }: { why: string; volume: Volume; title: string; heading: string; darkroom: Darkroom; view: SavedView; look: Look; greys: Greys }) {
  const { solid } = view;
  const [picture, setPicture] = useState<CastPicture & { shows: SolidKind }>();
  const [fraction, setFraction] = useState<number>();
  const [trouble, setTrouble] = useState<string>();
  useEffect(() => {
    const control = new AbortController();
    const timer = setTimeout(() => {
      const order = { kind: 'cast', camera: cameraOf(volume, solid, 240, 180), transfer: transferOf(solid.shows, look, greys), options: { clip: clipPlanes(volume, look) } } as const;
      darkroom.ask(order, { signal: control.signal, progress: setFraction }).then(
        (cast) => {
          const data = solid.shows === 'sum' ? cast.data.map(transmission) : cast.data;
          setPicture({ ...cast, data, shows: solid.shows });
          setTrouble(undefined);
          setFraction(undefined);
        },
        (error) => { if (!isStopped(error)) { setTrouble(sentenceOf(error)); setFraction(undefined); } },
      );
    }, 200);
    return () => {
      clearTimeout(timer);
      control.abort();
    };
  }, [darkroom, volume, look, greys, solid.shows, solid.facing, solid.projection, solid.zoom]);
  const inValues = picture?.shows === 'maximum';
  return (
    <>
      <p class="scan-note">{why}, so the solid picture is a small one, worked out ray by ray. The cuts, the surface and its file are the same as anywhere.</p>
      {picture
        ? <Film title={heading} image={picture} window={inValues ? [greys.low, greys.high] : [0, 1]} map={picture.shows === 'sum' ? 'grey' : view.map} unit={inValues ? '1/mm' : ''} greyKey={picture.shows === 'maximum' || picture.shows === 'sum'} scaling="smooth" />
        : <div class="film volume-waits"><p class="film-title">{heading}</p></div>}
      <p class="scan-buttons"><button type="button" disabled={!picture} onClick={() => void pngOfCut(picture!, inValues ? greys : { low: 0, high: 1 }, picture!.shows === 'sum' ? 'grey' : view.map).then((png) => save(`${fileName(title)}-solid.png`, png), (error) => setTrouble(sentenceOf(error)))}>Save the picture, PNG</button></p>
      <p role="status">{fraction !== undefined && fraction < 1 && <><progress value={fraction} aria-label="How far the picture has come" /> Casting rays…</>}</p>
      <Complaint>{trouble}</Complaint>
    </>
  );
}
