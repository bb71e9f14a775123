/** Plate 11.2: the picture and the marked ray are the same sum, and what is said of them is so. */
import { describe, expect, it } from 'vitest';
import { cameraFrame, chord, finish, pathLengths, type Point3, type Steps } from '../../src/lib/index.ts';
import { middle, solids } from '../../src/widgets/any-cut/capsule-volume.ts';
import { cameraFor, lookThrough, transferFor, type LookResult, type LookState } from '../../src/widgets/look-through/model.ts';

const show = (change: Partial<LookState> = {}) => finish(lookThrough.compute({ ...lookThrough.initial, ...change }, undefined as never) as Steps<LookResult>);
const words = (change: Partial<LookState> = {}) => lookThrough.describe({ ...lookThrough.initial, ...change }, show(change), undefined as never);
/** The picture's value at the pixel that holds the mark, and the middle of that pixel. */
function pixelAt({ picture }: LookResult, x: number, y: number) {
  const { width, height, pixelSize, data } = picture;
  const column = Math.round(x / pixelSize + (width - 1) / 2), row = Math.round((height - 1) / 2 - y / pixelSize);
  return { value: data[row * width + column], x: (column - (width - 1) / 2) * pixelSize, y: ((height - 1) / 2 - row) * pixelSize };
}

describe('the marked ray', () => {
  it.each([[0, -14], [9, 2], [-12, 10]])('gathers what its pixel shows, at %d, %d', (x, y) => {
    // Steps of 0.7 voxels in the picture and 0.5 on the ray may miss the peak of a wall as thin as the vial's by different amounts; sums do not mind.
    for (const shows of x === -12 ? (['integral'] as const) : (['maximum', 'integral'] as const)) {
      for (const projection of ['orthographic', 'perspective'] as const) {
        const on = pixelAt(show({ shows, projection, turn: 40 }), x, y);
        const { ray } = show({ shows, projection, turn: 40, x: on.x, y: on.y });
        const end = ray.gathered.at(-1)!;
        expect(Math.abs(end - on.value), `${shows}, ${projection}: the ray says ${end}, the picture ${on.value}`).toBeLessThan(0.03 * end + 1e-6);
      }
    }
  });
  it('hides as the picture does', () => {
    const result = show({ turn: 40, threshold: 0.01, ramp: 0.08, opacity: 0.3 });
    const on = pixelAt(result, 9, 2);
    const { ray } = show({ turn: 40, threshold: 0.01, ramp: 0.08, opacity: 0.3, x: on.x, y: on.y });
    const { width, height, pixelSize, opacity } = result.picture;
    const at = Math.round((height - 1) / 2 - on.y / pixelSize) * width + Math.round(on.x / pixelSize + (width - 1) / 2);
    expect(Math.abs(1 - ray.left.at(-1)! - opacity[at])).toBeLessThan(0.03);
  });
  it('has the line integral of the exact solids along it, but for the voxels', () => {
    const state = { shows: 'integral', turn: 40, x: 0, y: -14 } as const;
    const camera = cameraFor({ ...lookThrough.initial, ...state });
    const { right, up, forward } = cameraFrame(camera);
    const start = middle.map((value, k) => value + state.x * right[k] + state.y * up[k] - 100 * forward[k]) as unknown as Point3;
    const shellAndNut = pathLengths(solids, start, forward);
    const exact = solids.reduce((sum, { name }, i) => sum + shellAndNut[i] * ({ shell: 0.0183, nut: 0.07498, marble: 0.0691, bead: 0.0096, vial: 0.0539, oil: 0.01714 }[name!] ?? 0), 0); // 60 keV, NISTIR 5632
    const { ray } = show(state);
    expect(Math.abs(ray.gathered.at(-1)! / exact - 1), `${ray.gathered.at(-1)} against ${exact}`).toBeLessThan(0.03);
    expect(chord(solids[0], start, forward)).toBeGreaterThan(0);
  });
  it('meets nothing before the clip plane', () => {
    const { ray } = show({ clip: 5 });
    ray.depth.forEach((depth, i) => depth < 5 && expect(ray.value[i]).toBe(0));
    expect(Math.max(...ray.value)).toBeGreaterThan(0);
  });
});

describe('the picture', () => {
  it('turns with the capsule: from the other side, with rays side by side, a line integral is the same, mirrored', () => {
    const [front, back] = [show({ shows: 'integral', turn: 20, tilt: 0 }).picture, show({ shows: 'integral', turn: -160, tilt: 0 }).picture];
    let most = 0;
    for (let row = 0; row < front.height; row++) for (let column = 0; column < front.width; column++) {
      most = Math.max(most, Math.abs(front.data[row * front.width + column] - back.data[row * front.width + front.width - 1 - column]));
    }
    expect(most).toBeLessThan(0.01 * Math.max(...front.data));
  });
  it('draws what is nearer to the eye larger in perspective alone', () => {
    const far = cameraFor({ projection: 'perspective', turn: 0, tilt: 0 });
    expect(Math.hypot(...far.eye.map((value, k) => value - middle[k]))).toBeCloseTo(160, 9);
  });
  it('gets a transfer function with rising values, whatever the sliders say', () => {
    for (const threshold of [0.002, 0.04, 0.1]) for (const ramp of [0.002, 0.06, 0.098, 0.1]) {
      const transfer = transferFor({ shows: 'opacity', threshold, ramp, opacity: 1 });
      const values = transfer.kind === 'opacity' ? transfer.points.map(({ value }) => value) : [];
      expect(values.length).toBeGreaterThanOrEqual(2);
      values.slice(1).forEach((value, k) => expect(value).toBeGreaterThan(values[k]));
    }
  });
  it('of a threshold above all of the capsule but steel, shows the spring and little else', () => {
    const lit = (change: Partial<LookState>) => show(change).picture.opacity.filter((value) => value > 0.05).length;
    const [all, steel] = [lit({}), lit({ threshold: 0.1, ramp: 0.02 })];
    expect(steel).toBeGreaterThan(0);
    expect(steel).toBeLessThan(all / 10);
  });
});

describe('its words', () => {
  it('tell the settings and the marked ray', () => {
    expect(words()).toMatch(/turned by 30° and seen from 20° above the horizon, with rays side by side\. Opacity begins at 0\.01\/mm/);
    expect(words({ shows: 'maximum' })).toContain('meets at most 0.0750/mm');
    expect(words({ shows: 'integral', x: 39, y: 39 })).toContain('line integral of 0.00');
    expect(words({ clip: 0, tilt: -20 })).toContain('20° below the horizon, with rays side by side; what lies before 0 mm is cut away');
  });
});
