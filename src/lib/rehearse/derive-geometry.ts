import { fieldOfView } from '../geometry/field-of-view.ts';
import { largestMagnification } from '../geometry/largest-magnification.ts';
import { effectivePixel } from '../geometry/unsharpness.ts';
import { viewsByRule } from '../geometry/views-by-rule.ts';
import { markOf, short, type DerivedFigure } from './derived.ts';
import type { PlanFacts } from './derive-plan.ts';
import { planBlur } from './plan-blur.ts';
import { planGeometry } from './plan-geometry.ts';
import { sliceResolution } from './slice-resolution.ts';

const degrees = (radians: number) => (radians * 180) / Math.PI;
const widthKnob = (far: boolean) => ({ key: 'distances.sourceToAxis', way: far ? 'up' : 'down' } as const);

/** Where everything stands, how sharp a view is, and how many views there should be. */
export function deriveGeometry({ plan, bin, filter, object }: PlanFacts): DerivedFigure[] {
  const { tube, distances, camera, views } = plan;
  const { sourceToAxis, sourceToDetector } = distances;
  if (sourceToDetector < sourceToAxis) {
    return [{
      key: 'magnification', group: 'geometry', label: 'Magnification', unit: '', rule: 'source to screen over source to axis', mark: 'bad', knob: { key: 'distances.sourceToDetector', way: 'up' },
      sentence: `The screen lies before the axis: it stands ${short(sourceToDetector)} mm from the source and should stand at least ${short(sourceToAxis)} mm from it.`,
    }];
  }
  const radius = object?.radius ?? 0;
  const { magnification, budget, cell } = planBlur(plan, bin, { radius });
  const { parts, total, largest, arc, bestMagnification } = budget;
  const resolution = sliceResolution(budget, filter);
  const geometry = planGeometry(plan, 1);
  const field = fieldOfView(geometry);
  const figures: DerivedFigure[] = [];
  const atBest = planBlur({ ...plan, distances: { sourceToDetector, sourceToAxis: sourceToDetector / Math.min(bestMagnification, 1e3) } }, bin).budget.total;
  const near = total / atBest;
  figures.push({
    key: 'magnification', group: 'geometry', label: 'Magnification', value: magnification, unit: '', rule: 'source to screen over source to axis (similar triangles)', mark: markOf(near, [0, 1.15], [0, 2]),
    ...(near > 1.15 && { knob: widthKnob(magnification > bestMagnification) }),
    sentence: `The object is ${short(magnification)} times as large on the screen as it is; the views would be sharpest at ${bestMagnification === Infinity ? 'the largest that fits' : `${short(bestMagnification)} times`}${near > 1.15 ? `, where they blur by ${short(atBest)} mm and not by ${short(total)} mm` : ''}.`,
  });
  if (object) figures.push(...fits(plan, object, field, geometry.rows > 1));
  if (object && geometry.rows > 1) {
    const steepest = degrees(Math.atan2(Math.max(object.top, -object.bottom), sourceToAxis));
    figures.push({
      key: 'coneAngle', group: 'geometry', label: 'Steepest ray through the object', value: steepest, unit: '°', rule: 'arctan of its height above the source over source to axis (similar triangles; the limits are this project’s choice)', good: [0, 6],
      mark: markOf(steepest, [0, 6], [0, 15]), ...(steepest > 6 && { knob: widthKnob(true) }),
      sentence: `Its top and bottom are seen at up to ${short(steepest)}° to the plane of the source${steepest > 6 ? ': faces that lie square to the axis will smear there, and values fall a little' : ', where a cone beam loses little'}.`,
    });
  }
  figures.push(
    {
      key: 'effectivePixel', group: 'sharpness', label: 'Effective pixel', value: effectivePixel(bin * camera.pitch, tube.focalSpot, magnification), unit: 'mm', rule: '√(pitch² + (spot · (M − 1))²)/M, pixel and focal spot alone (ASTM E1441, from memory)',
      sentence: `Pixel and focal spot together make ${short(effectivePixel(bin * camera.pitch, tube.focalSpot, magnification))} mm at the object.`,
    },
    {
      key: 'blur', group: 'sharpness', label: 'Blur of a view', value: total, unit: 'mm', rule: 'root of the sum of the squares of spot · (M − 1)/M, pitch/M and screen/M, widths at half height (similar triangles; ASTM E1441, from memory)', parts,
      sentence: `A view is blurred by ${short(total)} mm at the axis, most of all by the ${({ spot: 'focal spot', pitch: 'pixel', screen: 'screen', turning: 'turning', motion: 'motion' })[largest]} (${short(parts[largest])} mm).`,
      knob: largest === 'spot' ? { key: 'tube.focalSpot', way: 'down' } : largest === 'screen' ? { key: 'screen.coating', way: 'down' } : { key: 'camera.pitch', way: 'down' },
    },
    {
      key: 'bestMagnification', group: 'sharpness', label: 'Sharpest magnification', ...(bestMagnification !== Infinity && { value: bestMagnification }), unit: '', rule: '1 + (pitch² + screen²)/spot², where the blur is least (derived from the blur)',
      sentence: bestMagnification === Infinity ? 'With a spot of no width, the more it is magnified the sharper it is.' : `At ${short(bestMagnification)} times the blur would be least, ${short(atBest)} mm.`,
    },
    {
      key: 'resolution', group: 'sharpness', label: 'Resolution of a slice', value: resolution.width, unit: 'mm', rule: 'width at half height of a thin wall, by the product of the transfer functions of spot, screen, pixel, window and interpolation (sliceResolution)', parts: { tenthOfContrast: 1 / resolution.tenth },
      sentence: `A thin wall will be spread to ${short(resolution.width)} mm; of lines ${short(1 / resolution.tenth)} mm apart a tenth of the contrast is left.`,
    },
  );
  if (!object) return figures;
  const asked = viewsByRule({ diameter: 2 * radius, pitch: cell, fanAngle: 2 * Math.asin(Math.min(0.99, radius / sourceToAxis)) });
  const turnShare = (views.turn ?? 360) / 360;
  for (const { rule, convention, wholeTurn } of asked) {
    figures.push({
      key: `views.${rule}`, group: 'views', label: `Views, by the rule "${rule}"`, value: Math.ceil(wholeTurn * Math.min(1, turnShare)), unit: '', rule: `${convention}; over the plan's turn`,
      sentence: `This rule asks for ${short(Math.ceil(wholeTurn * Math.min(1, turnShare)), 6)} views, and the plan has ${views.count}.`,
    });
  }
  const enough = arc / Math.max(total, 1e-9);
  const within = radius / Math.max(1, enough);
  figures.push({
    key: 'arc', group: 'views', label: 'Arc between views at the rim', value: arc, unit: 'mm', rule: 'radius of the object times the angle between views; at most the blur, or streaks and lost detail begin (arc of a circle; as the pitch rule counts)',
    good: [0, total], mark: markOf(enough, [0, 1], [0, 12]), ...(enough > 1 && { knob: { key: 'views.count', way: 'up' } }),
    sentence: enough <= 1
      ? `At the rim one view is ${short(arc)} mm from the next, less than the blur: there are views enough.`
      : `At the rim one view is ${short(arc)} mm from the next, and a view is blurred by ${short(total)} mm: only within ${short(within)} mm of the axis do ${views.count} views show all that each of them holds; ${short(Math.ceil(views.count * enough), 4)} would do so everywhere.`,
  });
  return figures;
}

function fits({ distances, camera }: PlanFacts['plan'], object: NonNullable<PlanFacts['object']>, field: ReturnType<typeof fieldOfView>, high: boolean): DerivedFigure[] {
  const { sourceToAxis, sourceToDetector } = distances;
  const { radius, bottom, top } = object;
  const figures: DerivedFigure[] = [];
  const widest = sizeThatFits(object, { width: camera.columns * camera.pitch, height: high ? camera.rows * camera.pitch : 0 }, sourceToDetector);
  const share = field.radius / radius;
  const strikes = sourceToAxis + radius > sourceToDetector;
  const inSource = radius >= sourceToAxis;
  figures.push({
    key: 'field', group: 'geometry', label: 'Width of the field', ...(!inSource && { value: 2 * field.radius }), unit: 'mm', rule: '2 · source to axis · sin(arctan(half the screen/source to screen)), the cylinder that every view sees (similar triangles)',
    good: [2 * 1.05 * radius, 2 * 2.5 * radius], mark: strikes || inSource ? 'bad' : markOf(share, [1.05, 2.5], [1, Infinity]),
    ...(inSource || share < 1.05 ? { knob: widthKnob(true) } : strikes ? { knob: { key: 'distances.sourceToDetector', way: 'up' } as const } : share > 2.5 ? { knob: widthKnob(false) } : {}),
    sentence: inSource ? `The object reaches ${short(radius)} mm from the axis and the source stands ${short(sourceToAxis)} mm from it: it would strike the tube as it turns.`
      : strikes ? `The object reaches ${short(radius)} mm from the axis and the screen stands ${short(sourceToDetector - sourceToAxis)} mm behind it: it would strike the screen as it turns.`
        : share < 1 ? `The object is ${short(2 * radius)} mm wide about the axis and the field ${short(2 * field.radius)} mm: it is cut off at the sides, which spoils every value in the slice${widest}.`
          : share < 1.05 ? `The object, ${short(2 * radius)} mm wide about the axis, fills the field of ${short(2 * field.radius)} mm and leaves no border of open beam by which exposures are compared${widest}.`
            : share > 2.5 ? `The object, ${short(2 * radius)} mm wide about the axis, fills little of the field of ${short(2 * field.radius)} mm: magnify it more, or move the camera nearer.`
              : `The object, ${short(2 * radius)} mm wide about the axis, fits into the field of ${short(2 * field.radius)} mm with a border of open beam.`,
  });
  if (!high || inSource) return figures;
  // The near side of the object is magnified most.
  const seen = ((camera.rows - 1) / 2) * camera.pitch * ((sourceToAxis - radius) / sourceToDetector);
  const needed = Math.max(top, -bottom);
  figures.push({
    key: 'fieldHeight', group: 'geometry', label: 'Height of the field', value: 2 * seen, unit: 'mm', rule: 'height of the screen · (source to axis − radius)/source to screen: what is seen of a cylinder as wide as the object, its near side too (similar triangles)',
    good: [2 * needed, Infinity], mark: seen >= needed ? 'good' : 'poor', ...(seen < needed && { knob: widthKnob(true) }),
    sentence: seen >= needed ? `Of the object's height, ${short(bottom)} to ${short(top)} mm from the plane of the source, all is seen.` : `The object reaches ${short(needed)} mm from the plane of the source, and only ${short(seen)} mm are seen of its near side: its ends will be incomplete.`,
  });
  return figures;
}

/** What would fit, as the end of a sentence. */
function sizeThatFits({ radius, top, bottom }: NonNullable<PlanFacts['object']>, detector: { readonly width: number; readonly height: number }, sourceToDetector: number): string {
  try {
    const { sourceToAxis } = largestMagnification({ radius: 1.05 * radius, height: detector.height > 0 ? 2 * Math.max(top, -bottom) : 0 }, detector, sourceToDetector);
    return `; it fits from ${short(Math.ceil(sourceToAxis))} mm from source to axis on`;
  } catch (error) {
    if (error instanceof RangeError) return ', and fits nowhere before this screen: take a larger part of the screen into the picture';
    throw error;
  }
}
