import type * as PlotLibrary from '@observablehq/plot';

export interface Axis {
  readonly label: string;
  readonly unit?: string;
  /** Left out, the round numbers around the data. A fixed domain is steadier to look at, and quicker. */
  readonly domain?: readonly [number, number];
}

export interface Series {
  readonly name: string;
  readonly x: ArrayLike<number>;
  readonly y: ArrayLike<number>;
  readonly kind?: 'line' | 'steps' | 'area' | 'dots' | 'stems';
  /** 'accent' for what the reader moves. Each has its colour and its dash. */
  readonly look?: 'first' | 'second' | 'third' | 'quiet' | 'accent';
}

/** A straight line across the graph at a value of x or of y. */
export interface Rule {
  readonly x?: number;
  readonly y?: number;
  readonly name?: string;
  readonly look?: Series['look'];
}

export interface Drawing {
  readonly title: string;
  readonly description?: string;
  readonly x: Axis;
  readonly y: Axis;
  readonly series: readonly Series[];
  readonly rules?: readonly Rule[];
  readonly width: number;
  readonly height: number;
}

type Scale = (value: number) => number;
export interface Drawn { readonly element: Element; readonly x: Scale; readonly y: Scale; readonly frame: Frame; readonly domain: readonly [number, number]; readonly key: string }
interface Frame { readonly left: number; readonly right: number; readonly top: number; readonly bottom: number }

/** Axes, grid and curves, by Plot; every curve and rule is one <path>, so that `redraw` can move it without drawing the axes again. */
export function draw(Plot: typeof PlotLibrary, drawing: Drawing, document?: Document): Drawn {
  const { width, height } = drawing;
  const frame = { left: 46, right: width - 14, top: 24, bottom: height - 34 };
  const domains = { x: domainOf(drawing, 'x'), y: domainOf(drawing, 'y') };
  const named = ({ label, unit }: Axis) => (unit ? `${label}, ${unit}` : label);
  const options = (axis: 'x' | 'y') => ({ domain: domains[axis], label: named(drawing[axis]), labelArrow: 'none' as const, tickFormat: tickWords, ticks: axis === 'x' ? Math.max(3, width / 80) : Math.max(3, height / 45) });
  let scales: { x: Scale; y: Scale } = { x: Number, y: Number };
  const curves = (_: unknown, given: { x?: Scale; y?: Scale }, __: unknown, ___: unknown, context: { document: Document }) => {
    scales = given as typeof scales;
    const group = context.document.createElementNS(svg, 'g');
    for (const { d, look, kind } of paths(drawing, scales.x, scales.y, frame)) {
      const path = context.document.createElementNS(svg, 'path');
      path.setAttribute('class', `curve curve-${kind} look-${look}`);
      path.setAttribute('d', d);
      group.appendChild(path);
    }
    return group as SVGElement;
  };
  const element = Plot.plot({
    width, height, document, marginLeft: frame.left, marginRight: width - frame.right, marginTop: frame.top, marginBottom: height - frame.bottom,
    ariaLabel: drawing.title, ariaDescription: drawing.description,
    x: options('x'), y: { ...options('y'), grid: true, labelAnchor: 'top' },
    style: { background: 'none', overflow: 'visible', fontFamily: 'inherit', fontSize: '12px' },
    marks: [Plot.ruleY([domains.y[0]], { stroke: 'currentColor' }), curves as never],
  } as never) as Element;
  // One picture with one name: the names that Plot gives its parts are for no one.
  for (const part of element.querySelectorAll('g[aria-label]')) {
    part.setAttribute('data-part', part.getAttribute('aria-label')!);
    part.removeAttribute('aria-label');
  }
  element.setAttribute('role', 'img');
  element.setAttribute('preserveAspectRatio', 'xMinYMin meet');
  return { element, ...scales, frame, domain: domains.x, key: sameness(drawing) };
}

/** Moves the curves of an earlier drawing. False when axes or the number of curves changed: then draw anew. */
export function redraw(drawn: Drawn, drawing: Drawing): boolean {
  if (drawn.key !== sameness(drawing)) return false;
  const made = paths(drawing, drawn.x, drawn.y, drawn.frame);
  const old = drawn.element.querySelectorAll('.curve');
  made.forEach(({ d }, i) => old[i].setAttribute('d', d));
  if (drawing.description) drawn.element.setAttribute('aria-description', drawing.description);
  return true;
}

const svg = 'http://www.w3.org/2000/svg';

function sameness(drawing: Drawing): string {
  const { x, y, width, height, title } = drawing;
  return JSON.stringify([title, width, height, domainOf(drawing, 'x'), domainOf(drawing, 'y'), x.label, y.label, drawing.series.map((each) => [each.kind, each.look]), drawing.rules?.map((each) => each.look)]);
}

function paths(drawing: Drawing, x: Scale, y: Scale, frame: Frame): { d: string; look: string; kind: string }[] {
  const rules = (drawing.rules ?? []).map((rule) => ({
    d: rule.x !== undefined ? `M${place(x(rule.x))} ${frame.top}V${frame.bottom}` : `M${frame.left} ${place(y(rule.y!))}H${frame.right}`,
    look: rule.look ?? 'quiet', kind: 'rule',
  }));
  return [...rules, ...drawing.series.map((series) => ({ d: pathOf(series, x, y), look: series.look ?? 'first', kind: series.kind ?? 'line' }))];
}

/** The curve of a series; where a value is no number, it has a gap. */
function pathOf({ x, y, kind = 'line' }: Series, scaleX: Scale, scaleY: Scale): string {
  const floor = place(scaleY(0));
  let d = '';
  let pen = false;
  let last = '';
  for (let i = 0; i < x.length; i++) {
    const across = scaleX(x[i]);
    const up = scaleY(y[i]);
    if (!Number.isFinite(across) || !Number.isFinite(up)) {
      if (pen && kind === 'area') d += `L${last} ${floor}Z`;
      pen = false;
      continue;
    }
    const px = place(across);
    const py = place(up);
    if (kind === 'dots') d += `M${px} ${py}h0`;
    else if (kind === 'stems') d += `M${px} ${floor}V${py}M${px} ${py}h0`;
    else if (!pen) d += kind === 'area' ? `M${px} ${floor}L${px} ${py}` : `M${px} ${py}`;
    else d += kind === 'steps' ? `H${px}V${py}` : `L${px} ${py}`;
    pen = true;
    last = px;
  }
  return pen && kind === 'area' ? `${d}L${last} ${floor}Z` : d;
}

/** A tenth of a pixel is as fine as one sees; what lies far outside stays just outside. */
function place(pixels: number): string {
  return String(Math.round(Math.max(-1e4, Math.min(1e4, pixels)) * 10) / 10);
}

function domainOf(drawing: Drawing, axis: 'x' | 'y'): readonly [number, number] {
  const given = drawing[axis].domain;
  if (given) return given;
  let low = Infinity;
  let high = -Infinity;
  for (const series of drawing.series) {
    const values = series[axis];
    for (let i = 0; i < values.length; i++) {
      if (values[i] < low && values[i] > -Infinity) low = values[i];
      if (values[i] > high && values[i] < Infinity) high = values[i];
    }
  }
  if (!(low <= high)) return [0, 1];
  if (axis === 'x') return low < high ? [low, high] : [low - 1, high + 1];
  if (low > 0 && low < high / 2) low = 0;
  const width = high - low || Math.abs(high) || 1;
  const power = 10 ** Math.floor(Math.log10(width / 4));
  const step = power * ([1, 2, 5, 10].find((times) => times * power >= width / 4) ?? 10);
  return [Math.floor(low / step) * step, Math.max(Math.ceil(high / step), Math.floor(low / step) + 1) * step];
}

function tickWords(value: number): string {
  const size = Math.abs(value);
  const text = size !== 0 && (size < 1e-3 || size >= 1e5) ? value.toExponential(0).replace('e', '·10^').replace('+', '') : String(Number(value.toPrecision(6)));
  return text.replaceAll('-', '−');
}
