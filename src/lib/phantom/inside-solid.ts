import { distance, dot, frameOf, scaled, sum, type Form, type Vector } from './solids.ts';

/** Whether a point (mm) lies in a form; its surface belongs to it. */
export function insideSolid(form: Form, point: Vector): boolean {
  switch (form.kind) {
    case 'ellipsoid': {
      const own = ownCoordinates(form.centre, frameOf(form), point);
      return own.reduce((total, x, i) => total + (x / form.semiAxes[i]) ** 2, 0) <= 1;
    }
    case 'box':
      return ownCoordinates(form.centre, frameOf(form), point).every((x, i) => Math.abs(x) <= form.size[i] / 2);
    case 'prism': {
      const [x, y, z] = ownCoordinates(form.centre, frameOf(form), point);
      if (Math.abs(z) > form.height / 2) return false;
      for (let k = 0; k < form.sides; k++) {
        const angle = (2 * Math.PI * k) / form.sides;
        if (x * Math.cos(angle) + y * Math.sin(angle) > form.acrossFlats / 2) return false;
      }
      return true;
    }
    case 'cylinder':
    case 'cone': {
      const [radiusFrom, radiusTo] = form.kind === 'cone' ? [form.radiusFrom, form.radiusTo] : [form.radius, form.radius];
      const { along, away } = fromLine(form.from, form.to, point);
      return along >= 0 && along <= 1 && away <= radiusFrom + (radiusTo - radiusFrom) * along;
    }
    case 'rod': {
      const { along } = fromLine(form.from, form.to, point);
      const nearest = Math.min(1, Math.max(0, along));
      return distance(point, sum(scaled(form.from, 1 - nearest), scaled(form.to, nearest))) <= form.radius;
    }
    case 'half-space':
      return dot(form.normal, point) <= form.offset;
    case 'union':
      return form.parts.some((part) => insideSolid(part, point));
    case 'intersection':
      return form.parts.every((part) => insideSolid(part, point));
    case 'difference':
      return insideSolid(form.from, point) && !form.without.some((part) => insideSolid(part, point));
  }
}

/** Which solid of a list has a point: the last that holds it; −1 for none. */
export function solidAt(solids: readonly Form[], point: Vector): number {
  return solids.findLastIndex((solid) => insideSolid(solid, point));
}

function ownCoordinates(centre: Vector, frame: readonly Vector[], point: Vector): number[] {
  const from = sum(point, scaled(centre, -1));
  return frame.map((own) => dot(own, from));
}

/** Where on the line from…to (0…1 between them) the point is level, and how far from the line it lies. */
function fromLine(from: Vector, to: Vector, point: Vector): { along: number; away: number } {
  const line = sum(to, scaled(from, -1));
  const start = sum(point, scaled(from, -1));
  const along = dot(start, line) / dot(line, line);
  return { along, away: distance(start, scaled(line, along)) };
}
