/** Photographs of balls on a turntable, as a camera with every fault would take them, and the line integrals that they should give. */
import { lightToSrgb } from '../../../src/lib/photos/linearise.ts';
import { addGlare, type Glare } from '../../../src/lib/photos/glare.ts';
import type { Light } from '../../../src/lib/photos/light.ts';
import type { Photograph } from '../../../src/lib/files/photograph.ts';

/** x, y, z and radius in pixels from the axis and the middle row; value per pixel. */
export interface Ball { x: number; y: number; z: number; radius: number; value: number }

export const balls: readonly Ball[] = [
  { x: 0, y: 4, z: 0, radius: 26, value: 0.012 },
  { x: 12, y: -8, z: 6, radius: 8, value: 0.05 },
  { x: -14, y: 6, z: -9, radius: 5, value: 0.11 },
  { x: -3, y: -15, z: -2, radius: 2.5, value: 0.12 },
];

export interface Faults {
  views?: number;
  width?: number;
  height?: number;
  /** Radians from the first view to where it would come again. */
  turn?: number;
  axis?: number;
  scene?: readonly Ball[];
  encoding?: 'srgb' | 'linear';
  bits?: number;
  glare?: Glare;
  vignetting?: number;
  darkLevel?: number;
  hot?: number;
  spots?: number;
  /** Photons at full scale; 0 for no noise. */
  photons?: number;
  drift?: number;
  /** Columns that always show the same, and gains of single cells. */
  deadColumn?: number;
  gains?: number;
  exposure?: number;
}

/** Random numbers in 0…1 that are the same every time: Mulberry32, in the public domain. */
export function random(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

export function simulate(faults: Faults = {}) {
  const { views = 24, width = 96, height = 72, turn = 2 * Math.PI, axis = 1.5, scene = balls, encoding = 'srgb', bits = 8, glare, vignetting = 0.25, darkLevel = 0.004, hot = 12, spots = 6, photons = 40_000, drift = 0, deadColumn, gains = 0, exposure = 0.8 } = faults;
  const next = random(7);
  const normal = () => Math.sqrt(-2 * Math.log(1 - next())) * Math.cos(2 * Math.PI * next());
  const size = width * height;
  const hotPixels = new Map(Array.from({ length: hot }, () => [Math.floor(next() * size), 0.1 + 0.3 * next()] as const));
  const gain = Float32Array.from({ length: size }, () => 1 + gains * normal());
  /** 1 within two pixels of a spot, row 0 at the bottom. */
  const spotted = new Uint8Array(views * size);
  const full = 2 ** bits - 1;

  const exact = new Float32Array(views * size); // row 0 at the bottom
  const directions = Array.from({ length: views }, (_, view) => [Math.cos((view * turn) / views), Math.sin((view * turn) / views)]);
  const integral = (view: number, column: number, row: number) => {
    const [cos, sin] = directions[view];
    const s = column - (width - 1) / 2 - axis, z = row - (height - 1) / 2;
    let p = 0;
    for (const ball of scene) {
      const d2 = (s - ball.x * cos - ball.y * sin) ** 2 + (z - ball.z) ** 2;
      if (d2 < ball.radius ** 2) p += 2 * ball.value * Math.sqrt(ball.radius ** 2 - d2);
    }
    return p;
  };

  function photograph(kind: 'view' | 'dark' | 'flat', view: number): Photograph {
    const beam = new Float32Array(size);
    for (let row = 0, i = 0; row < height; row++) {
      for (let column = 0; column < width; column++, i++) {
        const p = kind === 'view' ? integral(view, column, height - 1 - row) : 0;
        if (kind === 'view') exact[(view * height + height - 1 - row) * width + column] = p;
        const r2 = ((column - 0.45 * width) / width) ** 2 + ((row - 0.5 * height) / width) ** 2;
        beam[i] = kind === 'dark' ? 0 : exposure * Math.exp(-p) * (1 - 4 * vignetting * r2) * (kind === 'view' ? 1 + drift * Math.sin(view) : 1);
      }
    }
    let light: Light = { width, height, data: beam };
    if (glare && kind !== 'dark') light = addGlare(light, glare);
    const data = Float32Array.from(light.data, (value, i) => {
      let seen = value * gain[i] + darkLevel + (hotPixels.get(i) ?? 0);
      if (photons > 0) seen += Math.sqrt(Math.max(0, seen) / photons) * normal();
      return seen;
    });
    for (let k = 0; k < spots; k++) {
      const at = Math.floor(next() * size);
      data[at] += 0.5;
      if (kind !== 'view') continue;
      const column = at % width, row = height - 1 - Math.floor(at / width);
      for (let y = Math.max(0, row - 2); y <= Math.min(height - 1, row + 2); y++) spotted.fill(1, view * size + y * width + Math.max(0, column - 2), view * size + y * width + Math.min(width, column + 3));
    }
    if (deadColumn !== undefined) for (let row = 0; row < height; row++) data[row * width + deadColumn] = 0.3;
    let saturated = 0;
    for (let i = 0; i < size; i++) {
      const held = Math.min(1, Math.max(0, data[i]));
      const stored = Math.round((encoding === 'srgb' ? lightToSrgb(held) : held) * full);
      if (stored >= full) saturated++;
      data[i] = stored / full;
    }
    return { width, height, data, bits, saturated, encoding };
  }

  const list = (kind: 'view' | 'dark' | 'flat', count: number) => Array.from({ length: count }, (_, k) => photograph(kind, k));
  const frames = { views: list('view', views), dark: list('dark', 4), flat: list('flat', 4) };
  /** Pixels without a spot within two pixels: where the result is to be judged. */
  const clean = (view: number, i: number) => spotted[view * size + i] === 0;
  return { frames, exact, views, width, height, size, clean };
}

/** Root mean square and mean of result − exact, over the pixels that `use` allows. */
export function errorOf(result: Float32Array, exact: Float32Array, size: number, use: (view: number, i: number) => boolean = () => true): { rms: number; bias: number; most: number } {
  let sum = 0, squares = 0, count = 0, most = 0;
  for (let k = 0; k < result.length; k++) {
    if (!use(Math.floor(k / size), k % size)) continue;
    const d = result[k] - exact[k];
    sum += d;
    squares += d * d;
    most = Math.max(most, Math.abs(d));
    count++;
  }
  return { rms: Math.sqrt(squares / count), bias: sum / count, most };
}
