import { cameraFrame, type Camera, type Image, type Mesh, type Point3 } from '../../lib/index.ts';

/**
 * A closed mesh as a picture, brightness 0…1 on black: triangles that face the eye, each in one tone by Lambert's cosine, the nearest
 * in each pixel. Orthographic: of the eye only its direction counts. No smoothing over the edges: what shows is the mesh as it is.
 */
export function shaded({ positions, triangles }: Mesh, camera: Camera): Image {
  const { width, height, field, target } = camera;
  const pixelSize = field / height;
  const { right, up, forward } = cameraFrame(camera);
  const light = unit([0, 1, 2].map((k) => -forward[k] + 0.55 * up[k] - 0.45 * right[k]) as unknown as Point3);
  const count = positions.length / 3;
  const x = new Float32Array(count), y = new Float32Array(count), deep = new Float32Array(count);
  for (let i = 0; i < count; i++) {
    const a = positions[3 * i] - target[0], b = positions[3 * i + 1] - target[1], c = positions[3 * i + 2] - target[2];
    x[i] = (a * right[0] + b * right[1] + c * right[2]) / pixelSize + (width - 1) / 2;
    y[i] = (height - 1) / 2 - (a * up[0] + b * up[1] + c * up[2]) / pixelSize;
    deep[i] = a * forward[0] + b * forward[1] + c * forward[2];
  }
  const data = new Float32Array(width * height);
  const nearest = new Float32Array(width * height).fill(Infinity);
  for (let t = 0; t < triangles.length; t += 3) {
    const i = triangles[t], j = triangles[t + 1], k = triangles[t + 2];
    // Twice the area in the picture, where y runs down: below 0 is counter-clockwise, which faces the eye.
    const area = (x[j] - x[i]) * (y[k] - y[i]) - (x[k] - x[i]) * (y[j] - y[i]);
    if (area >= 0) continue;
    const tone = 0.1 + 0.9 * Math.max(0, dot(normal(positions, i, j, k), light));
    const left = Math.max(0, Math.ceil(Math.min(x[i], x[j], x[k]))), last = Math.min(width - 1, Math.floor(Math.max(x[i], x[j], x[k])));
    const top = Math.max(0, Math.ceil(Math.min(y[i], y[j], y[k]))), bottom = Math.min(height - 1, Math.floor(Math.max(y[i], y[j], y[k])));
    for (let row = top; row <= bottom; row++) {
      for (let column = left; column <= last; column++) {
        // The three shares of the triangle's area that a point inside it splits it into; all of one sign.
        const a = ((x[j] - column) * (y[k] - row) - (x[k] - column) * (y[j] - row)) / area;
        const b = ((x[k] - column) * (y[i] - row) - (x[i] - column) * (y[k] - row)) / area;
        const c = 1 - a - b;
        if (a < 0 || b < 0 || c < 0) continue;
        const depth = a * deep[i] + b * deep[j] + c * deep[k];
        const at = row * width + column;
        if (depth >= nearest[at]) continue;
        nearest[at] = depth;
        data[at] = tone;
      }
    }
  }
  return { width, height, pixelSize, data };
}

const dot = (a: Point3, b: Point3) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

function unit(a: Point3): Point3 {
  const length = Math.sqrt(dot(a, a)) || 1;
  return [a[0] / length, a[1] / length, a[2] / length];
}

function normal(p: Float32Array, i: number, j: number, k: number): Point3 {
  const ux = p[3 * j] - p[3 * i], uy = p[3 * j + 1] - p[3 * i + 1], uz = p[3 * j + 2] - p[3 * i + 2];
  const vx = p[3 * k] - p[3 * i], vy = p[3 * k + 1] - p[3 * i + 1], vz = p[3 * k + 2] - p[3 * i + 2];
  return unit([uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx]);
}
