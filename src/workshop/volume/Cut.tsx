/** One of the four cuts: its picture, the cross-hair, marks, and what mouse, finger and keys do on it. */
import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import { cut as cutThrough, normalOf, type Grid, type Image, type Plane, type Point3, type Volume } from '../../lib/index.ts';
import { Dot, Film, type FilmPoint } from '../../widgets/film/Film.tsx';
import { draggedGreys } from '../scan/greys.ts';
import type { Greys } from '../scan/model.ts';
import { figure } from '../scan/words.ts';
import type { Darkroom } from './darkroom.ts';
import { roundedGreys } from './greys.ts';
import { drawn } from './measures.ts';
import * as model from './model.ts';
import type { CutName, SavedView } from './model.ts';
import { lineOn, offsetOf, onPlane, planeOf, pressed, shownGrid, walked, wholeGrid } from './planes.ts';

export const cutTitles: Readonly<Record<CutName, string>> = { z: 'Across z', y: 'Across y', x: 'Across x', free: 'Free plane' };
const seenFrom: Readonly<Record<CutName, string>> = { z: 'seen from above', y: 'seen from −y', x: 'seen from +x', free: '' };
const edges: Readonly<Record<CutName, readonly [right: string, up: string] | undefined>> = { z: ['x', 'y'], y: ['x', 'z'], x: ['y', 'z'], free: undefined };

/** Points of the volume looked at for a cut that is still made on the page itself, within a few ms; larger ones go to the worker. */
const quick = 120_000;

interface Props {
  readonly name: CutName;
  readonly volume: Volume;
  readonly darkroom: Darkroom;
  readonly view: SavedView;
  readonly greys: Greys;
  readonly keysId: string;
  readonly turn: (change: (view: SavedView) => SavedView) => void;
  readonly onPoint: (point: Point3 | undefined, value: number) => void;
}

export function Cut({ name, volume, darkroom, view, greys, keysId, turn, onPoint }: Props) {
  const { cross, free, zoom, middle } = view;
  const across = name === 'free' ? offsetOf(volume, view) : cross[{ x: 0, y: 1, z: 2 }[name]];
  const plane = useMemo(() => planeOf(volume, view, name), [volume, name, name === 'free' ? cross.join() : across, name === 'free' && `${free.turn} ${free.tilt}`]);
  const whole = useMemo(() => wholeGrid(volume, plane, name), [volume, plane, name]);
  const grid = useSame(shownGrid(whole, plane, { zoom, middle, cross }));
  const image = useImage(volume, darkroom, plane, grid, view.slab);
  const drag = useDrag({ name, volume, view, greys, plane, turn });

  const large = view.large === name;
  const title = `${cutTitles[name]}${name === 'free' ? `, ${figure(across, 3)} mm from the middle` : ` at ${figure(across, 3)} mm, ${seenFrom[name]}`}`;
  const names = edges[name];
  const extent = image && edgesOf(image);
  return (
    <div class={`volume-cut${large ? ' volume-large' : view.large ? ' volume-small' : ''}`}>
      <div class="volume-hold" tabIndex={0} role="application" aria-label={`${cutTitles[name]}: arrow keys move the cross-hair`} aria-describedby={keysId}
        onFocus={() => { if (view.cut !== name) turn((now) => model.change(now, { cut: name })); }}
        onKeyDown={(event) => { if (walk(event, name, volume, plane, turn)) event.preventDefault(); }} {...drag.surround}>
        {image && extent ? (
          <Film title={title} image={image} window={[greys.low, greys.high]} map={view.map} onDrag={drag.onDrag}
            onPoint={(point) => onPoint(point && spaceAt(plane, point), point?.value ?? NaN)}
            labels={names && [{ x: extent.right - 0.05 * (extent.right - extent.left), y: (extent.top + extent.bottom) / 2, text: `${names[0]} →` }, { x: (extent.left + extent.right) / 2, y: extent.top - 0.05 * (extent.top - extent.bottom), text: `${names[1]} ↑` }]}>
            {name !== 'free' && <Trace plane={plane} other={planeOf(volume, view, 'free')} at={onPlane(plane, cross)} extent={extent} />}
            <Marks view={view} volume={volume} plane={plane} />
            <CrossHair at={onPlane(plane, cross)} extent={extent} />
          </Film>
        ) : <div class="film volume-waits"><p class="film-title">{title}</p><p>Working it out…</p></div>}
      </div>
      <button type="button" class="volume-enlarge" aria-pressed={large} onClick={() => turn((now) => model.change(now, { large: large ? undefined : name, cut: name }))}>
        <span class="unseen">{cutTitles[name]}: </span>{large ? 'all alike' : 'enlarge'}
      </button>
    </div>
  );
}

const spaceAt = ({ origin, across, up }: Plane, { x, y }: { x: number; y: number }): Point3 => [0, 1, 2].map((i) => origin[i] + x * across[i] + y * up[i]) as unknown as Point3;

interface Extent { readonly left: number; readonly right: number; readonly top: number; readonly bottom: number }

function edgesOf({ width, height, pixelSize, centre: [u, v] = [0, 0] }: Grid): Extent {
  return { left: u - (width * pixelSize) / 2, right: u + (width * pixelSize) / 2, top: v + (height * pixelSize) / 2, bottom: v - (height * pixelSize) / 2 };
}

/** Two lines that leave free what they point at. */
function CrossHair({ at: [u, v], extent: { left, right, top, bottom } }: { at: readonly [number, number]; extent: Extent }) {
  const gap = 0.03 * Math.max(right - left, top - bottom);
  return <path class="volume-cross" d={`M${left} ${v}H${u - gap}M${u + gap} ${v}H${right}M${u} ${bottom}V${v - gap}M${u} ${v + gap}V${top}`} />;
}

/** Where the free plane goes through this cut. */
function Trace({ plane, other, at: [u, v], extent }: { plane: Plane; other: Plane; at: readonly [number, number]; extent: Extent }) {
  const line = lineOn(plane, other);
  if (!line) return null;
  const far = 2 * Math.hypot(extent.right - extent.left, extent.top - extent.bottom);
  return <path class="film-second volume-trace" d={`M${u - far * line[0]} ${v - far * line[1]}L${u + far * line[0]} ${v + far * line[1]}`} />;
}

/** Measurements that lie in this cut, and the points marked so far. */
function Marks({ view, volume, plane }: { view: SavedView; volume: Volume; plane: Plane }) {
  const near = 0.75 * volume.voxelSize + view.slab.thickness / 2;
  const normal = normalOf(plane);
  const inCut = (point: Point3) => Math.abs([0, 1, 2].reduce((sum, i) => sum + (point[i] - plane.origin[i]) * normal[i], 0)) <= near;
  return (
    <>
      {view.measures.map((measure) => {
        const { dots, lines } = drawn(measure);
        return (
          <g key={measure.id}>
            {lines.filter((line) => line.every(inCut)).map((line) => <path class="film-second volume-line" d={`M${line.map((point) => onPlane(plane, point).join(' ')).join('L')}`} />)}
            {dots.filter(inCut).map((point) => { const [x, y] = onPlane(plane, point); return <Dot x={x} y={y} class="film-second volume-dot" />; })}
          </g>
        );
      })}
      {view.marks.filter(inCut).map((point) => { const [x, y] = onPlane(plane, point); return <Dot x={x} y={y} class="film-second volume-dot volume-fresh" />; })}
    </>
  );
}

/** Arrow keys through voxels (ten with Shift), Page Up and Page Down through cuts, Enter marks. True where a key was meant for us. */
function walk(event: KeyboardEvent, name: CutName, volume: Volume, plane: Plane, turn: Props['turn']): boolean {
  if (event.ctrlKey || event.metaKey || event.altKey) return false;
  if (event.key === 'Enter') {
    turn((now) => model.mark(now, now.cross, normalOf(plane)));
    return true;
  }
  const ways: Record<string, readonly [number, number, number]> = { ArrowLeft: [-1, 0, 0], ArrowRight: [1, 0, 0], ArrowDown: [0, -1, 0], ArrowUp: [0, 1, 0], PageDown: [0, 0, -1], PageUp: [0, 0, 1] };
  const way = ways[event.key];
  if (!way) return false;
  const [right, up, through] = way.map((one) => one * (event.shiftKey ? 10 : 1));
  turn((now) => model.moveCross(now, volume, walked(volume, now, name, right, up, through)));
  return true;
}

/** Left button or finger: as the reader chose. Right button: always the greys. A touch that the browser takes for scrolling changes nothing. */
function useDrag({ name, volume, view, greys, plane, turn }: Pick<Props, 'name' | 'volume' | 'view' | 'greys' | 'turn'> & { plane: Plane }) {
  const hold = useRef<{ x: number; y: number; greys: Greys; width: number; view: SavedView }>();
  const right = useRef<{ x: number; y: number; greys: Greys; width: number }>();
  const cancelled = useRef(false);
  const onDrag = (point: FilmPoint, phase: 'start' | 'move' | 'end') => {
    if (phase === 'start') {
      const grid = shownGrid(wholeGrid(volume, plane, name), plane, view);
      hold.current = { x: point.x, y: point.y, greys, width: grid.width * grid.pixelSize, view };
      cancelled.current = false;
    }
    const held = hold.current;
    if (!held) return;
    if (phase === 'end') hold.current = undefined;
    if (cancelled.current) {
      turn((now) => ({ ...now, cross: held.view.cross, middle: held.view.middle, greys: held.view.greys }));
      return;
    }
    if (view.press === 'greys') {
      if (phase !== 'start') turn((now) => model.change(now, { cut: name, greys: roundedGreys(draggedGreys(held.greys, (point.x - held.x) / held.width, (point.y - held.y) / held.width)) }));
      return;
    }
    const exact = view.press === 'mark';
    turn((now) => {
      const to = pressed(volume, now, name, point.x, point.y, exact);
      const there = { ...model.moveCross(now, volume, to), cut: name };
      return exact && phase === 'end' ? model.mark(there, to, normalOf(plane)) : there;
    });
  };
  const surround = {
    onPointerCancelCapture: () => { cancelled.current = true; },
    onContextMenu: (event: Event) => event.preventDefault(),
    onPointerDown: (event: PointerEvent) => {
      if (event.button !== 2) return;
      const element = event.currentTarget as Element;
      element.setPointerCapture(event.pointerId);
      right.current = { x: event.clientX, y: event.clientY, greys, width: element.getBoundingClientRect().width };
    },
    onPointerMove: (event: PointerEvent) => {
      const from = right.current;
      if (from) turn((now) => model.change(now, { greys: roundedGreys(draggedGreys(from.greys, (event.clientX - from.x) / from.width, (from.y - event.clientY) / from.width)) }));
    },
    onPointerUp: () => { right.current = undefined; },
    onPointerCancel: () => { right.current = undefined; },
  };
  return { onDrag, surround };
}

/** The grid itself as long as its numbers are the same. */
function useSame(grid: Grid): Grid {
  return useMemo(() => grid, [grid.width, grid.height, grid.pixelSize, grid.centre?.[0], grid.centre?.[1]]);
}

/** The picture of a cut: at once where that takes a few ms, otherwise from the worker, the newest wish first; until then the one before. */
function useImage(volume: Volume, darkroom: Darkroom, plane: Plane, grid: Grid, { thickness, shows }: SavedView['slab']): Image | undefined {
  const layers = Math.max(1, Math.ceil(thickness / volume.voxelSize));
  const atOnce = grid.width * grid.height * layers <= quick;
  const options = { grid, thickness, slab: shows };
  const direct = useMemo(() => (atOnce ? cutThrough(volume, plane, options) : undefined), [volume.data, plane, grid, thickness, shows, atOnce]);
  const [late, setLate] = useState<Image>();
  const waiting = useRef<{ busy: boolean; next?: () => void }>({ busy: false });
  useEffect(() => {
    if (atOnce) return;
    const start = () => {
      waiting.current = { busy: true };
      darkroom.ask({ kind: 'cut', plane, options }).then(setLate, () => {}).finally(() => {
        const { next } = waiting.current;
        waiting.current = { busy: false };
        next?.();
      });
    };
    if (waiting.current.busy) waiting.current.next = start;
    else start();
  }, [volume.data, plane, grid, thickness, shows, atOnce]);
  useEffect(() => setLate(undefined), [volume.data]);
  return direct ?? late;
}
