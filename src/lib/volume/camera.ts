import type { VolumeGrid } from '../types.ts';
import { cross, minus, plus, unit, type Point3 } from './point.ts';

/** Who looks at a volume, and what their picture is. */
export interface Camera {
  readonly projection: 'orthographic' | 'perspective';
  /** Where the eye is, mm; in an orthographic picture only its direction from the target counts. */
  readonly eye: Point3;
  /** What is in the middle of the picture, mm. */
  readonly target: Point3;
  /** What the picture shows upwards, as far as the line of sight allows; +z when left out. */
  readonly up?: Point3;
  /** Pixels. */
  readonly width: number;
  readonly height: number;
  /** How much the picture shows from bottom to top at the distance of the target, mm. */
  readonly field: number;
}

/** The directions of a camera's picture, each of length 1: right × up points to the viewer. */
export interface CameraFrame {
  readonly right: Point3;
  readonly up: Point3;
  /** From the eye to the target. */
  readonly forward: Point3;
  /** From the eye to the target, mm. */
  readonly distance: number;
}

/** Throws RangeError where the eye is at the target, or up lies along the line of sight. */
export function cameraFrame({ eye, target, up = [0, 0, 1] }: Camera): CameraFrame {
  const forward = unit(minus(target, eye), 'The line from the eye to the target');
  const right = unit(cross(forward, up), 'The part of up that is square to the line of sight');
  return { right, up: cross(right, forward), forward, distance: Math.hypot(...minus(target, eye)) };
}

/**
 * A camera that looks at the middle of a volume and sees all of it, whichever way it is turned.
 * azimuth: radians, 0 looks along +y with x to the right; rising, the camera goes counter-clockwise seen from +z (π/2: looks along −x).
 * elevation: radians above the horizon, between −π/2 and π/2, ends left out.
 */
export function cameraAround(
  volume: VolumeGrid,
  { azimuth = 0, elevation = 0, projection = 'orthographic', width = 256, height = 256 }: { azimuth?: number; elevation?: number; projection?: Camera['projection']; width?: number; height?: number },
): Camera {
  const target = volume.centre ?? [0, 0, 0];
  const diagonal = volume.voxelSize * Math.hypot(volume.width, volume.height, volume.depth);
  const direction: Point3 = [Math.sin(azimuth) * Math.cos(elevation), -Math.cos(azimuth) * Math.cos(elevation), Math.sin(elevation)];
  // From twice the diagonal away the ball about the volume is seen under asin(1/4), a little wider than it is.
  const widest = projection === 'perspective' ? diagonal / Math.sqrt(1 - 1 / 16) : diagonal;
  const field = (widest * height) / Math.min(width, height);
  return { projection, eye: plus(target, direction, 2 * diagonal), target, width, height, field };
}
