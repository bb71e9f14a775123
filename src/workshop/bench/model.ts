/** The bench: one plan under hand with what it was before, and another to compare it with, as plain data; and what may happen to them as pure functions. */
import { BadInput, readPlan, type Material, type Plan, type PlanForm, type PlanSolid } from '../../lib/index.ts';

/** Where in a plan a value stands: ['tube', 'kVp']. */
export type Path = readonly (string | number)[];

export interface Bench {
  readonly plan: Plan;
  readonly past: readonly Plan[];
  readonly future: readonly Plan[];
  /** The plan that it is compared with. */
  readonly other?: Plan;
}

const deepest = 100;

export const begun = (plan: Plan, other?: Plan): Bench => ({ plan, past: [], future: [], ...(other ? { other } : {}) });

/** together: the plan before is not kept, because this edit goes on with the last one. */
export function edited(bench: Bench, plan: Plan, together = false): Bench {
  if (plan === bench.plan) return bench;
  return { ...bench, plan, past: together ? bench.past : [...bench.past, bench.plan].slice(-deepest), future: [] };
}

export function undone(bench: Bench): Bench {
  const plan = bench.past.at(-1);
  return plan ? { ...bench, plan, past: bench.past.slice(0, -1), future: [bench.plan, ...bench.future] } : bench;
}

export function redone(bench: Bench): Bench {
  const [plan, ...future] = bench.future;
  return plan ? { ...bench, plan, past: [...bench.past, bench.plan], future } : bench;
}

/** The value at a place, undefined where the plan leaves it out. */
export function valueAt(plan: Plan, path: Path): unknown {
  return path.reduce<unknown>((at, key) => (at as Record<string | number, unknown> | undefined)?.[key], plan);
}

/** The same plan with another value at that place; undefined takes the key away. Objects on the way are made where they are missing. */
export function withValue<Of extends Plan>(plan: Of, path: Path, value: unknown): Of {
  return put(plan, path, value) as Of;
}

function put(at: unknown, [key, ...rest]: Path, value: unknown): unknown {
  if (key === undefined) return value;
  if (Array.isArray(at)) return value === undefined && rest.length === 0 ? at.filter((_, i) => i !== key) : Object.assign([...at], { [key]: put(at[key as number], rest, value) });
  const { [key]: old, ...others } = (at ?? {}) as Record<string | number, unknown>;
  if (value === undefined && rest.length === 0) return others;
  return { ...(at as object), [key]: put(old, rest, value) };
}

/** What is wrong with a plan as a whole, in one sentence. */
export function mistakeIn(plan: Plan): string | undefined {
  try {
    readPlan(JSON.stringify(plan));
    return undefined;
  } catch (error) {
    if (error instanceof BadInput || error instanceof RangeError) return error.message;
    throw error;
  }
}

/** A solid of each kind that the bench offers, to begin with; others come from a plan file and stay as they are. */
export const newForms = {
  ball: { kind: 'ball', centre: [0, 0, 0], radius: 10 },
  cylinder: { kind: 'cylinder', from: [0, 0, -15], to: [0, 0, 15], radius: 12 },
  box: { kind: 'box', centre: [0, 0, 0], size: [20, 20, 20] },
  cone: { kind: 'cone', from: [0, 0, -15], to: [0, 0, 15], radiusFrom: 12, radiusTo: 4 },
  nut: { kind: 'nut', centre: [0, 0, 0], acrossFlats: 17, height: 8, bore: 10 },
  spring: { kind: 'spring', centre: [0, 0, 0], coilRadius: 6, wireRadius: 0.8, rise: 3, turns: 6 },
} as const satisfies Partial<Record<PlanForm['kind'], PlanForm>>;

export type NewForm = keyof typeof newForms;

export const formNames: Readonly<Record<NewForm, string>> = { ball: 'ball', cylinder: 'cylinder', box: 'box', cone: 'cone', nut: 'hexagonal nut', spring: 'coil spring' };

/** The sizes of a form that fields can hold: its keys that are a length, a number or a point. */
export const formFields: Readonly<Record<NewForm, readonly { readonly key: string; readonly label: string; readonly is: 'length' | 'number' | 'point' }[]>> = {
  ball: [{ key: 'centre', label: 'Middle: x, y, z', is: 'point' }, { key: 'radius', label: 'Radius', is: 'length' }],
  cylinder: [{ key: 'from', label: 'Middle of one end: x, y, z', is: 'point' }, { key: 'to', label: 'Middle of the other', is: 'point' }, { key: 'radius', label: 'Radius', is: 'length' }],
  box: [{ key: 'centre', label: 'Middle: x, y, z', is: 'point' }, { key: 'size', label: 'Edges along x, y, z', is: 'point' }],
  cone: [{ key: 'from', label: 'Middle of one end: x, y, z', is: 'point' }, { key: 'to', label: 'Middle of the other', is: 'point' }, { key: 'radiusFrom', label: 'Radius there', is: 'length' }, { key: 'radiusTo', label: 'Radius at the other end', is: 'length' }],
  nut: [{ key: 'centre', label: 'Middle: x, y, z', is: 'point' }, { key: 'acrossFlats', label: 'Across its flats', is: 'length' }, { key: 'height', label: 'Height', is: 'length' }, { key: 'bore', label: 'Diameter of the hole', is: 'length' }],
  spring: [{ key: 'centre', label: 'Middle: x, y, z', is: 'point' }, { key: 'coilRadius', label: 'From its axis to the middle of the wire', is: 'length' }, { key: 'wireRadius', label: 'Radius of the wire', is: 'length' }, { key: 'rise', label: 'Rise of a turn', is: 'length' }, { key: 'turns', label: 'Turns', is: 'number' }],
};

export function newSolid(kind: NewForm, substance: Pick<PlanSolid, 'material' | 'attenuation'> = { material: 'acrylic' }): PlanSolid {
  return { name: formNames[kind], ...substance, form: newForms[kind] };
}

/** The solids that the bench begins with: a cylinder and a ball in it, of two materials or of two depths of dye. */
export function newSolids(inLight: boolean): readonly PlanSolid[] {
  const [around, inside] = inLight ? [{ attenuation: usual.attenuation }, { attenuation: 2 * usual.attenuation }] : [{ material: 'acrylic' as const }, { material: 'aluminium' as const }];
  return [newSolid('cylinder', around), { ...newSolid('ball', inside), form: { ...newForms.ball, radius: 3 } }];
}

/** Plans to begin from. `room` and `stage` can be switched on with these. */
export const usual = {
  stage: { fullSteps: 200, microsteps: 16, gear: { motor: 1, table: 1 } },
  room: { distance: 4000, occupancy: 1, scansPerYear: 10, minutes: 10 },
  barrier: { material: 'lead' as Material, thickness: 2 },
  filter: { material: 'aluminium' as Material, thickness: 1 },
  /** Of dye, 1/mm. */
  attenuation: 0.04,
} as const;
