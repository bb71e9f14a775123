import type { Phantom, Shape } from './shapes.ts';

/** The phantom's value at a point, 1/mm: the sum of the shapes there. The edge of an ellipse belongs to it. */
export function valueAt(phantom: Phantom, x: number, y: number): number {
  return phantom.reduce((sum, shape) => sum + shapeValueAt(shape, x, y), 0);
}

function shapeValueAt(shape: Shape, x: number, y: number): number {
  const dx = x - shape.x;
  const dy = y - shape.y;
  if (shape.kind === 'gaussian') return shape.value * Math.exp(-(dx * dx + dy * dy) / (2 * shape.sigma * shape.sigma));
  const u = (dx * Math.cos(shape.angle) + dy * Math.sin(shape.angle)) / shape.a;
  const v = (dy * Math.cos(shape.angle) - dx * Math.sin(shape.angle)) / shape.b;
  return u * u + v * v <= 1 ? shape.value : 0;
}
