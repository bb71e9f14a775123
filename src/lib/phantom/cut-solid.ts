import { intersect, subtract, unite } from './intervals.ts';
import { distance, dot, frameOf, length, scaled, sum, type Form, type Vector } from './solids.ts';

/** A form made ready for many rays. */
export interface Cutter {
  /** No ray is inside it more often than this. */
  readonly most: number;
  /** A ball that holds it; its radius is Infinity for what has no end. */
  readonly centre: Vector;
  readonly radius: number;
  /**
   * Where the line origin + t·direction is inside: pairs of t, rising, written to out (2·most numbers of room); returns how many
   * numbers. ray: origin and direction, six numbers, the direction of length 1. Stretches behind the origin (t < 0) count here too.
   */
  readonly cut: (ray: Float64Array, out: Float64Array) => number;
}

/**
 * Makes a form ready. Every simple form is convex, so that a line is inside it for one stretch, found from a quadratic or from
 * planes; the others combine the stretches of their parts. Exact up to rounding, about 10⁻¹² of the distance to the origin.
 */
export function cutterOf(form: Form): Cutter {
  let cutter = ready.get(form);
  if (!cutter) ready.set(form, (cutter = makeCutter(form)));
  return cutter;
}

/** Forms met before: a spring has hundreds of parts, and may be asked for one chord at a time. */
const ready = new WeakMap<Form, Cutter>();

function makeCutter(form: Form): Cutter {
  switch (form.kind) {
    case 'ellipsoid': return ellipsoidCutter(form.centre, frameOf(form).map((own, i) => scaled(own, 1 / form.semiAxes[i])), Math.max(...form.semiAxes));
    case 'cylinder': return coneCutter(form.from, form.to, form.radius, form.radius);
    case 'cone': return coneCutter(form.from, form.to, form.radiusFrom, form.radiusTo);
    case 'rod': return rodCutter(form.from, form.to, form.radius);
    case 'box': {
      const half = scaled(form.size, 0.5);
      const planes = frameOf(form).flatMap((own, i) => [facing(form.centre, own, half[i]), facing(form.centre, scaled(own, -1), half[i])]);
      return planesCutter(planes, form.centre, length(half));
    }
    case 'prism': {
      const [u, v, w] = frameOf(form);
      const inner = form.acrossFlats / 2;
      const flats = Array.from({ length: form.sides }, (_, k) => {
        const angle = (2 * Math.PI * k) / form.sides;
        return facing(form.centre, sum(scaled(u, Math.cos(angle)), scaled(v, Math.sin(angle))), inner);
      });
      const ends = [w, scaled(w, -1)].map((end) => facing(form.centre, end, form.height / 2));
      return planesCutter([...flats, ...ends], form.centre, Math.hypot(inner / Math.cos(Math.PI / form.sides), form.height / 2));
    }
    case 'half-space': return planesCutter([form], [0, 0, 0], Infinity);
    case 'union': return unionCutter(form.parts.map(cutterOf));
    case 'intersection': return intersectionCutter(form.parts.map(cutterOf));
    case 'difference': return differenceCutter(cutterOf(form.from), unionCutter(form.without.map(cutterOf)));
  }
}

/** A ray that leans less than this against a plane runs along it. */
const level = 1e-15;

/** Whether the line of the ray passes a ball by, with room for rounding. */
export function misses(ray: Float64Array, [x, y, z]: Vector, radius: number): boolean {
  const px = ray[0] - x;
  const py = ray[1] - y;
  const pz = ray[2] - z;
  const along = px * ray[3] + py * ray[4] + pz * ray[5];
  return px * px + py * py + pz * pz - along * along > radius * radius * (1 + 1e-9);
}

/** Through `rows` an ellipsoid becomes the unit ball, about whose middle the line passes at `apart`² < 1 or not at all. */
function ellipsoidCutter(centre: Vector, rows: readonly Vector[], radius: number): Cutter {
  const [cx, cy, cz] = centre;
  const m = Float64Array.from(rows.flat());
  return {
    most: 1, centre, radius,
    cut(ray, out) {
      let dd = 0;
      let pd = 0;
      for (let i = 0; i < 9; i += 3) {
        const p = m[i] * (ray[0] - cx) + m[i + 1] * (ray[1] - cy) + m[i + 2] * (ray[2] - cz);
        const d = m[i] * ray[3] + m[i + 1] * ray[4] + m[i + 2] * ray[5];
        dd += d * d;
        pd += p * d;
      }
      const middle = -pd / dd;
      let apart = 0; // from the point nearest the middle, and not as a difference of large squares
      for (let i = 0; i < 9; i += 3) {
        const q = m[i] * (ray[0] - cx + middle * ray[3]) + m[i + 1] * (ray[1] - cy + middle * ray[4]) + m[i + 2] * (ray[2] - cz + middle * ray[5]);
        apart += q * q;
      }
      if (!(apart < 1)) return 0;
      const half = Math.sqrt((1 - apart) / dd);
      out[0] = middle - half;
      out[1] = middle + half;
      return 2;
    },
  };
}

/**
 * A cylinder or a capped cone. With h the height above `from` along the axis and q the part of p square to it, a point is inside
 * where 0 ≤ h ≤ H and |q|² ≤ (r₀ + k·h)²: a stretch between two planes, cut by a quadratic A·t² + 2B·t + C ≤ 0.
 */
function coneCutter(from: Vector, to: Vector, radiusFrom: number, radiusTo: number): Cutter {
  const height = distance(from, to);
  const [wx, wy, wz] = scaled(sum(to, scaled(from, -1)), 1 / height);
  const slope = (radiusTo - radiusFrom) / height;
  const centre = scaled(sum(from, to), 0.5);
  return {
    most: 1, centre, radius: Math.hypot(height / 2, Math.max(radiusFrom, radiusTo)),
    cut(ray, out) {
      const dx = ray[3];
      const dy = ray[4];
      const dz = ray[5];
      // t counted from the point of the line nearest the form's middle, so that the numbers stay small
      const shift = (centre[0] - ray[0]) * dx + (centre[1] - ray[1]) * dy + (centre[2] - ray[2]) * dz;
      const px = ray[0] + shift * dx - from[0];
      const py = ray[1] + shift * dy - from[1];
      const pz = ray[2] + shift * dz - from[2];
      const h = px * wx + py * wy + pz * wz;
      const climb = dx * wx + dy * wy + dz * wz;
      let t0 = -Infinity;
      let t1 = Infinity;
      if (Math.abs(climb) > level) {
        const a = -h / climb;
        const b = (height - h) / climb;
        t0 = Math.min(a, b);
        t1 = Math.max(a, b);
      } else if (h < 0 || h > height) return 0;
      const qx = px - h * wx;
      const qy = py - h * wy;
      const qz = pz - h * wz;
      const ex = dx - climb * wx;
      const ey = dy - climb * wy;
      const ez = dz - climb * wz;
      const r = radiusFrom + slope * h;
      const widening = slope * climb;
      const A = ex * ex + ey * ey + ez * ez - widening * widening;
      const B = qx * ex + qy * ey + qz * ez - r * widening;
      const C = qx * qx + qy * qy + qz * qz - r * r;
      const under = B * B - A * C;
      if (Math.abs(A) < 1e-14) {
        // along a line of the cone's own surface, or along the axis of a cylinder
        if (Math.abs(B) < 1e-14) {
          if (C > 0) return 0;
        } else if (B > 0) t1 = Math.min(t1, -C / (2 * B));
        else t0 = Math.max(t0, -C / (2 * B));
      } else if (A > 0) {
        if (!(under > 0)) return 0;
        const root = Math.sqrt(under);
        t0 = Math.max(t0, (-B - root) / A);
        t1 = Math.min(t1, (-B + root) / A);
      } else if (under > 0) {
        // steeper than the cone: outside between the roots, and the two planes leave one of the two stretches beyond them
        const root = Math.sqrt(under);
        const near = Math.min(t1, (-B + root) / A);
        const far = Math.max(t0, (-B - root) / A);
        if (near - t0 > t1 - far) t1 = near;
        else t0 = far;
      }
      if (!(t1 > t0)) return 0;
      out[0] = t0 + shift;
      out[1] = t1 + shift;
      return 2;
    },
  };
}

/** Two balls and a cylinder that make one convex whole: from where the first begins to where the last ends. */
function rodCutter(from: Vector, to: Vector, radius: number): Cutter {
  const identity = [[1 / radius, 0, 0], [0, 1 / radius, 0], [0, 0, 1 / radius]] as const;
  const pieces = [ellipsoidCutter(from, identity, radius), ellipsoidCutter(to, identity, radius), coneCutter(from, to, radius, radius)];
  const centre = scaled(sum(from, to), 0.5);
  const reach = distance(from, to) / 2 + radius;
  return {
    most: 1, centre, radius: reach,
    cut(ray, out) {
      if (misses(ray, centre, reach)) return 0;
      let t0 = Infinity;
      let t1 = -Infinity;
      for (const piece of pieces) {
        if (piece.cut(ray, out) === 0) continue;
        t0 = Math.min(t0, out[0]);
        t1 = Math.max(t1, out[1]);
      }
      if (!(t1 > t0)) return 0;
      out[0] = t0;
      out[1] = t1;
      return 2;
    },
  };
}

interface Plane { readonly normal: Vector; readonly offset: number }

const facing = (centre: Vector, normal: Vector, out: number): Plane => ({ normal, offset: dot(normal, centre) + out });

/** The points on the inner side of every plane. */
function planesCutter(planes: readonly Plane[], centre: Vector, radius: number): Cutter {
  const numbers = Float64Array.from(planes.flatMap(({ normal, offset }) => [...normal, offset]));
  return {
    most: 1, centre, radius,
    cut(ray, out) {
      let t0 = -Infinity;
      let t1 = Infinity;
      for (let i = 0; i < numbers.length; i += 4) {
        const nx = numbers[i];
        const ny = numbers[i + 1];
        const nz = numbers[i + 2];
        const inward = numbers[i + 3] - (nx * ray[0] + ny * ray[1] + nz * ray[2]);
        const speed = nx * ray[3] + ny * ray[4] + nz * ray[5];
        if (speed > level) t1 = Math.min(t1, inward / speed);
        else if (speed < -level) t0 = Math.max(t0, inward / speed);
        else if (inward < 0) return 0;
      }
      if (!(t1 > t0)) return 0;
      out[0] = t0;
      out[1] = t1;
      return 2;
    },
  };
}

function unionCutter(parts: readonly Cutter[]): Cutter {
  const most = parts.reduce((total, part) => total + part.most, 0);
  const [mine, next, merged] = Array.from({ length: 3 }, () => new Float64Array(2 * Math.max(1, most)));
  const { centre, radius } = holding(parts);
  return {
    most, centre, radius,
    cut(ray, out) {
      if (misses(ray, centre, radius)) return 0;
      let n = 0;
      for (const part of parts) {
        const found = part.cut(ray, next);
        if (found === 0) continue;
        n = unite(mine, n, next, found, merged);
        copy(merged, n, mine);
      }
      copy(mine, n, out);
      return n;
    },
  };
}

function intersectionCutter(parts: readonly Cutter[]): Cutter {
  const most = Math.max(1, parts.reduce((total, part) => total + part.most, 0));
  const [mine, next] = Array.from({ length: 2 }, () => new Float64Array(2 * most));
  const smallest = parts.reduce((least, part) => (part.radius < least.radius ? part : least));
  return {
    most, centre: smallest.centre, radius: smallest.radius,
    cut(ray, out) {
      let n = parts[0].cut(ray, out);
      for (let k = 1; k < parts.length && n > 0; k++) {
        copy(out, n, mine);
        n = intersect(mine, n, next, parts[k].cut(ray, next), out);
      }
      return n;
    },
  };
}

function differenceCutter(from: Cutter, without: Cutter): Cutter {
  const most = from.most + without.most;
  const [mine, gone] = Array.from({ length: 2 }, () => new Float64Array(2 * most));
  return {
    most, centre: from.centre, radius: from.radius,
    cut(ray, out) {
      const n = from.cut(ray, mine);
      return n === 0 ? 0 : subtract(mine, n, gone, without.cut(ray, gone), out);
    },
  };
}

function copy(from: Float64Array, n: number, to: Float64Array): void {
  for (let i = 0; i < n; i++) to[i] = from[i];
}

/** A ball that holds those of all the parts. */
function holding(parts: readonly Cutter[]): { centre: Vector; radius: number } {
  if (parts.length === 0) return { centre: [0, 0, 0], radius: 0 };
  if (parts.some((part) => part.radius === Infinity)) return { centre: [0, 0, 0], radius: Infinity };
  const middle = (axis: 0 | 1 | 2) => (Math.min(...parts.map((part) => part.centre[axis] - part.radius)) + Math.max(...parts.map((part) => part.centre[axis] + part.radius))) / 2;
  const centre: Vector = [middle(0), middle(1), middle(2)];
  return { centre, radius: Math.max(...parts.map((part) => distance(part.centre, centre) + part.radius)) };
}
