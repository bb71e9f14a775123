import { createHash, type Hash } from 'node:crypto';
import type { ConeBeam, Scan } from '../lib/index.ts';
import { readFully, withFile } from './frame-rows.ts';

/** Bytes looked at, at the beginning, in the middle and at the end of a file of numbers; reading all of it would take longer than the slab. */
const look = 2 ** 16;

/**
 * What tells one scan, reconstructed in one way, from another: SHA-256, in hexadecimal, over
 *   the beam, the detector, the angles, the turn and the reconstruction as the scan file has them, keys in alphabetical order
 *   the axis, of a scan in which it was looked for
 *   of each file of frames: its length and 64 kB of it at the beginning, in the middle and at the end
 * Not over names, titles and folders, nor over what made it: a copy elsewhere, made there by another engine, is of the same scan.
 */
export function fingerprint({ beam, detector, angles, turn, frames, reconstruction }: Scan, axis: Pick<ConeBeam, 'axisOffset' | 'tilt'>, paths: readonly string[]): string {
  const hash = createHash('sha256');
  const { kind, ...how } = frames;
  const said = kind === 'photographs' ? { ...how, files: undefined, dark: undefined, flat: undefined } : {};
  hash.update(JSON.stringify({ beam, detector, angles, turn: turn ?? 'counterclockwise', frames: { kind, ...said }, reconstruction, axis }, inOrder));
  for (const path of paths) withFile(path, (file, bytes) => addFile(hash, file, bytes));
  return hash.digest('hex');
}

function addFile(hash: Hash, file: number, bytes: number): void {
  hash.update(`\0${bytes}\0`);
  for (const at of [0, Math.floor((bytes - look) / 2), bytes - look]) {
    const from = Math.max(0, at);
    const some = new Uint8Array(Math.min(look, bytes - from));
    readFully(file, some, from);
    hash.update(some);
  }
}

/** Keys of objects in alphabetical order, for JSON.stringify. */
function inOrder(_: string, value: unknown): unknown {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return value;
  return Object.fromEntries(Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1)));
}
