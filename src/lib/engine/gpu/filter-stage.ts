import { BadInput } from '../../files/bad-input.ts';
import { transformOfEven } from '../../filter/filter-response.ts';
import { detectorPosition } from '../../geometry/detector-position.ts';
import { cellOfCone, placeOfCell } from '../../project/point-in-cone.ts';
import { filterCode, finiteCode } from './filter-code.ts';
import type { Job } from './job.ts';
import type { Lines } from './lines.ts';
import { words } from './words.ts';

/** Views on the card, ready: line (view − from) · rows + row begins at `stride` times that; divided by scale they are what they should be. */
export interface ReadyLines {
  readonly buffer: GPUBuffer;
  readonly stride: number;
  readonly scale: number;
}

/**
 * Brings the views from … end − 1 to the card and weighs and filters them there. stride: numbers from one line to the next, at least the columns.
 * half: as half floats, scaled so that they keep within their range. Throws BadInput through `refuse` at the end of the job if a cell is no number.
 */
export async function readyLines(job: Job, lines: Lines, from: number, end: number, { stride, half }: { stride: number; half: boolean }): Promise<ReadyLines> {
  const { columns, rows, geometry } = lines;
  const views = end - from, count = views * rows;
  const raw = job.store.get('cells', 4 * count * columns), out = job.store.get('lines', (half ? 2 : 4) * count * stride), weights = job.store.get('weights', 4 * views * columns);
  let largest = 0;
  await job.upload(raw, piecesOf(lines, from, end, half ? (value) => { largest = Math.max(largest, value); } : undefined));
  await job.upload(weights, [weightsOf(lines, from, end)]);
  await lookForBad(job, raw, count * columns);

  const kind = { length: lines.length, leaning: lines.leaning, half };
  const pipeline = await job.pipeline(filterCode(kind));
  const bindings: GPUBuffer[] = [raw, weights, out];
  let gain = 1;
  if (lines.response) {
    bindings.push(await constant(job, 'response', () => ofRises(lines.response!)), await constant(job, 'turns', () => turnsOf(lines.length)));
    if (half) gain = transformOfEven(lines.response).reduce((sum, value) => sum + Math.abs(value), 0) / lines.length;
  }
  // 2 to spare: interpolation onto an upright detector may overshoot.
  const bound = 2 * gain * largest * weightsOf(lines, from, end).reduce((most, weight) => Math.max(most, Math.abs(weight)), 0);
  const scale = half && bound > 0 ? 2 ** Math.floor(Math.log2(LARGEST_HALF / bound)) : 1;
  const cone = geometry.beam === 'cone' ? geometry : undefined;
  const standing = cone && { ...cone, tilt: 0 };
  const corner = cone && placeOfCell(standing!, 0, 0);
  const start = cone && cellOfCone(cone, corner!.u, corner!.v);
  const tilt = cone?.tilt ?? 0;
  for (let first = 0; first < count;) {
    const done = Math.min(count, first + Math.max(2, 2 * Math.floor(job.card.pace.units('filter') / columns / 2))), pairs = Math.ceil((done - first) / 2);
    const task = words('uuuu uuff ffff ffff f', columns, rows, stride, first, done, lines.cosine ? 1 : 0, scale, cone ? cone.sourceToDetector ** 2 : 1,
      geometry.pitch, detectorPosition(geometry, 0), cone ? corner!.v : 0, Math.cos(tilt) - 1, Math.sin(tilt), start?.column ?? 0, start?.row ?? 0, Math.cos(tilt) - 1, lines.response?.[0] ?? 0);
    await job.dispatch('filter', (done - first) * columns, pipeline, [task, ...bindings], [Math.min(pairs, 32768), Math.ceil(pairs / 32768), 1]);
    first = done;
  }
  return { buffer: out, stride, scale };
}

/** Throws BadInput, found by `search` on this side, if any cell that came to the card was no number. */
export async function refuseBad(job: Job, search: () => void): Promise<void> {
  const found = new Float32Array(1);
  await job.download(job.store.get('bad', 4), [found]);
  if (found[0] === 0) return;
  search();
  throw new BadInput('The views hold something that is not a finite number; every line integral has to be one.');
}

async function lookForBad(job: Job, raw: GPUBuffer, count: number): Promise<void> {
  const bad = job.store.get('bad', 4);
  if (!job.store.once('bad')) job.copy((encoder) => encoder.clearBuffer(bad));
  const groups = Math.ceil(count / 256), across = Math.min(groups, 32768);
  await job.dispatch('filter', 0, await job.pipeline(finiteCode), [words('uu', count, across * 256), raw, bad], [across, Math.ceil(groups / across), 1]);
}

function* piecesOf(lines: Lines, from: number, end: number, hear?: (largest: number) => void) {
  for (let view = from; view < end; view++) {
    const piece = lines.piece(view);
    if (hear) {
      let largest = 0;
      for (let k = 0; k < piece.length; k++) largest = Math.max(largest, Math.abs(piece[k]));
      hear(largest);
    }
    yield piece;
  }
}

function weightsOf({ columns, weights }: Lines, from: number, end: number): Float32Array {
  const list = new Float32Array((end - from) * columns).fill(1);
  if (weights) for (let view = from; view < end; view++) list.set(weights(view), (view - from) * columns);
  return list;
}

async function constant(job: Job, name: string, numbers: () => Float32Array): Promise<GPUBuffer> {
  if (job.store.once(name)) return job.store.get(name, 0);
  const list = numbers(), buffer = job.store.get(name, 4 * list.length);
  await job.upload(buffer, [list]);
  return buffer;
}

/**
 * The response to a line's rises from cell to cell, complex, less what it gives to all frequencies alike, response[0]: (H − H₀)/(1 − e^(−iω)). In the
 * order in which the transform leaves its frequencies, with the 1/length of the way back.
 */
function ofRises(response: Float64Array): Float32Array {
  const { length } = response, bits = Math.log2(length), gains = new Float32Array(2 * length);
  for (let k = 1; k < length; k++) {
    let frequency = 0;
    for (let bit = 0; bit < bits; bit++) if (k & (1 << bit)) frequency |= 1 << (bits - 1 - bit);
    const gain = (response[frequency] - response[0]) / length, angle = (Math.PI * frequency) / length;
    gains.set([gain / 2, (-gain / 2) / Math.tan(angle)], 2 * k); // 1/(1 − e^(−2ia)) = (1 − i·cot a)/2
  }
  return gains;
}

/** e^(−2πi·k/length) for the first half, worked out in double precision: a kernel's own sine is not good to six digits. */
function turnsOf(length: number): Float32Array {
  return Float32Array.from({ length }, (_, k) => (k % 2 === 0 ? Math.cos : (angle: number) => -Math.sin(angle))((2 * Math.PI * (k >> 1)) / length));
}

/** Half of what a half float can hold. */
const LARGEST_HALF = 32768;
