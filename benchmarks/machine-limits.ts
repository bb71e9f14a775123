/** What the machine can do at best, one core: copying memory, and multiplying and adding floats in WebAssembly. */
import { multiplyAddModule, operationsInRound } from './multiply-add.ts';

export interface MachineLimits {
  /** Bytes read plus bytes written in a second, by copying what no cache holds. */
  readonly bandwidth: number;
  /** Float operations in a second, vectors of four, multiplications and additions by turns. */
  readonly operations: number;
}

export async function machineLimits(): Promise<MachineLimits> {
  return { bandwidth: bandwidth(), operations: await operations() };
}

function bandwidth(): number {
  const from = new Float64Array(2 ** 24).fill(1), to = new Float64Array(2 ** 24).fill(2); // 128 MB each
  return (2 * from.byteLength) / bestOf(7, () => to.set(from));
}

async function operations(): Promise<number> {
  const { instance } = await WebAssembly.instantiate(multiplyAddModule());
  const work = instance.exports.f as (rounds: number) => number;
  const rounds = 2e7;
  work(rounds);
  return (rounds * operationsInRound) / bestOf(5, () => work(rounds));
}

/** Seconds of the quickest of several runs. */
function bestOf(runs: number, act: () => unknown): number {
  let least = Infinity;
  for (let k = 0; k < runs; k++) {
    const began = performance.now();
    act();
    least = Math.min(least, (performance.now() - began) / 1000);
  }
  return least;
}

if (import.meta.main) console.log(JSON.stringify(await machineLimits()));
