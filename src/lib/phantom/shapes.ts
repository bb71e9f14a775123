/** A flat object with sharp edges: semi-axes a, b (mm) along its own x and y, which are turned by angle (radians, counter-clockwise). */
export interface Ellipse {
  readonly kind: 'ellipse';
  readonly x: number;
  readonly y: number;
  readonly a: number;
  readonly b: number;
  readonly angle: number;
  readonly value: number;
}

/** A round blob without edges: value · exp(−r²/2σ²), sigma in mm. */
export interface Gaussian {
  readonly kind: 'gaussian';
  readonly x: number;
  readonly y: number;
  readonly sigma: number;
  readonly value: number;
}

export type Shape = Ellipse | Gaussian;

/** Shapes on the plane; where they overlap their values (1/mm) add up, so that a hole is a shape of negative value. */
export type Phantom = readonly Shape[];

export function ellipse(x: number, y: number, a: number, b: number, angle: number, value: number): Ellipse {
  if (!(a > 0 && b > 0)) throw new RangeError(`The semi-axes of an ellipse are ${a} and ${b} mm and should be above 0.`);
  return { kind: 'ellipse', x, y, a, b, angle, value };
}

export function disc(x: number, y: number, radius: number, value: number): Ellipse {
  return ellipse(x, y, radius, radius, 0, value);
}

/** A small disc, by its diameter: what one marks a scan with. */
export function bead(x: number, y: number, diameter: number, value: number): Ellipse {
  return disc(x, y, diameter / 2, value);
}

export function gaussian(x: number, y: number, sigma: number, value: number): Gaussian {
  if (!(sigma > 0)) throw new RangeError(`The width of a Gaussian (sigma) is ${sigma} mm and should be above 0.`);
  return { kind: 'gaussian', x, y, sigma, value };
}
