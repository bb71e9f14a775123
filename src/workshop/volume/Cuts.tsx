/** The four cuts and what moves them: cross-hair, free plane, slab, magnification, greys. */
import { useId, useMemo, useRef, useState } from 'preact/hooks';
import { valueInVolume, type Point3, type Volume } from '../../lib/index.ts';
import { Choice } from '../scan/fields.tsx';
import type { Greys } from '../scan/model.ts';
import { figure } from '../scan/words.ts';
import { Cut } from './Cut.tsx';
import type { Darkroom } from './darkroom.ts';
import { GreysPart } from './GreysPart.tsx';
import * as model from './model.ts';
import { cutNames, type SavedView } from './model.ts';
import { endsOf, mostOffset, offsetOf, onFreePlane, reach } from './planes.ts';
import { Slide } from './Slide.tsx';
import type { Survey } from './worker.ts';

interface Props {
  readonly volume: Volume;
  readonly darkroom: Darkroom;
  readonly view: SavedView;
  readonly greys: Greys;
  readonly survey?: Survey;
  readonly turn: (change: (view: SavedView) => SavedView) => void;
}

export function Cuts({ volume, darkroom, view, greys, survey, turn }: Props) {
  const keysId = useId();
  const tellPointer = useRef<(at: Pointer | undefined) => void>(() => {});
  const set = (changes: Partial<SavedView>) => turn((now) => model.change(now, changes));
  const { cross, free, slab } = view;
  const move = (axis: 0 | 1 | 2, to: number) => turn((now) => model.moveCross(now, volume, now.cross.map((at, i) => (i === axis ? to : at)) as unknown as Point3));
  // Its graph need not be drawn anew when the cross-hair moves.
  const greysPart = useMemo(() => <GreysPart view={view} greys={greys} survey={survey} onView={set} />, [view.greys, view.map, greys, survey]);
  const thickest = 2 * Math.max(...reach(volume));
  const farthest = Math.max(volume.voxelSize, mostOffset(volume, free));
  return (
    <div class="volume-look">
      <div class="volume-pictures">
        <div class="volume-cuts">
          {cutNames.map((name) => (
            <Cut key={name} name={name} volume={volume} darkroom={darkroom} view={view} greys={greys} keysId={keysId} turn={turn}
              onPoint={(point, value) => tellPointer.current(point && { point, value })} />
          ))}
        </div>
        <Reading volume={volume} cross={cross} tellPointer={tellPointer} />
        <p id={keysId} class="scan-why">
          On a cut: <kbd>←</kbd> <kbd>→</kbd> <kbd>↑</kbd> <kbd>↓</kbd> move the cross-hair by a voxel, with <kbd>Shift</kbd> by ten; <kbd>Page Up</kbd> <kbd>Page Down</kbd> go through the cuts; <kbd>Enter</kbd> marks
          the point for a measurement. The right mouse button always changes the greys.
        </p>
        <div class="scan-wide volume-below">
          {greysPart}
          <Choice label="Pressing on a cut" value={view.press} onValue={(press) => set({ press })} options={[
            { value: 'cross', label: 'moves the cross-hair' },
            { value: 'greys', label: 'changes the greys: sideways widens the window, upwards raises the level' },
            { value: 'mark', label: 'marks a point of a measurement' },
          ]} />
        </div>
      </div>
      <div class="volume-controls">
        <fieldset class="scan-group">
          <legend>The cross-hair</legend>
          {(['x', 'y', 'z'] as const).map((name, i) => {
            const axis = i as 0 | 1 | 2;
            const [from, to] = endsOf(volume, axis);
            return <Slide key={name} label={`Cross-hair at ${name}`} value={cross[axis]} from={from} to={to} step={volume.voxelSize} unit="mm" onValue={(at) => move(axis, at)} />;
          })}
        </fieldset>
        <fieldset class="scan-group">
          <legend>The free plane</legend>
          <Slide label="Turn about z" value={free.turn} from={-180} to={180} step={1} unit="°" onValue={(to) => set({ free: { ...free, turn: to } })} />
          <Slide label="Tilt" value={free.tilt} from={-90} to={90} step={1} unit="°" why="90° is seen from above; the plane turns about the cross-hair" onValue={(tilt) => set({ free: { ...free, tilt } })} />
          <Slide label="From the middle" value={offsetOf(volume, view)} from={-farthest} to={farthest} step={volume.voxelSize / 2} unit="mm"
            onValue={(offset) => turn((now) => model.moveCross(now, volume, onFreePlane(volume, now.free, offset, now.cross)))} />
        </fieldset>
        <fieldset class="scan-group">
          <legend>What the cuts show</legend>
          <Slide label="Magnified" value={view.zoom} from={1} to={model.mostZoom} step={0.5} unit="times" onValue={(zoom) => turn((now) => model.magnify(now, volume, zoom))} />
          <Slide label="Thickness" value={slab.thickness} from={0} to={thickest} step={volume.voxelSize} unit="mm" why={slab.thickness > 0 ? undefined : '0: one plane'} onValue={(thickness) => set({ slab: { ...slab, thickness } })} />
          <Choice label="Of that thickness" value={slab.shows} onValue={(shows) => set({ slab: { ...slab, shows } })} options={[{ value: 'mean', label: 'the mean' }, { value: 'maximum', label: 'the greatest value' }]} />
        </fieldset>
      </div>
    </div>
  );
}

interface Pointer { readonly point: Point3; readonly value: number }

/** What the cross-hair points at, and what lies under the pointer; apart, so that a moving pointer draws nothing else anew. */
function Reading({ volume, cross, tellPointer }: { volume: Volume; cross: Point3; tellPointer: { current: (at: Pointer | undefined) => void } }) {
  const [pointer, setPointer] = useState<Pointer>();
  tellPointer.current = setPointer;
  const value = valueInVolume(volume, cross);
  return (
    <div class="volume-reading">
      <output class="scan-value">Cross-hair at {placeInWords(cross, volume.voxelSize)}: <strong>{Number.isNaN(value) ? 'no number' : `${figure(value)} /mm`}</strong></output>
      <p class="scan-why" aria-hidden="true">{pointer ? <>Under the pointer, {placeInWords(pointer.point, volume.voxelSize)}: {Number.isNaN(pointer.value) ? 'outside' : `${figure(pointer.value)} /mm`}</> : 'Values in 1/mm; places in mm from the axis.'}</p>
    </div>
  );
}

/** A tenth of a voxel is as fine as a place is written. */
function placeInWords(point: Point3, voxelSize: number): string {
  const digits = Math.max(0, Math.ceil(1 - Math.log10(voxelSize)));
  return ['x', 'y', 'z'].map((name, i) => `${name} ${point[i].toFixed(digits).replace('-', '−')}`).join(', ') + ' mm';
}
