import type { Phantom, Shape } from './shapes.ts';

/** ∫∫ f dx dy, mm: what every parallel projection of the phantom adds up to. Ellipse: π·a·b·value; Gaussian: 2πσ²·value. */
export function mass(phantom: Phantom): number {
  return phantom.reduce((sum, shape) => sum + shapeMass(shape), 0);
}

/** ∫∫ (x, y) f dx dy / mass, mm: the point whose shadow is every projection's centre of mass. NaN for a mass of 0. */
export function centreOfMass(phantom: Phantom): [x: number, y: number] {
  const whole = mass(phantom);
  const x = phantom.reduce((sum, shape) => sum + shape.x * shapeMass(shape), 0);
  const y = phantom.reduce((sum, shape) => sum + shape.y * shapeMass(shape), 0);
  return [x / whole, y / whole];
}

function shapeMass(shape: Shape): number {
  return shape.value * (shape.kind === 'ellipse' ? Math.PI * shape.a * shape.b : 2 * Math.PI * shape.sigma * shape.sigma);
}
