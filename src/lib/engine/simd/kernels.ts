import { EngineLost } from '../engine.ts';

/** What assembly/index.ts exports. Addresses, lengths and counts are whole numbers; lengths count numbers, not bytes, unless said there. */
export interface KernelFunctions {
  heapBase(): number;
  smearParallel(sums: number, stride: number, width: number, firstRow: number, endRow: number, views: number, cells: number, cellStride: number, detectors: number, places: number): void;
  setFan(sourceToAxis: number, middle: number, detectors: number, pixelSize: number): void;
  smearFan(sums: number, stride: number, width: number, firstRow: number, endRow: number, views: number, cells: number, cellStride: number, places: number, power: number): void;
  setCone(
    sourceToAxis: number, middleColumn: number, middleRow: number, scale: number, voxelSize: number, firstX: number, firstY: number, firstZ: number,
    detectors: number, rows: number, depth: number, height: number, blend: number,
  ): void;
  smearCone(
    volume: number, stride: number, wide: number, firstColumn: number, endColumn: number, firstRow: number, endRow: number,
    views: number, turns: number, curtains: number, curtain: number, power: number,
  ): void;
  filterRows(
    source: number, sourceStride: number, count: number, cells: number, shares: number, weights: number, weightStride: number, across: number,
    target: number, rowStride: number, cellStride: number, length: number, response: number, turns: number, work: number,
  ): void;
  projectRays(pixels: number, stride: number, breadth: number, first: number, end: number, ats: number, slopes: number, count: number, sums: number): void;
  spreadRays(pixels: number, stride: number, breadth: number, first: number, end: number, ats: number, slopes: number, count: number, values: number, apart: number): void;
  gatherTransposed(source: number, sourceStride: number, width: number, height: number, target: number, targetStride: number): void;
  scatterTransposed(source: number, sourceStride: number, width: number, height: number, target: number, targetStride: number): void;
  projectColumn(
    volume: number, planeStride: number, oneStride: number, tall: number, depth: number, first: number, end: number, oneAt: number, oneSlope: number, oneCount: number,
    slice: number, source: number, rise: number, riseStep: number, firstRow: number, endRow: number, sums: number, blend: number,
  ): void;
  spreadColumn(
    volume: number, planeStride: number, oneStride: number, tall: number, depth: number, first: number, end: number, oneAt: number, oneSlope: number, oneCount: number,
    slice: number, source: number, rise: number, riseStep: number, firstRow: number, endRow: number, values: number,
  ): void;
  projectRay(
    volume: number, first: number, insideFirst: number, insideEnd: number, end: number, along: number, oneAt: number, oneSlope: number, oneStride: number, oneCount: number,
    otherAt: number, otherSlope: number, otherStride: number, otherCount: number,
  ): number;
  spreadRay(
    volume: number, first: number, insideFirst: number, insideEnd: number, end: number, along: number, oneAt: number, oneSlope: number, oneStride: number, oneCount: number,
    otherAt: number, otherSlope: number, otherStride: number, otherCount: number, value: number,
  ): void;
  toColumns(slices: number, width: number, height: number, firstSlice: number, endSlice: number, columns: number, wide: number, tall: number): void;
  fromColumns(slices: number, width: number, height: number, firstSlice: number, endSlice: number, columns: number, wide: number, tall: number): void;
}

/**
 * One instance of the kernels and its memory. A task takes the room it needs, piece after piece, and the next one begins with all of it free:
 * two tasks that take turns on one thread need an instance each.
 */
export interface Kernels {
  readonly call: KernelFunctions;
  /** Frees everything that was taken. */
  clear(): void;
  /** The address of room for so many numbers, all 0, of 4 bytes ('f32') or 8 ('f64'). Throws EngineLost where the memory does not suffice. */
  take(numbers: number, kind?: 'f32' | 'f64'): number;
  /** The numbers at an address; good until the next `take`. */
  f32(address: number, length: number): Float32Array;
  f64(address: number, length: number): Float64Array;
  /** Another instance, with a memory of its own. */
  another(): Kernels;
}

/**
 * Compiles the kernels for this thread: those with relaxed SIMD where it is to be had (and, for tests, not refused). Throws EngineLost where there is no
 * WebAssembly with SIMD.
 */
export async function loadKernels(options?: { readonly relaxed?: boolean }): Promise<Kernels> {
  return instanceOf(await compileKernels(options));
}

/** The same, to be made instances of on several threads, which then share what the machine makes of it. */
export async function compileKernels({ relaxed = true } = {}): Promise<WebAssembly.Module> {
  const { kernels, relaxedKernels } = await import('./kernels.wasm.ts');
  for (const text of relaxed ? [relaxedKernels, kernels] : [kernels]) {
    const bytes = bytesOf(text);
    if (globalThis.WebAssembly?.validate(bytes)) return WebAssembly.compile(bytes);
  }
  throw new EngineLost('WebAssembly with SIMD is not to be had here.');
}

function bytesOf(base64: string): Uint8Array<ArrayBuffer> {
  const letters = atob(base64), bytes = new Uint8Array(letters.length);
  for (let k = 0; k < bytes.length; k++) bytes[k] = letters.charCodeAt(k);
  return bytes;
}

/** Kernels with a memory of their own. */
export function instanceOf(module: WebAssembly.Module): Kernels {
  const { exports } = new WebAssembly.Instance(module);
  const call = exports as unknown as KernelFunctions;
  const memory = exports.memory as WebAssembly.Memory;
  const base = call.heapBase();
  let free = base;
  return {
    call,
    clear() { free = base; },
    take(numbers, kind = 'f32') {
      const address = free, bytes = numbers * (kind === 'f64' ? 8 : 4);
      // A line of cache to spare, because some loops look a few numbers beyond.
      free = Math.ceil((address + bytes + 64) / 64) * 64;
      const missing = Math.ceil((free - memory.buffer.byteLength) / PAGE);
      if (missing > 0) {
        try {
          memory.grow(missing);
        } catch {
          throw new EngineLost(`WebAssembly has no room for another ${Math.ceil(bytes / 1e6)} MB.`);
        }
      }
      new Uint8Array(memory.buffer, address, free - address).fill(0);
      return address;
    },
    f32: (address, length) => new Float32Array(memory.buffer, address, length),
    f64: (address, length) => new Float64Array(memory.buffer, address, length),
    another: () => instanceOf(module),
  };
}

const PAGE = 65536;
