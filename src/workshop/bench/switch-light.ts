/** The same plan in visible light, or with X-rays: what fits stays, and the rest is taken from a plan that works. */
import type { LampPlan, Plan, PlanSolid, XrayPlan } from '../../lib/index.ts';
import { newSolids, usual } from './model.ts';

/** How full the open sheet shall make a pixel. */
const share = 0.7;

/** In visible light: title, distances, exposure, turn and stage stay, so do the shapes of solids and the values of a volume. `from` lends the rest. */
export function inLight(plan: Plan, from: LampPlan): LampPlan {
  if (plan.lamp) return plan;
  const { tube: _, screen: __, filters: ___, room: ____, lamp: _____, camera: { quantumEfficiency, sensorPixel, ...camera }, object, ...rest } = plan;
  return {
    ...rest, object: objectOf(object, true), camera,
    lamp: { ...from.lamp, electrons: Number(((share * camera.fullWell) / plan.exposure.seconds).toPrecision(3)) },
  };
}

/** With X-rays: the same the other way round. */
export function inXrays(plan: Plan, from: XrayPlan): XrayPlan {
  if (!plan.lamp) return plan;
  const { tube: _, screen: __, filters: ___, room: ____, lamp: _____, camera, object, ...rest } = plan;
  return {
    ...rest, object: objectOf(object, false), tube: from.tube, screen: from.screen, ...(from.filters && { filters: from.filters }), ...(from.room && { room: from.room }),
    // The plane in focus may go through the object; a screen has to stand behind it.
    distances: plan.distances.sourceToDetector > 1.1 * plan.distances.sourceToAxis ? plan.distances : from.distances,
    camera: { ...from.camera, ...camera, fNumber: camera.fNumber ?? from.camera.fNumber, quantumEfficiency: from.camera.quantumEfficiency, sensorPixel: from.camera.sensorPixel },
  };
}

function objectOf(object: Plan['object'], light: boolean): Plan['object'] {
  if (object.kind === 'volume') return { kind: 'volume', file: object.file };
  if (object.kind === 'capsule') return { kind: 'solids', solids: newSolids(light) };
  return { kind: 'solids', solids: object.solids.map((solid) => substanceOf(solid, light)) };
}

/** Empty stays empty. */
function substanceOf({ material, density: _, attenuation, ...solid }: PlanSolid, light: boolean): PlanSolid {
  if (material === undefined && attenuation === undefined) return solid;
  return light ? { ...solid, attenuation: attenuation ?? usual.attenuation } : { ...solid, material: material ?? 'acrylic' };
}
