import { materials, type Material } from '../physics/attenuation.ts';
import type { Anode } from '../physics/anodes.ts';
import type { Vector } from '../phantom/solids.ts';
import { BadInput } from './bad-input.ts';
import { mistakeIn, nearest, type Schema } from './check-schema.ts';
import { parseJson } from './parse-json.ts';
import { planSolids } from './plan-solids.ts';
import schema from './plan.schema.json' with { type: 'json' };

/** A form as a plan file has it: mm, and degrees for a turn. */
interface PlanStance { readonly axis?: Vector; readonly turn?: number }
export type PlanForm =
  | { readonly kind: 'ball'; readonly centre: Vector; readonly radius: number }
  | ({ readonly kind: 'ellipsoid'; readonly centre: Vector; readonly semiAxes: Vector } & PlanStance)
  | { readonly kind: 'cylinder'; readonly from: Vector; readonly to: Vector; readonly radius: number }
  | { readonly kind: 'cone'; readonly from: Vector; readonly to: Vector; readonly radiusFrom: number; readonly radiusTo: number }
  | { readonly kind: 'rod'; readonly from: Vector; readonly to: Vector; readonly radius: number }
  | ({ readonly kind: 'box'; readonly centre: Vector; readonly size: Vector } & PlanStance)
  | ({ readonly kind: 'prism'; readonly centre: Vector; readonly sides: number; readonly acrossFlats: number; readonly height: number } & PlanStance)
  | { readonly kind: 'half-space'; readonly point: Vector; readonly normal: Vector }
  | ({ readonly kind: 'nut'; readonly centre: Vector; readonly acrossFlats: number; readonly height: number; readonly bore: number } & PlanStance)
  | ({ readonly kind: 'spring'; readonly centre: Vector; readonly coilRadius: number; readonly wireRadius: number; readonly rise: number; readonly turns: number } & PlanStance)
  | { readonly kind: 'union' | 'intersection'; readonly parts: readonly PlanForm[] }
  | { readonly kind: 'difference'; readonly from: PlanForm; readonly without: readonly PlanForm[] };

export interface PlanSolid {
  readonly name?: string;
  readonly material?: Material;
  readonly density?: number;
  /** 1/mm, in a plan with a lamp: in the lamp's colour, beside the liquid around it. */
  readonly attenuation?: number;
  readonly form: PlanForm;
}

interface PlanCore {
  readonly $schema?: string;
  readonly format: 'plan';
  readonly version: 1;
  readonly title?: string;
  readonly object:
    | { readonly kind: 'capsule' }
    | { readonly kind: 'solids'; readonly solids: readonly PlanSolid[] }
    | { readonly kind: 'volume'; readonly file: string; readonly energy?: number; readonly material?: Material };
  readonly distances: { readonly sourceToAxis: number; readonly sourceToDetector: number };
  readonly exposure: { readonly seconds: number; readonly frames?: number; readonly rest?: number };
  readonly views: { readonly count: number; readonly turn?: number; readonly start?: number; readonly direction?: 'counterclockwise' | 'clockwise' };
  readonly stage?: { readonly fullSteps: number; readonly microsteps: number; readonly gear?: { readonly motor: number; readonly table: number } };
}

interface PlanCamera {
  readonly pitch: number;
  readonly columns: number;
  readonly rows: number;
  readonly readNoise: number;
  readonly fullWell: number;
  readonly bits: number;
}

/** A scan with an X-ray tube and a glowing screen. */
export interface XrayPlan extends PlanCore {
  readonly lamp?: undefined;
  readonly tube: {
    readonly anode: Anode;
    readonly kVp: number;
    readonly anodeAngle?: number;
    readonly mA: number;
    readonly focalSpot: number;
    readonly heatLimit?: number;
    readonly coolingTime?: number;
    readonly output?: number;
    readonly housing?: 'bare' | 'rated';
  };
  readonly filters?: readonly { readonly material: Material; readonly thickness: number; readonly density?: number }[];
  readonly screen: { readonly coating: number; readonly blur?: number };
  readonly camera: PlanCamera & { readonly fNumber: number; readonly quantumEfficiency: number; readonly sensorPixel?: number };
  readonly room?: {
    readonly distance: number;
    readonly barrier?: { readonly material: Material; readonly thickness: number };
    readonly occupancy?: number;
    readonly scansPerYear?: number;
    readonly minutes?: number;
  };
}

/** A scan in visible light: a camera looks through a translucent object at a lit sheet. Its rays meet in the lens, which stands where a tube would. */
export interface LampPlan extends PlanCore {
  readonly tube?: undefined;
  readonly filters?: undefined;
  readonly screen?: undefined;
  readonly room?: undefined;
  readonly lamp: {
    /** nm */
    readonly wavelength?: number;
    /** That a pixel takes in each second of exposure where nothing is before the sheet. */
    readonly electrons: number;
    /** Width of the lens's entrance pupil, mm. */
    readonly opening: number;
  };
  readonly camera: PlanCamera & { readonly fNumber?: number; readonly quantumEfficiency?: undefined; readonly sensorPixel?: undefined };
}

/** A plan file as it stands: mm, degrees, kV, mA, s; keys that are not needed left out. plan.schema.json says what each key means. */
export type Plan = XrayPlan | LampPlan;

const longestText = 2e6;

/**
 * Reads a plan file, strictly. What is left out stays out.
 * Throws BadInput, one sentence with the path of the key: not JSON, an unknown key (with the nearest known one), a missing key, a value of the
 * wrong kind or out of range, a tube and a lamp together or neither, a screen before the axis, a material that is not in the table, a solid that cannot be, a solid that
 * has no attenuation in the light of a lamp.
 */
export function readPlan(text: string): Plan {
  const value = parseJson(text, 'plan file', longestText);
  const mistake = bothIn(value) ?? mistakeIn(value, schema as unknown as Schema) ?? mistakeAcross(value as Plan);
  if (mistake) throw new BadInput(mistake);
  const plan = value as Plan;
  if (plan.object.kind === 'solids') planSolids(plan);
  return plan;
}

/** Writes a plan file that readPlan reads back as the same plan; lists of numbers stay on one line. Throws BadInput where readPlan would. */
export function writePlan(plan: Plan): string {
  const lists: string[] = [];
  const text = JSON.stringify(plan, (_, value) => (Array.isArray(value) && value.every((item) => typeof item === 'number') ? `\u0000${lists.push(JSON.stringify(value)) - 1}` : value), 2)
    .replace(/"\\u0000(\d+)"/g, (_, index) => lists[Number(index)].replaceAll(',', ', '));
  readPlan(text);
  return `${text}\n`;
}

/** A tube and a lamp are said in one sentence, before the schema finds the one or the other strange. */
function bothIn(value: unknown): string | undefined {
  if (typeof value !== 'object' || value === null || !Object.hasOwn(value, 'lamp')) return undefined;
  const others = ['tube', 'screen', 'filters', 'room'].filter((key) => Object.hasOwn(value, key));
  return others.length === 0 ? undefined : `The plan has a lamp and ${others.join(', ')} too: a plan is for visible light or for X-rays, so leave out lamp, or tube, screen, filters and room.`;
}

/** The rules that tie one key to another. */
function mistakeAcross(plan: Plan): string | undefined {
  const { distances } = plan;
  if (distances.sourceToDetector < distances.sourceToAxis) {
    return `The ${plan.lamp ? 'plane in focus' : 'screen'} lies before the axis: distances.sourceToDetector is ${distances.sourceToDetector} mm and should be at least distances.sourceToAxis, ${distances.sourceToAxis} mm.`;
  }
  return plan.lamp ? mistakeInLight(plan) : mistakeWithTube(plan);
}

/** What a plan with a lamp says of its object. */
function mistakeInLight({ object }: LampPlan): string | undefined {
  if (object.kind === 'capsule') return 'object.kind is "capsule", which has no attenuation in visible light: it should be "solids" or "volume" in a plan with a lamp.';
  if (object.kind === 'volume') {
    const beside = (['material', 'energy'] as const).find((key) => object[key] !== undefined);
    return beside && `object.${beside} says how X-rays see the volume: leave it out in a plan with a lamp, where its values are taken as they stand.`;
  }
  for (const [i, { name, material, density, attenuation }] of object.solids.entries()) {
    const what = `object.solids[${i}]${name === undefined ? '' : ` (${name})`}`;
    if (material !== undefined && attenuation === undefined) return `${what} is of ${material} and has no attenuation: in a plan with a lamp each solid that is not empty needs attenuation, 1/mm in the lamp's colour, in place of material.`;
    if (material !== undefined || density !== undefined) return `${what} has ${material !== undefined ? 'material' : 'density'}${attenuation === undefined ? '' : ' beside attenuation'}: leave it out in a plan with a lamp, for the table of materials holds for X-rays alone.`;
  }
  return undefined;
}

/** What a plan with a tube says of its tube and of materials. */
function mistakeWithTube({ object, tube, filters = [], room }: XrayPlan): string | undefined {
  if ((tube.heatLimit === undefined) !== (tube.coolingTime === undefined)) {
    const missing = tube.heatLimit === undefined ? 'heatLimit' : 'coolingTime';
    return `tube.${missing} is missing: heatLimit and coolingTime are given together or not at all.`;
  }
  const coloured = object.kind === 'solids' ? object.solids.findIndex(({ attenuation }) => attenuation !== undefined) : -1;
  if (coloured >= 0) return `object.solids[${coloured}].attenuation is for a plan with a lamp: name a material in its place, whose attenuation changes with the energy.`;
  const named: [string, string | undefined][] = [
    ...filters.map(({ material }, i): [string, string] => [`filters[${i}].material`, material]),
    ['room.barrier.material', room?.barrier?.material],
    ...(object.kind === 'solids' ? object.solids.map(({ material }, i): [string, string | undefined] => [`object.solids[${i}].material`, material]) : []),
    ...(object.kind === 'volume' ? [['object.material', object.material] as [string, string | undefined]] : []),
  ];
  const unknown = named.find(([, material]) => material !== undefined && !Object.hasOwn(materials, material));
  if (!unknown) return undefined;
  const near = nearest(unknown[1]!, Object.keys(materials));
  return `${unknown[0]} is ${JSON.stringify(unknown[1])}, which is not in the attenuation table: ${near ? `did you mean "${near}"? It knows` : 'it knows'} ${Object.keys(materials).join(', ')}.`;
}
