import { cutterOf } from './cut-solid.ts';
import { distance, dot, frameOf, length, scaled, sum, type Cylinder, type Ellipsoid, type Form, type HalfSpace } from './solids.ts';

/**
 * The volume of a form, mm³, where a formula gives it; undefined where none here does. Besides the simple forms:
 *   an ellipsoid or a cylinder cut by one plane (a cylinder where the plane misses both its ends),
 *   a prism or a ball with a round hole through it about its own axis,
 *   a union of parts that lie apart for certain: in balls that do not meet, or on the two sides of one plane.
 * Source: elementary solid geometry; the cap of a ball, π·h²·(3R − h)/3, and the ball with a hole, 4π/3·(R² − r²)^{3/2}, from memory.
 */
export function volumeOf(form: Form): number | undefined {
  switch (form.kind) {
    case 'ellipsoid': return ((4 * Math.PI) / 3) * form.semiAxes[0] * form.semiAxes[1] * form.semiAxes[2];
    case 'cylinder': return Math.PI * form.radius ** 2 * distance(form.from, form.to);
    case 'cone': return (Math.PI / 3) * distance(form.from, form.to) * (form.radiusFrom ** 2 + form.radiusFrom * form.radiusTo + form.radiusTo ** 2);
    case 'rod': return Math.PI * form.radius ** 2 * (distance(form.from, form.to) + (4 / 3) * form.radius);
    case 'box': return form.size[0] * form.size[1] * form.size[2];
    case 'prism': return form.sides * Math.tan(Math.PI / form.sides) * (form.acrossFlats / 2) ** 2 * form.height;
    case 'half-space': return Infinity;
    case 'union': {
      const volumes = form.parts.map(volumeOf);
      const separate = form.parts.every((part, i) => form.parts.slice(0, i).every((other) => apart(part, other)));
      return separate ? volumes.reduce((total, each) => (total === undefined || each === undefined ? undefined : total + each), 0) : undefined;
    }
    case 'intersection': {
      if (form.parts.length === 1) return volumeOf(form.parts[0]);
      const [whole, plane] = form.parts[0].kind === 'half-space' ? [form.parts[1], form.parts[0]] : form.parts;
      return form.parts.length === 2 && plane.kind === 'half-space' ? cutVolume(whole, plane) : undefined;
    }
    case 'difference': {
      if (form.without.length !== 1) return form.without.length === 0 ? volumeOf(form.from) : undefined;
      const hole = form.without[0];
      return hole.kind === 'cylinder' ? boredVolume(form.from, hole) : undefined;
    }
  }
}

function cutVolume(whole: Form, plane: HalfSpace): number | undefined {
  if (whole.kind === 'ellipsoid') {
    // in the measure of its own semi-axes it is a ball of radius 1, and the plane lies `height` from its middle
    const stretched = frameOf(whole).map((own, i) => whole.semiAxes[i] * dot(own, plane.normal));
    const height = (plane.offset - dot(plane.normal, whole.centre)) / Math.hypot(...stretched);
    const cap = Math.min(2, Math.max(0, 1 + height));
    return volumeOf(whole)! * ((cap * cap * (3 - cap)) / 4);
  }
  if (whole.kind === 'cylinder') {
    const axis = scaled(sum(whole.to, scaled(whole.from, -1)), 1 / distance(whole.from, whole.to));
    const lean = dot(axis, plane.normal);
    const spread = whole.radius * Math.sqrt(Math.max(0, 1 - lean * lean)); // how far the rim of an end reaches to either side of its middle
    const ends = [whole.from, whole.to].map((end) => dot(plane.normal, end) - plane.offset); // below 0: kept
    if (ends.every((end) => end + spread <= 0)) return volumeOf(whole);
    if (ends.every((end) => end - spread >= 0)) return 0;
    if (ends.some((end) => Math.abs(end) < spread)) return undefined;
    return (Math.PI * whole.radius ** 2 * -Math.min(...ends)) / Math.abs(lean);
  }
  return undefined;
}

function boredVolume(whole: Form, hole: Cylinder): number | undefined {
  if (whole.kind === 'prism') {
    const w = frameOf(whole)[2];
    const through = [hole.from, hole.to].map((end) => dot(w, end) - dot(w, whole.centre));
    const reaches = Math.min(...through) <= -whole.height / 2 && Math.max(...through) >= whole.height / 2;
    if (!coaxial(hole, whole.centre, w) || !reaches || hole.radius > whole.acrossFlats / 2) return undefined;
    return volumeOf(whole)! - Math.PI * hole.radius ** 2 * whole.height;
  }
  if (whole.kind === 'ellipsoid' && isBall(whole)) {
    const radius = whole.semiAxes[0];
    const line = sum(hole.to, scaled(hole.from, -1));
    const reach = Math.sqrt(Math.max(0, radius ** 2 - hole.radius ** 2));
    const through = [hole.from, hole.to].map((end) => distance(end, whole.centre));
    const eachSide = dot(sum(hole.from, scaled(whole.centre, -1)), sum(hole.to, scaled(whole.centre, -1))) < 0;
    if (!coaxial(hole, whole.centre, line) || !eachSide || Math.min(...through) < radius || hole.radius > radius) return undefined;
    return ((4 * Math.PI) / 3) * reach ** 3;
  }
  return undefined;
}

const isBall = ({ semiAxes: [a, b, c] }: Ellipsoid): boolean => a === b && b === c;

/** Whether a cylinder's axis is the line through `centre` along `direction`, up to rounding. */
function coaxial(hole: Cylinder, centre: readonly [number, number, number], direction: readonly [number, number, number]): boolean {
  const w = scaled(direction, 1 / length(direction));
  return [hole.from, hole.to].every((end) => {
    const from = sum(end, scaled(centre, -1));
    return length(sum(from, scaled(w, -dot(from, w)))) <= 1e-9 * (hole.radius + length(from));
  });
}

/** Whether two forms can share no volume, as far as can be told at once. */
function apart(a: Form, b: Form): boolean {
  const [ballA, ballB] = [cutterOf(a), cutterOf(b)];
  if (distance(ballA.centre, ballB.centre) >= ballA.radius + ballB.radius) return true;
  const planes = (form: Form) => (form.kind === 'intersection' ? form.parts.filter((part) => part.kind === 'half-space') : []);
  return planes(a).some((one) => planes(b).some((other) => length(sum(one.normal, other.normal)) < 1e-12 && one.offset <= -other.offset));
}
