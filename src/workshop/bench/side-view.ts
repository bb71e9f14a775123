/** The rig from the side, to scale: x from the source along the middle ray, z up, mm. */
import { coneBeam, fieldOfView, type Plan } from '../../lib/index.ts';

export type Point = readonly [x: number, z: number];

export interface SideView {
  readonly source: { readonly half: number };
  readonly axis: number;
  readonly screen: { readonly x: number; readonly half: number };
  /** The outermost rays to the screen's edges. */
  readonly rays: readonly (readonly [Point, Point])[];
  /** From the source's upper and lower end past the top of the object to the screen: the penumbra is what lies between. */
  readonly penumbra?: readonly [Point, Point, Point];
  /** Its width on the screen, mm. */
  readonly unsharp: number;
  /** What every view sees whole: half its width, its lowest and highest place. */
  readonly field: { readonly radius: number; readonly bottom: number; readonly top: number };
  readonly object?: { readonly radius: number; readonly bottom: number; readonly top: number };
  readonly box: { readonly x: number; readonly z: number; readonly width: number; readonly height: number };
}

/** object: the cylinder about the axis that the object stays in as it turns. */
export function sideView({ tube, lamp, distances: { sourceToAxis: R, sourceToDetector: S }, camera: { pitch, columns, rows } }: Plan, object?: SideView['object']): SideView {
  const half = (rows * pitch) / 2;
  const { radius, bottomOfCylinder, topOfCylinder } = fieldOfView(coneBeam({ views: 1, detectors: columns, rows: Math.max(1, rows), pitch, sourceToAxis: R, sourceToDetector: S }));
  const width = lamp ? lamp.opening : tube.focalSpot;
  const spot = width / 2;
  const edge = object?.top;
  const beyond = (from: number): Point => [S, from + ((edge! - from) * S) / R];
  const reach = Math.max(half, radius, object?.radius ?? 0, Math.abs(object?.top ?? 0), Math.abs(object?.bottom ?? 0), S / 12);
  return {
    source: { half: spot }, axis: R, screen: { x: S, half },
    rays: [[[0, 0], [S, half]], [[0, 0], [S, -half]]],
    ...(edge === undefined || spot === 0 ? {} : { penumbra: [[R, edge], beyond(-spot), beyond(spot)] as const }),
    unsharp: width * (S / R - 1),
    field: { radius, bottom: bottomOfCylinder, top: topOfCylinder },
    ...(object ? { object } : {}),
    box: { x: -0.05 * S, z: -1.15 * reach, width: 1.1 * S, height: 2.3 * reach },
  };
}
