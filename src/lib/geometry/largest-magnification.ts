export interface LargestMagnification {
  /** sourceToDetector / sourceToAxis. */
  readonly magnification: number;
  /** The least distance from the source to the axis, mm. */
  readonly sourceToAxis: number;
  /** What stops it: the width of the detector or its height. */
  readonly limit: 'width' | 'height';
}

/**
 * How near to the source an object may stand so that a detector in a fixed place still sees all of it in every view.
 *   width:   sourceToAxis ≥ radius / sin(atan(width / (2 · sourceToDetector)))    rays that touch its sides
 *   height:  sourceToAxis ≥ radius + height · sourceToDetector / detectorHeight   its near side is magnified most
 * radius, height: of the upright cylinder about the axis that holds the object, mm; height 0 for one layer. The plane of the source lies half-way
 * up object and detector. detector: width and height that are seen, mm; a border for the open beam is for the caller to take off.
 * Throws RangeError, one sentence, for a length that cannot be, and for an object that the detector cannot see whole anywhere before it.
 * Source: similar triangles; detectorReach (fan.ts) turned round.
 */
export function largestMagnification(object: { readonly radius: number; readonly height: number }, detector: { readonly width: number; readonly height: number }, sourceToDetector: number): LargestMagnification {
  requireLength(object.radius, 'The radius of the object');
  requireLength(detector.width, 'The width of the detector');
  requireLength(sourceToDetector, 'The distance from the source to the detector (sourceToDetector)');
  if (!(object.height >= 0)) throw new RangeError(`The height of the object is ${object.height} and should be a length in mm, 0 or more.`);
  if (object.height > 0) requireLength(detector.height, 'The height of the detector');
  const forWidth = object.radius / Math.sin(Math.atan2(detector.width / 2, sourceToDetector));
  const forHeight = object.height > 0 ? object.radius + (object.height * sourceToDetector) / detector.height : 0;
  const sourceToAxis = Math.max(forWidth, forHeight);
  const limit = forWidth >= forHeight ? 'width' : 'height';
  if (sourceToAxis + object.radius > sourceToDetector) {
    throw new RangeError(`The object is too large for the detector: to be seen whole its axis would have to stand ${sourceToAxis.toPrecision(4)} mm from the source, and it then reaches the detector at ${sourceToDetector} mm.`);
  }
  return { magnification: sourceToDetector / sourceToAxis, sourceToAxis, limit };
}

function requireLength(value: number, what: string): void {
  if (!(value > 0) || !Number.isFinite(value)) throw new RangeError(`${what} is ${value} and should be a length in mm above 0.`);
}
