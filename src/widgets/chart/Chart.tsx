import { useEffect, useLayoutEffect, useRef, useState } from 'preact/hooks';
import { waitFor } from '../frame/ready.ts';
import { draw, redraw, type Axis, type Drawing, type Drawn, type Rule, type Series } from './draw.ts';
import './chart.css';

export type { Axis, Rule, Series };

export interface ChartProps {
  readonly title: string;
  /** What one sees in it, for who cannot; the plate's own words say the rest. */
  readonly description?: string;
  readonly x: Axis;
  readonly y: Axis;
  readonly series: readonly Series[];
  readonly rules?: readonly Rule[];
  /** CSS pixels; 200. */
  readonly height?: number;
  /** Hears the x under the pointer while it is held down. Give a slider for the same setting too. */
  readonly onDrag?: (x: number) => void;
}

/** A graph on paper. At build time it is an SVG in the page; in the browser Plot is loaded with the first graph that is needed. */
export function Chart(props: ChartProps) {
  const { title, series, rules, height = 200, onDrag } = props;
  const place = useRef<HTMLDivElement>(null);
  const drawn = useRef<Drawn | undefined>(undefined);
  const measured = useRef(0);
  const [, again] = useState({});

  useLayoutEffect(() => {
    const watch = new ResizeObserver(([{ contentRect }]) => {
      const width = Math.round(contentRect.width);
      if (width === measured.current) return;
      measured.current = width;
      again({});
    });
    watch.observe(place.current!);
    return () => watch.disconnect();
  }, []);
  useEffect(() => {
    if (!library) void loadPlot().then(() => again({}));
  }, []);
  // Curves move at once; axes that change are drawn after the frame, so that they do not hold up the picture beside them.
  const late = useRef(false);
  const drawing = (): Drawing => ({ ...props, width: (measured.current ||= Math.round(place.current!.clientWidth) || buildWidth), height });
  const drawAnew = () => {
    drawn.current = draw(library!, drawing());
    place.current!.replaceChildren(drawn.current.element);
    late.current = false;
  };
  useLayoutEffect(() => {
    if (!library) return;
    if (!drawn.current) drawAnew();
    else late.current = !redraw(drawn.current, drawing());
  });
  useEffect(() => {
    if (late.current) drawAnew();
  });

  const drag = (event: PointerEvent) => {
    const box = place.current;
    if (!onDrag || !drawn.current || !box) return;
    if (event.type === 'pointerdown' && event.button === 0) box.setPointerCapture(event.pointerId);
    if (!box.hasPointerCapture(event.pointerId)) return;
    const { frame, domain: [from, to] } = drawn.current;
    const share = (event.clientX - box.getBoundingClientRect().left - frame.left) / (frame.right - frame.left);
    onDrag(from + Math.min(1, Math.max(0, share)) * (to - from));
  };

  const names = [...series.map(({ name, look = 'first' }) => ({ name, look })), ...(rules ?? []).map(({ name, look = 'quiet' }) => ({ name, look }))].filter(({ name }) => name);
  const still = import.meta.env.SSR ? { dangerouslySetInnerHTML: { __html: stillOf({ ...props, width: buildWidth, height }) } } : {};
  return (
    <figure class="chart">
      <figcaption>{title}</figcaption>
      {names.length > 1 && (
        <ul class="chart-names">
          {names.map(({ name, look }) => <li><svg width="26" height="10" aria-hidden="true"><path class={`curve look-${look}`} d="M1 5H25" /></svg> {name}</li>)}
        </ul>
      )}
      <div ref={place} class={onDrag ? 'chart-place chart-drag' : 'chart-place'} style={{ height: `${height}px` }} onPointerDown={drag} onPointerMove={drag} {...still} />
    </figure>
  );
}

/** The width at build time: that of half a column. In a narrower place the drawing is scaled down. */
const buildWidth = 320;

type Library = typeof import('@observablehq/plot');
let library: Library | undefined;

async function loadPlot(): Promise<void> {
  library = await import('@observablehq/plot');
}

let stillOf: (drawing: Drawing) => string = () => '';
if (import.meta.env.SSR) {
  const { parseHTML } = await import('linkedom');
  const Plot = await import('@observablehq/plot');
  stillOf = (drawing) => draw(Plot, drawing, parseHTML('<!doctype html><html><body></body></html>').document).element.outerHTML;
} else waitFor(loadPlot);
