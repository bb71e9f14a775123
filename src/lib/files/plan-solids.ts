import { capsule } from '../phantom/capsule.ts';
import {
  ball, box, cone, cylinder, difference, ellipsoid, halfSpace, hexNut, intersection, prism, rod, spring, union, type Form, type Solid, type Stance,
} from '../phantom/solids.ts';
import { BadInput } from './bad-input.ts';
import type { Plan, PlanForm } from './plan.ts';

/**
 * The object of a plan as solids, mm and radians, in the order in which a later one takes the place of an earlier one; undefined for a volume, which is in a
 * file of its own.   Throws BadInput, one sentence with the path, for a solid that cannot be: a hole wider than its nut, a rod without length.
 */
export function planSolids({ object }: Pick<Plan, 'object'>): readonly Solid[] | undefined {
  if (object.kind === 'capsule') return capsule();
  if (object.kind === 'volume') return undefined;
  return object.solids.map(({ form, ...substance }, i) => ({ ...formOf(form, `object.solids[${i}].form`), ...substance }));
}

function formOf(form: PlanForm, path: string): Form {
  const all = (forms: readonly PlanForm[], key: string) => forms.map((each, i) => formOf(each, `${path}.${key}[${i}]`));
  try {
    switch (form.kind) {
      case 'ball': return ball(form.centre, form.radius);
      case 'ellipsoid': return ellipsoid(form.centre, form.semiAxes, stanceOf(form));
      case 'cylinder': return cylinder(form.from, form.to, form.radius);
      case 'cone': return cone(form.from, form.to, form.radiusFrom, form.radiusTo);
      case 'rod': return rod(form.from, form.to, form.radius);
      case 'box': return box(form.centre, form.size, stanceOf(form));
      case 'prism': return prism(form.centre, form.sides, form.acrossFlats, form.height, stanceOf(form));
      case 'half-space': return halfSpace(form.point, form.normal);
      case 'nut': return hexNut(form.centre, form.acrossFlats, form.height, form.bore, stanceOf(form));
      case 'spring': {
        const { kind: _, axis: __, turn: ___, ...size } = form;
        return spring({ ...size, ...stanceOf(form) });
      }
      case 'union': return union(...all(form.parts, 'parts'));
      case 'intersection': return intersection(...all(form.parts, 'parts'));
      case 'difference': return difference(formOf(form.from, `${path}.from`), ...all(form.without, 'without'));
    }
  } catch (error) {
    if (error instanceof RangeError) throw new BadInput(`${path} cannot be: ${error.message[0].toLowerCase()}${error.message.slice(1)}`);
    throw error;
  }
}

function stanceOf({ axis, turn }: { readonly axis?: Stance['axis']; readonly turn?: number }): Stance {
  return { ...(axis && { axis }), ...(turn !== undefined && { turn: (turn * Math.PI) / 180 }) };
}
