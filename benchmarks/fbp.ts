/**
 * node benchmarks/fbp.ts: a parallel-beam fbp of 512² from 360 views, filter included, by the plain engine and by scikit-image's
 * iradon in the same run. Both do the whole square of pixels; iradon then blanks the corners.
 */
import { execFile } from 'node:child_process';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { fbp, parallelBeam, type Sinogram } from '../src/lib/index.ts';

export interface FbpBenchmark {
  readonly name: string;
  /** Medians, ms. peer is null where scikit-image is not installed. */
  readonly ours: number;
  readonly peer: number | null;
  /** How many times as fast as the peer we are. */
  readonly ratio: number | null;
  readonly unit: 'ms';
  /** Pixels times views in a second, ours and the peer's. */
  readonly updatesPerSecond: number;
  readonly peerUpdatesPerSecond: number | null;
  readonly note: string;
}

const size = 512, views = 360, rounds = 3, runsInRound = 3;

export async function benchmarkFbp(): Promise<FbpBenchmark> {
  const times: number[] = [], peerTimes: number[] = [];
  let version: string | undefined;
  for (let round = 0; round < rounds; round++) { // by turns, so that a change in the machine's load touches both alike
    times.push(...timeOurs());
    const peer = await timePeer();
    version = peer?.version;
    peerTimes.push(...(peer?.milliseconds ?? []));
  }
  const ours = median(times);
  const peer = peerTimes.length > 0 ? median(peerTimes) : null;
  const updates = (milliseconds: number) => (size * size * views) / (milliseconds / 1000);
  const spread = `ours from ${Math.round(Math.min(...times))} to ${Math.round(Math.max(...times))} ms in ${times.length} runs`;
  return {
    name: `parallel fbp, ${size}² from ${views} views`, unit: 'ms', ours, updatesPerSecond: updates(ours),
    peer, ratio: peer && peer / ours, peerUpdatesPerSecond: peer && updates(peer),
    note: version ? `scikit-image ${version}, iradon, median of ${peerTimes.length}; ${spread}`
      : `scikit-image is not installed (Debian: python3-skimage), so there is nothing to compare with; ${spread}`,
  };
}

function timeOurs(): number[] {
  const geometry = parallelBeam({ views, detectors: size, pitch: 1 });
  const sinogram: Sinogram = { views, detectors: size, data: Float32Array.from({ length: views * size }, noise(1)) };
  const grid = { width: size, height: size, pixelSize: 1 };
  fbp(sinogram, geometry, { window: 'ramp', grid }); // the compiler's turn
  return Array.from({ length: runsInRound }, () => {
    const start = performance.now();
    fbp(sinogram, geometry, { window: 'ramp', grid });
    return performance.now() - start;
  });
}

async function timePeer(): Promise<{ version: string; milliseconds: number[] } | undefined> {
  const script = join(import.meta.dirname, 'iradon.py');
  for (const python of ['/usr/bin/python3', 'python3']) {
    try {
      const { stdout } = await promisify(execFile)(python, [script, String(size), String(views), '1']);
      return JSON.parse(stdout) as { version: string; milliseconds: number[] };
    } catch {
      continue; // no such Python, or none with scikit-image
    }
  }
  return undefined;
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return (sorted[(sorted.length - 1) >> 1] + sorted[sorted.length >> 1]) / 2;
}

/** Numbers from 0 to 1 from a seed (Park and Miller). */
function noise(seed: number): () => number {
  let state = seed;
  return () => (state = (state * 48271) % 2147483647) / 2147483647;
}

if (import.meta.main) {
  const { name, ours, peer, ratio, updatesPerSecond, peerUpdatesPerSecond, note } = await benchmarkFbp();
  const giga = (rate: number) => `${(rate / 1e9).toFixed(3)} G updates/s`;
  console.log(`${name}: ${ours.toFixed(0)} ms, ${giga(updatesPerSecond)}`);
  if (peer && ratio && peerUpdatesPerSecond) console.log(`iradon: ${peer.toFixed(0)} ms, ${giga(peerUpdatesPerSecond)}; we are ${ratio.toFixed(1)} times as fast`);
  console.log(note);
}
