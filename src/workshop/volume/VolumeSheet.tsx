/** A volume to look at, measure and take away: four linked cuts, a solid picture, a list of measurements. */
import { useCallback, useEffect, useMemo, useRef, useState } from 'preact/hooks';
import type { Volume } from '../../lib/index.ts';
import { Later } from '../Later.tsx';
import { Complaint } from '../scan/fields.tsx';
import { counted, figure, weighed } from '../scan/words.ts';
import { Cuts } from './Cuts.tsx';
import { openDarkroom } from './darkroom.ts';
import { fittedGreys } from './greys.ts';
import { MeasuresPart } from './MeasuresPart.tsx';
import { redo, restoredView, undo, type SavedView } from './model.ts';
import { sentenceOf } from '../sentence.ts';
import { SolidPart } from './SolidPart.tsx';
import { TakeAway } from './TakeAway.tsx';
import type { Survey } from './worker.ts';
import '../scan/scan.css';
import './volume.css';

export type { SavedView } from './model.ts';

export interface VolumeSheetProps {
  readonly volume: Volume;
  readonly title: string;
  /** Energy that the attenuations belong to, where it is known. */
  readonly keV?: number;
  /** A view that was kept, to begin with; one that does not fit the volume is made to. */
  readonly view?: SavedView;
  /** Hears of every change. */
  readonly onView?: (view: SavedView) => void;
}

/** A volume of another shape gets a sheet of its own, which begins with what of the last view still fits. */
export function VolumeSheet(props: VolumeSheetProps) {
  const { width, height, depth, voxelSize, centre = [0, 0, 0] } = props.volume;
  const last = useRef(props.view);
  const hear = (view: SavedView) => {
    last.current = view;
    props.onView?.(view);
  };
  return <Sheet key={[width, height, depth, voxelSize, ...centre].join()} {...props} start={last.current} onView={hear} />;
}

function Sheet({ volume, title, keV, view: given, start, onView }: VolumeSheetProps & { readonly start?: SavedView; readonly onView: (view: SavedView) => void }) {
  const [view, setView] = useState(() => restoredView(start, volume, keV));
  const [survey, setSurvey] = useState<Survey>();
  const [trouble, setTrouble] = useState<string>();
  const told = useRef({ last: view, all: new WeakSet<SavedView>([view]) }).current;
  const turn = useCallback((change: (view: SavedView) => SavedView) => setView(change), []);
  useEffect(() => {
    if (view === told.last) return;
    told.last = view;
    told.all.add(view);
    onView(view);
  }, [view]);
  useEffect(() => {
    // A view that did not come from here. One that did may be older than the one on the sheet, and must not undo what came since.
    if (given && !told.all.has(given) && JSON.stringify(given) !== JSON.stringify(view)) setView(restoredView(given, volume, keV));
  }, [given]);

  const darkroom = useMemo(() => openDarkroom(volume), [volume.data]);
  useEffect(() => () => darkroom.close(), [darkroom]);
  useEffect(() => {
    let current = true;
    setSurvey(undefined);
    setTrouble(undefined);
    darkroom.ask({ kind: 'survey', bins: 256 }).then(
      (found) => { if (current) setSurvey(found); },
      (error) => { if (current && error?.name !== 'AbortError') setTrouble(sentenceOf(error)); },
    );
    return () => { current = false; };
  }, [darkroom]);
  const fitted = useMemo(() => fittedGreys(volume), [volume.data]);
  const greys = view.greys ?? fitted;

  const undoKeys = (event: KeyboardEvent) => {
    if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== 'z' || event.target instanceof HTMLInputElement && event.target.type === 'text') return;
    event.preventDefault();
    turn(event.shiftKey ? redo : undo);
  };
  const { width, height, depth, voxelSize } = volume;
  // The cuts do not look at the solid's settings, nor the solid at the cuts'.
  const { solid, ...flat } = view;
  const cuts = useMemo(() => <Cuts volume={volume} darkroom={darkroom} view={view} greys={greys} survey={survey} turn={turn} />, [volume, darkroom, greys, survey, ...Object.values(flat)]);
  const solidPart = useMemo(() => <SolidPart volume={volume} title={title} darkroom={darkroom} view={view} greys={greys} survey={survey} turn={turn} />, [volume, title, darkroom, greys, view.map, survey, solid]);
  return (
    <div class="volume-sheet" onKeyDown={undoKeys} data-ready={survey ? true : undefined}>
      <p class="scan-hint">
        {title}: {width} × {height} × {depth} voxels of {figure(voxelSize)} mm, {weighed(volume.data.byteLength)}, and as much again while the page works on it.
        {survey && survey.missing > 0 && ` ${counted(survey.missing, 'voxel holds', 'voxels hold')} no number.`}
      </p>
      <Complaint>{trouble}</Complaint>
      <Part title="Four cuts">{cuts}</Part>
      <Part title="Measure"><MeasuresPart volume={volume} title={title} view={view} knownKeV={keV} turn={turn} /></Part>
      <Part title="The solid">{solidPart}</Part>
      <Part title="Take the volume away"><TakeAway volume={volume} title={title} darkroom={darkroom} view={view} greys={greys} survey={survey} /></Part>
    </div>
  );
}

function Part({ title, children }: { title: string; children: preact.ComponentChildren }) {
  return <section class="volume-part"><h3>{title}</h3><Later>{children}</Later></section>;
}
