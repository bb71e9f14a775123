import { expect, test } from 'vitest';
import { openEngine, plainEngine, updatesPerSecond, type Engine } from '../../src/lib/index.ts';

/** An engine that takes so many milliseconds or a little longer, whatever the task, and the sizes that it was given. A timer alone may come early. */
function taking(milliseconds: number): { engine: Engine; sizes: Set<number> } {
  const sizes = new Set<number>();
  const reconstruct = async (_shadows: unknown, _geometry: unknown, { grid }: { grid: { width: number } }) => {
    sizes.add(grid.width);
    const end = performance.now() + milliseconds;
    while (performance.now() < end) await new Promise((resolve) => setTimeout(resolve, end - performance.now()));
  };
  return { engine: { ...plainEngine(), reconstruct } as unknown as Engine, sizes };
}

test.each([
  ['slices', 2, [256, 512, 1024]],
  ['slices', 80, [256]],
  ['volumes', 2, [64, 128]],
  ['volumes', 80, [64]],
] as const)('%s that take %d ms each are timed at %j pixels an edge', async (kind, milliseconds, expected) => {
  const { engine, sizes } = taking(milliseconds);
  const speed = await updatesPerSecond(engine, kind);
  expect([...sizes], 'a quick engine is judged by what it takes to begin').toEqual(expected);
  const size = expected.at(-1)!, updates = kind === 'slices' ? size ** 2 * Math.round(0.35 * size) : size ** 3 * (size - 4);
  expect(speed).toBeLessThanOrEqual(updates / (milliseconds / 1000));
  expect(speed).toBeGreaterThan(updates / ((milliseconds + 1000) / 1000));
});

test('stopping is heard while an engine is timed', async () => {
  const engine = await openEngine('simd', { workers: 1 });
  await expect(updatesPerSecond(engine, 'slices', AbortSignal.abort(new Error('stopped by the reader')))).rejects.toThrow('stopped by the reader');
  engine.close();
});
