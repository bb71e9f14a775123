/** The scan drawn to scale, seen from above: the source on the left, the light going right, the detector's higher cells upwards. */
import { fieldRadius, type FlatBeam, type Grid } from '../../lib/index.ts';

type Point = readonly [x: number, y: number];

/** Everything in mm, x along the light from the axis, y up the detector; the axis is at (0, 0). */
export interface Drawing {
  readonly source?: Point;
  readonly axis: Point;
  /** The two ends of the row of cells. */
  readonly detector: readonly [Point, Point];
  /** The outermost rays, from source (or from before the object) to detector. */
  readonly rays: readonly (readonly [Point, Point])[];
  /** The circle that every view sees whole. */
  readonly field: number;
  /** The corners of the picture to be made. */
  readonly picture: readonly Point[];
  /** The way that the source takes round the object, from the first view to the last, on a circle about the axis. */
  readonly path: { readonly radius: number; readonly points: readonly Point[]; readonly span: number };
  /** What has to fit on the paper. */
  readonly box: { readonly x: number; readonly y: number; readonly width: number; readonly height: number };
}

export function drawScan(geometry: FlatBeam, grid: Grid): Drawing {
  const halfRow = (geometry.detectors * geometry.pitch) / 2;
  const ends = [-halfRow - geometry.axisOffset, halfRow - geometry.axisOffset] as const;
  const field = fieldRadius(geometry);
  const reach = Math.max(Math.abs(ends[0]), Math.abs(ends[1]), field);
  const fan = geometry.beam === 'fan';
  const toDetector = fan ? geometry.sourceToDetector - geometry.sourceToAxis : 1.6 * reach;
  const toSource = fan ? geometry.sourceToAxis : 1.6 * reach;

  const detector = [[toDetector, ends[0]], [toDetector, ends[1]]] as const;
  const source: Point | undefined = fan ? [-toSource, 0] : undefined;
  const from = (y: number): Point => source ?? [-toSource, y];
  const rays = fan
    ? detector.map((end) => [from(end[1]), end] as const)
    : [0, 0.25, 0.5, 0.75, 1].map((t) => ends[0] + t * (ends[1] - ends[0])).map((y) => [from(y), [toDetector, y]] as const);

  const picture = corners(grid, geometry.angles[0] ?? 0);
  const radius = 1.15 * field;
  const path = { radius, ...sourcePath(geometry.angles, radius) };
  const highest = Math.max(reach, radius, ...picture.map(([, y]) => Math.abs(y)));
  const left = Math.min(-toSource, -radius, ...picture.map(([x]) => x));
  const right = Math.max(toDetector, radius, ...picture.map(([x]) => x));
  const margin = 0.05 * Math.max(right - left, 2 * highest);
  return {
    source, axis: [0, 0], detector, rays, field, picture, path,
    box: { x: left - margin, y: -highest - margin, width: right - left + 2 * margin, height: 2 * (highest + margin) },
  };
}

/** The library's x, y turned so that the light of the view at angle `first` goes right. */
function laid(x: number, y: number, first: number): Point {
  const c = Math.sin(first), s = Math.cos(first);
  return [c * x - s * y || 0, s * x + c * y || 0];
}

function corners({ width, height, pixelSize, centre = [0, 0] }: Grid, first: number): Point[] {
  const w = (width * pixelSize) / 2, h = (height * pixelSize) / 2;
  return ([[-w, -h], [w, -h], [w, h], [-w, h]] as const).map(([x, y]) => laid(centre[0] + x, centre[1] + y, first));
}

/** From the first view's source to the last, through every angle between; span in radians, + counter-clockwise. */
function sourcePath(angles: readonly number[], radius: number) {
  const first = angles[0] ?? 0;
  const span = (angles[angles.length - 1] ?? 0) - first;
  const drawn = Math.sign(span) * Math.min(Math.abs(span), 2 * Math.PI);
  const steps = Math.max(1, Math.ceil(Math.abs(drawn) / 0.05));
  const points = Array.from({ length: steps + 1 }, (_, k): Point => {
    const angle = first + (drawn * k) / steps;
    return laid(-radius * Math.sin(angle), radius * Math.cos(angle), first);
  });
  return { points, span };
}
