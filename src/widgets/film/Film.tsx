import type { ComponentChildren } from 'preact';
import { useLayoutEffect, useRef } from 'preact/hooks';
import { develop, fullWindow, gradient, type ColourMap, type Picture } from './grey.ts';
import { barLength, short } from './numbers.ts';
import './film.css';

/** What lies under a point of the film. */
export interface FilmPoint {
  readonly x: number;
  readonly y: number;
  readonly column: number;
  readonly row: number;
  readonly value: number;
}

export interface FilmProps {
  /** width, height and data; with pixelSize (mm) the coordinates are mm about the axis, +y up. */
  readonly image: Picture & { readonly pixelSize?: number; readonly centre?: readonly [number, number] };
  /** What the picture is, for its heading and for who cannot see it. */
  readonly title: string;
  /** Values shown black and white. Left out: the least and the greatest. */
  readonly window?: readonly [low: number, high: number];
  readonly map?: ColourMap;
  /** Square pixels (the default), or smoothed as a photograph would be. */
  readonly scaling?: 'pixelated' | 'smooth';
  /** Unit of the values; 1/mm. '' for none. */
  readonly unit?: string;
  /** Outer edges in the overlay's coordinates, where they are not mm: a sinogram's s and angle. top is the edge of row 0. */
  readonly extent?: { readonly left: number; readonly right: number; readonly top: number; readonly bottom: number };
  /** Names of the two directions, shown under and beside a picture that has an extent: ['s, mm', 'angle, °']. */
  readonly axes?: readonly [across: string, up: string];
  /** Width over height of the panel; that of the image when left out. */
  readonly aspect?: number;
  /** The bar with its length in mm: there when pixelSize is, unless false. */
  readonly scaleBar?: boolean;
  /** The strip of greys with its numbers; there unless false. */
  readonly greyKey?: boolean;
  /** SVG in the film's coordinates (mm, +y up). Lines keep their width in pixels; text belongs into `labels`. */
  readonly children?: ComponentChildren;
  readonly labels?: readonly { readonly x: number; readonly y: number; readonly text: string }[];
  /** Where the pointer is over the film; nothing when it has left. */
  readonly onPoint?: (point: FilmPoint | undefined) => void;
  /** A press and what follows while the button or finger is down. Give sliders for the same settings too. */
  readonly onDrag?: (point: FilmPoint, phase: 'start' | 'move' | 'end') => void;
}

/**
 * An image on film: near-black panel, neutral greys, window and level, grey key, scale bar, an overlay in mm, the point under the pointer.
 * At build time it is an <img>; in the browser a canvas of the image's own pixels that the browser scales to the screen's.
 */
export function Film(props: FilmProps) {
  const { image, title, map = 'grey', scaling = 'pixelated', unit = '1/mm', children, onPoint, onDrag } = props;
  const window = props.window ?? fullWindow(image.data);
  const extent = props.extent ?? extentOf(image);
  const across = extent.right - extent.left;
  const up = extent.top - extent.bottom;
  const canvas = useRef<HTMLCanvasElement>(null);
  const pixels = useRef<ImageData | undefined>(undefined);

  useLayoutEffect(() => {
    const context = canvas.current?.getContext('2d');
    if (!context) return;
    if (pixels.current?.width !== image.width || pixels.current.height !== image.height) pixels.current = context.createImageData(image.width, image.height);
    develop(image, window, map, pixels.current.data);
    context.putImageData(pixels.current, 0, 0);
  }, [image, image.data, window[0], window[1], map]);

  const pointAt = (event: PointerEvent): FilmPoint => {
    const box = (event.currentTarget as Element).getBoundingClientRect();
    const u = (event.clientX - box.left) / box.width;
    const v = (event.clientY - box.top) / box.height;
    const column = Math.min(image.width - 1, Math.max(0, Math.floor(u * image.width)));
    const row = Math.min(image.height - 1, Math.max(0, Math.floor(v * image.height)));
    return { x: extent.left + u * across, y: extent.top - v * up, column, row, value: image.data[row * image.width + column] };
  };
  const held = (event: PointerEvent) => (event.currentTarget as Element).hasPointerCapture(event.pointerId);
  const down = (event: PointerEvent) => {
    if (!onDrag || event.button !== 0) return;
    (event.currentTarget as Element).setPointerCapture(event.pointerId);
    onDrag(pointAt(event), 'start');
  };
  const move = (event: PointerEvent) => {
    onPoint?.(pointAt(event));
    if (onDrag && held(event)) onDrag(pointAt(event), 'move');
  };
  const end = (event: PointerEvent) => {
    if (onDrag && held(event)) onDrag(pointAt(event), 'end');
  };

  const bar = props.scaleBar !== false && image.pixelSize ? barLength(across) : undefined;
  const style = { aspectRatio: String(props.aspect ?? image.width / image.height) };
  const alt = `${title}. Black is ${short(window[0])}, white ${short(window[1])}${unit && ` ${unit}`}.`;
  return (
    <div class="film">
      <p class="film-title">{title}</p>
      <div class={`film-panel film-${scaling}${onDrag ? ' film-drag' : ''}`} style={style} onPointerDown={down} onPointerMove={move} onPointerUp={end} onPointerCancel={end} onPointerLeave={() => onPoint?.(undefined)}>
        {import.meta.env.SSR ? <img src={stillOf(image, window, map)} alt={alt} width={image.width} height={image.height} /> : <canvas ref={canvas} role="img" aria-label={alt} width={image.width} height={image.height} />}
        {children && (
          <svg class="film-overlay" viewBox={`${extent.left} ${up > 0 ? -extent.top : extent.top} ${across} ${Math.abs(up)}`} preserveAspectRatio="none" aria-hidden="true">
            <g transform={up > 0 ? 'scale(1 -1)' : undefined}>{children}</g>
          </svg>
        )}
        {props.labels?.map(({ x, y, text }) => (
          <span class="film-label" style={{ left: `${(100 * (x - extent.left)) / across}%`, top: `${(100 * (extent.top - y)) / up}%` }}>{text}</span>
        ))}
        {bar && <span class="film-bar" style={{ width: `${(100 * bar) / across}%` }}>{short(bar)} mm</span>}
      </div>
      {props.axes && <p class="film-axes"><span>→ {props.axes[0]}: {short(extent.left)} to {short(extent.right)}</span> <span>{up > 0 ? '↑' : '↓'} {props.axes[1]}: {short(Math.min(extent.top, extent.bottom))} to {short(Math.max(extent.top, extent.bottom))}</span></p>}
      {props.greyKey !== false && (
        <p class="film-key">
          <span>{short(window[0])}</span>
          <span class="film-strip" style={{ background: gradient(map) }} />
          <span>{short(window[1])}{unit && ` ${unit}`}</span>
        </p>
      )}
    </div>
  );
}

/** A round mark of fixed size at a point, whatever the scales of the two directions. */
export function Dot({ x, y, class: name = 'film-dot' }: { x: number; y: number; class?: string }) {
  return <path class={name} d={`M${x} ${y}h0`} />;
}

function extentOf(image: FilmProps['image']): NonNullable<FilmProps['extent']> {
  const [x, y] = image.centre ?? [0, 0];
  const size = image.pixelSize ?? 1;
  return { left: x - (image.width * size) / 2, right: x + (image.width * size) / 2, top: y + (image.height * size) / 2, bottom: y - (image.height * size) / 2 };
}

// The encoder is wanted at build time alone.
const stillOf = import.meta.env.SSR ? (await import('./still.ts')).still : () => '';
