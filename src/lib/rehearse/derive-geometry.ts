import type { LampPlan } from '../files/plan.ts';
import { fieldOfView } from '../geometry/field-of-view.ts';
import { largestMagnification } from '../geometry/largest-magnification.ts';
import { effectivePixel } from '../geometry/unsharpness.ts';
import { viewsByRule } from '../geometry/views-by-rule.ts';
import { markOf, short, type DerivedFigure } from './derived.ts';
import type { PlanFacts } from './derive-plan.ts';
import { planBlur } from './plan-blur.ts';
import { planGeometry } from './plan-geometry.ts';
import { planWords } from './plan-words.ts';
import { sliceResolution } from './slice-resolution.ts';

const degrees = (radians: number) => (radians * 180) / Math.PI;
const widthKnob = (far: boolean) => ({ key: 'distances.sourceToAxis', way: far ? 'up' : 'down' } as const);
/** With a lamp the plane in focus goes with the object, so that what is seen changes by the pixel alone. */
const fieldKnob = ({ lamp }: PlanFacts['plan'], wider: boolean) => (lamp ? ({ key: 'camera.pitch', way: wider ? 'up' : 'down' } as const) : widthKnob(wider));

/** Where everything stands, how sharp a view is, and how many views there should be. */
export function deriveGeometry({ plan, bin, filter, object }: PlanFacts): DerivedFigure[] {
  const { distances, camera, views } = plan;
  const { sourceToAxis, sourceToDetector } = distances;
  const { source, plane, spot } = planWords(plan);
  const spotKnob = { key: plan.lamp ? 'lamp.opening' : 'tube.focalSpot', way: 'down' } as const;
  if (sourceToDetector < sourceToAxis) {
    return [{
      key: 'magnification', group: 'geometry', label: 'Magnification', unit: '', rule: `${source} to ${plane} over ${source} to axis`, mark: 'bad', knob: { key: 'distances.sourceToDetector', way: 'up' },
      sentence: `The ${plane} lies before the axis: it stands ${short(sourceToDetector)} mm from the ${source} and should stand at least ${short(sourceToAxis)} mm from it.`,
    }];
  }
  const radius = object?.radius ?? 0;
  const { magnification, budget, cell } = planBlur(plan, bin, { radius });
  const { parts, total, largest, arc, bestMagnification } = budget;
  const resolution = sliceResolution(budget, filter);
  const effective = effectivePixel(bin * camera.pitch, plan.lamp ? plan.lamp.opening : plan.tube.focalSpot, magnification);
  const geometry = planGeometry(plan, 1);
  const field = fieldOfView(geometry);
  const figures: DerivedFigure[] = [];
  const atBest = planBlur({ ...plan, distances: { sourceToDetector, sourceToAxis: sourceToDetector / Math.min(bestMagnification, 1e3) } }, bin).budget.total;
  const near = total / atBest;
  figures.push({
    key: 'magnification', group: 'geometry', label: 'Magnification', value: magnification, unit: '', rule: `${source} to ${plane} over ${source} to axis (similar triangles)`, mark: markOf(near, [0, 1.15], [0, 2]),
    ...(near > 1.15 && { knob: widthKnob(magnification > bestMagnification) }),
    sentence: plan.lamp ? `${magnification === 1 ? 'The plane in focus goes through the axis, so that a pixel is as wide there as it is measured' : `The plane in focus lies ${short(sourceToDetector - sourceToAxis)} mm behind the axis, where what is at the axis is shown at ${short(magnification)} times its size`}${near > 1.15 ? `; the opening blurs it to ${short(total)} mm, and with the plane through the axis it would be ${short(cell * magnification)} mm` : ''}.`
      : `The object is ${short(magnification)} times as large on the ${plane} as it is; the views would be sharpest at ${bestMagnification === Infinity ? 'the largest that fits' : `${short(bestMagnification)} times`}${near > 1.15 ? `, where they blur by ${short(atBest)} mm and not by ${short(total)} mm` : ''}.`,
  });
  if (object) figures.push(...fits(plan, object, field, geometry.rows > 1));
  if (object && geometry.rows > 1) {
    const steepest = degrees(Math.atan2(Math.max(object.top, -object.bottom), sourceToAxis));
    figures.push({
      key: 'coneAngle', group: 'geometry', label: 'Steepest ray through the object', value: steepest, unit: '°', rule: `arctan of its height above the ${source} over ${source} to axis (similar triangles; the limits are this project’s choice)`, good: [0, 6],
      mark: markOf(steepest, [0, 6], [0, 15]), ...(steepest > 6 && { knob: widthKnob(true) }),
      sentence: `Its top and bottom are seen at up to ${short(steepest)}° to the plane of the ${source}${steepest > 6 ? ': faces that lie square to the axis will smear there, and values fall a little' : ', where a cone beam loses little'}.`,
    });
  }
  figures.push(
    {
      key: 'effectivePixel', group: 'sharpness', label: 'Effective pixel', value: effective, unit: 'mm', rule: `√(pitch² + (spot · (M − 1))²)/M, pixel and ${spot} alone (ASTM E1441, from memory)`,
      sentence: `Pixel and ${spot} together make ${short(effective)} mm at the object.`,
    },
    {
      key: 'blur', group: 'sharpness', label: 'Blur of a view', value: total, unit: 'mm', rule: plan.lamp ? 'root of the sum of the squares of opening · (M − 1)/M and pitch/M (similar triangles; that the opening counts by its whole width is common practice, no source)' : 'root of the sum of the squares of spot · (M − 1)/M, pitch/M and screen/M, widths at half height (similar triangles; ASTM E1441, from memory)',
      parts: plan.lamp ? { opening: parts.spot, pitch: parts.pitch } : parts,
      sentence: `A view is blurred by ${short(total)} mm at the axis, most of all by the ${({ spot, pitch: 'pixel', screen: 'screen', turning: 'turning', motion: 'motion' })[largest]} (${short(parts[largest])} mm).`,
      knob: largest === 'spot' ? spotKnob : largest === 'screen' ? { key: 'screen.coating', way: 'down' } : { key: 'camera.pitch', way: 'down' },
    },
    ...(plan.lamp ? [openingAtRim(plan, radius, cell)] : [{
      key: 'bestMagnification', group: 'sharpness', label: 'Sharpest magnification', ...(bestMagnification !== Infinity && { value: bestMagnification }), unit: '', rule: '1 + (pitch² + screen²)/spot², where the blur is least (derived from the blur)',
      sentence: bestMagnification === Infinity ? 'With a spot of no width, the more it is magnified the sharper it is.' : `At ${short(bestMagnification)} times the blur would be least, ${short(atBest)} mm.`,
    } as const]),
    {
      key: 'resolution', group: 'sharpness', label: 'Resolution of a slice', value: resolution.width, unit: 'mm', rule: `width at half height of a thin wall, by the product of the transfer functions of ${plan.lamp ? 'opening' : 'spot, screen'}, pixel, window and interpolation (sliceResolution)`, parts: { 'lines with a tenth of their contrast, apart by': 1 / resolution.tenth },
      sentence: `A thin wall will be spread to ${short(resolution.width)} mm; of lines ${short(1 / resolution.tenth)} mm apart a tenth of the contrast is left.`,
    },
  );
  if (!object) return figures;
  const asked = viewsByRule({ diameter: 2 * radius, pitch: cell, fanAngle: 2 * Math.asin(Math.min(0.99, radius / sourceToAxis)) });
  const turnShare = (views.turn ?? 360) / 360;
  for (const { rule, convention, wholeTurn } of asked) {
    figures.push({
      key: `views.${rule}`, group: 'views', label: viewRules[rule], value: Math.ceil(wholeTurn * Math.min(1, turnShare)), unit: '', rule: `${convention}; over the plan's turn`,
      sentence: `This rule asks for ${short(Math.ceil(wholeTurn * Math.min(1, turnShare)), 6)} views, and the plan has ${short(views.count, 6)}.`,
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

/** How the rules for the number of views are called. */
const viewRules: Readonly<Record<ReturnType<typeof viewsByRule>[number]['rule'], string>> = {
  pitch: 'Views that keep a period of two cells at the rim', 'one-pixel': 'Views that keep every cell at the rim', fan: 'Views that keep a period of two cells, in a fan',
};

/** What is nearer to the lens than the plane in focus is blurred by a share of its opening. */
function openingAtRim({ lamp, distances: { sourceToAxis, sourceToDetector } }: LampPlan, radius: number, cell: number): DerivedFigure {
  const from = Math.max(Math.abs(sourceToDetector - sourceToAxis + radius), Math.abs(sourceToDetector - sourceToAxis - radius));
  const value = (lamp.opening * from) / sourceToDetector;
  return {
    key: 'openingAtRim', group: 'sharpness', label: 'Blur of the lens’s opening at the rim', value, unit: 'mm', rule: 'opening · distance from the plane in focus over lens to that plane (similar triangles); no more than a pixel at the axis, by this project’s choice', good: [0, cell],
    mark: markOf(value, [0, cell]), ...(value > cell && { knob: { key: 'lamp.opening', way: 'down' } as const }),
    sentence: `Where the object is farthest out of focus, the opening of ${short(lamp.opening)} mm blurs it by ${short(value)} mm${value > cell ? `, more than a pixel at the axis, ${short(cell)} mm: close the lens further, or stand farther away` : ', less than a pixel at the axis'}.`,
  };
}

function fits(plan: PlanFacts['plan'], object: NonNullable<PlanFacts['object']>, field: ReturnType<typeof fieldOfView>, high: boolean): DerivedFigure[] {
  const { distances, camera } = plan;
  const { source, stands, plane, open } = planWords(plan);
  const { sourceToAxis, sourceToDetector } = distances;
  const { radius, bottom, top } = object;
  const figures: DerivedFigure[] = [];
  const widest = sizeThatFits(object, { width: camera.columns * camera.pitch, height: high ? camera.rows * camera.pitch : 0 }, sourceToDetector, plan);
  const share = field.radius / radius;
  const strikes = !plan.lamp && sourceToAxis + radius > sourceToDetector;
  const inSource = radius >= sourceToAxis;
  figures.push({
    key: 'field', group: 'geometry', label: 'Width of the field', ...(!inSource && { value: 2 * field.radius }), unit: 'mm', rule: `2 · ${source} to axis · sin(arctan(half the ${plane}/${source} to ${plane})), the cylinder that every view sees (similar triangles)`,
    good: [2 * 1.05 * radius, 2 * 2.5 * radius], mark: strikes || inSource ? 'bad' : markOf(share, [1.05, 2.5], [1, Infinity]),
    ...(inSource ? { knob: widthKnob(true) } : share < 1.05 ? { knob: fieldKnob(plan, true) } : strikes ? { knob: { key: 'distances.sourceToDetector', way: 'up' } as const } : share > 2.5 ? { knob: fieldKnob(plan, false) } : {}),
    sentence: inSource ? `The object reaches ${short(radius)} mm from the axis and the ${source} stands ${short(sourceToAxis)} mm from it: it would strike the ${stands} as it turns.`
      : strikes ? `The object reaches ${short(radius)} mm from the axis and the screen stands ${short(sourceToDetector - sourceToAxis)} mm behind it: it would strike the screen as it turns.`
        : share < 1 ? `The object is ${short(2 * radius)} mm wide about the axis and the field ${short(2 * field.radius)} mm: it is cut off at the sides, which spoils every value in the slice${widest}.`
          : share < 1.05 ? `The object, ${short(2 * radius)} mm wide about the axis, fills the field of ${short(2 * field.radius)} mm and leaves no border of ${open} by which exposures are compared${widest}.`
            : share > 2.5 ? `The object, ${short(2 * radius)} mm wide about the axis, fills little of the field of ${short(2 * field.radius)} mm: ${plan.lamp ? 'bring the camera nearer, or take a longer lens' : 'magnify it more, or move the camera nearer'}.`
              : `The object, ${short(2 * radius)} mm wide about the axis, fits into the field of ${short(2 * field.radius)} mm with a border of ${open}.`,
  });
  if (!high || inSource) return figures;
  // The near side of the object is magnified most.
  const seen = ((camera.rows - 1) / 2) * camera.pitch * ((sourceToAxis - radius) / sourceToDetector);
  const needed = Math.max(top, -bottom);
  figures.push({
    key: 'fieldHeight', group: 'geometry', label: 'Height of the field', value: 2 * seen, unit: 'mm', rule: `height of the ${plane} · (${source} to axis − radius)/${source} to ${plane}: what is seen of a cylinder as wide as the object, its near side too (similar triangles)`,
    good: [2 * needed, Infinity], mark: seen >= needed ? 'good' : 'poor', ...(seen < needed && { knob: fieldKnob(plan, true) }),
    sentence: seen >= needed ? `Of the object's height, ${short(bottom)} to ${short(top)} mm from the plane of the ${source}, all is seen.` : `The object reaches ${short(needed)} mm from the plane of the ${source}, and only ${short(seen)} mm are seen of its near side: its ends will be incomplete.`,
  });
  return figures;
}

/** What would fit, as the end of a sentence. */
function sizeThatFits({ radius, top, bottom }: NonNullable<PlanFacts['object']>, detector: { readonly width: number; readonly height: number }, sourceToDetector: number, plan: PlanFacts['plan']): string {
  if (plan.lamp) return '; take a shorter lens, or stand farther away';
  try {
    const { sourceToAxis } = largestMagnification({ radius: 1.05 * radius, height: detector.height > 0 ? 2 * Math.max(top, -bottom) : 0 }, detector, sourceToDetector);
    return `; it fits from ${short(Math.ceil(sourceToAxis))} mm from source to axis on`;
  } catch (error) {
    if (error instanceof RangeError) return ', and fits nowhere before this screen: take a larger part of the screen into the picture';
    throw error;
  }
}
