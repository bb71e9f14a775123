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
  readonly form: PlanForm;
}

/** A plan file as it stands: mm, degrees, kV, mA, s; keys that are not needed left out. plan.schema.json says what each key means. */
export interface Plan {
  readonly $schema?: string;
  readonly format: 'plan';
  readonly version: 1;
  readonly title?: string;
  readonly object:
    | { readonly kind: 'capsule' }
    | { readonly kind: 'solids'; readonly solids: readonly PlanSolid[] }
    | { readonly kind: 'volume'; readonly file: string; readonly energy?: number; readonly material?: Material };
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
  readonly distances: { readonly sourceToAxis: number; readonly sourceToDetector: number };
  readonly screen: { readonly coating: number; readonly blur?: number };
  readonly camera: {
    readonly pitch: number;
    readonly sensorPixel?: number;
    readonly columns: number;
    readonly rows: number;
    readonly fNumber: number;
    readonly readNoise: number;
    readonly fullWell: number;
    readonly quantumEfficiency: number;
    readonly bits: number;
  };
  readonly exposure: { readonly seconds: number; readonly frames?: number; readonly rest?: number };
  readonly views: { readonly count: number; readonly turn?: number; readonly start?: number; readonly direction?: 'counterclockwise' | 'clockwise' };
  readonly stage?: { readonly fullSteps: number; readonly microsteps: number; readonly gear?: { readonly motor: number; readonly table: number } };
  readonly room?: {
    readonly distance: number;
    readonly barrier?: { readonly material: Material; readonly thickness: number };
    readonly occupancy?: number;
    readonly scansPerYear?: number;
    readonly minutes?: number;
  };
}

const longestText = 2e6;

/**
 * Reads a plan file, strictly. What is left out stays out.
 * Throws BadInput, one sentence with the path of the key: not JSON, an unknown key (with the nearest known one), a missing key, a value of the
 * wrong kind or out of range, a screen before the axis, a material that is not in the table, a solid that cannot be.
 */
export function readPlan(text: string): Plan {
  const value = parseJson(text, 'plan file', longestText);
  const mistake = mistakeIn(value, schema as unknown as Schema) ?? mistakeAcross(value as Plan);
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

/** The rules that tie one key to another. */
function mistakeAcross({ object, tube, filters = [], distances, room }: Plan): string | undefined {
  if (distances.sourceToDetector < distances.sourceToAxis) {
    return `The screen lies before the axis: distances.sourceToDetector is ${distances.sourceToDetector} mm and should be at least distances.sourceToAxis, ${distances.sourceToAxis} mm.`;
  }
  if ((tube.heatLimit === undefined) !== (tube.coolingTime === undefined)) {
    const missing = tube.heatLimit === undefined ? 'heatLimit' : 'coolingTime';
    return `tube.${missing} is missing: heatLimit and coolingTime are given together or not at all.`;
  }
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
