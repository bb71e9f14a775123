import { BadInput } from '../../files/bad-input.ts';
import type { Numbers } from '../../reconstruct/operator.ts';
import type { Work } from '../../types.ts';
import { EngineLost } from '../engine.ts';
import { copySource, copyTarget, storage, textureBinding, textureTarget, uniform } from './flags.ts';
import { checkBuffer, type Card } from './open-card.ts';
import type { WorkKind } from './pace.ts';
import { STAGE } from './staging.ts';

/** The card has no memory left for what was asked; in smaller pieces it may go. */
export class CardFull extends EngineLost {}

/** Buffers on the card by name, made when first asked for and kept until it is emptied. */
export interface Store {
  get(name: string, bytes: number): GPUBuffer;
  texture(name: string, description: TextureDescription): GPUTexture;
  /** Whether something that was written once is there already; notes that it is. */
  once(name: string): boolean;
  /** Nothing that was written is of use any more; the memory is. */
  forget(): void;
  /** What it holds. */
  bytes(): number;
  empty(): void;
}

export interface TextureDescription { readonly format: 'r32float' | 'r16float'; readonly size: readonly [width: number, height: number, layers: number] }

export function newStore(card: Card): Store {
  const buffers = new Map<string, GPUBuffer>(), textures = new Map<string, { key: string; bytes: number; texture: GPUTexture }>();
  const noted = new Set<string>();
  return {
    get(name, bytes) {
      const size = Math.max(16, Math.ceil(bytes / 16) * 16);
      const old = buffers.get(name);
      if (old && old.size >= size) return old;
      old?.destroy();
      checkBuffer(card, size);
      const buffer = card.device.createBuffer({ size, usage: storage | copySource | copyTarget });
      buffers.set(name, buffer);
      return buffer;
    },
    texture(name, { format, size }) {
      const key = `${format} ${size.join(' ')}`, old = textures.get(name);
      if (old?.key === key) return old.texture;
      old?.texture.destroy();
      const texture = card.device.createTexture({ format, size: [...size], usage: textureTarget | textureBinding });
      textures.set(name, { key, bytes: size[0] * size[1] * size[2] * (format === 'r16float' ? 2 : 4), texture });
      return texture;
    },
    once(name) {
      const there = noted.has(name);
      noted.add(name);
      return there;
    },
    forget: () => noted.clear(),
    bytes: () => [...buffers.values()].reduce((sum, { size }) => sum + size, 0) + [...textures.values()].reduce((sum, { bytes }) => sum + bytes, 0),
    empty() {
      for (const buffer of buffers.values()) buffer.destroy();
      for (const { texture } of textures.values()) texture.destroy();
      buffers.clear();
      textures.clear();
      noted.clear();
    },
  };
}

/** One task on the card, while it has its turn. */
export interface Job {
  readonly card: Card;
  readonly store: Store;
  /** The pipeline of a kernel; compiled when first asked for. Its code is its key. */
  pipeline(code: string): Promise<GPUComputePipeline>;
  /** Runs one kernel over workgroups; bindings in order, a list of words becomes a uniform buffer. units: how much work it is, for the pace. */
  dispatch(kind: WorkKind, units: number, pipeline: GPUComputePipeline, bindings: readonly Binding[], groups: readonly [number, number, number]): Promise<void>;
  /** Hands copies to the card. */
  copy(record: (encoder: GPUCommandEncoder) => void): void;
  /** Packs pieces one after the other into a buffer. */
  upload(target: GPUBuffer, pieces: Iterable<Numbers>): Promise<void>;
  /** Reads the beginning of a buffer into pieces, one after the other. */
  download(source: GPUBuffer, pieces: readonly Numbers[]): Promise<void>;
  /** Throws the signal's reason, or why the card is gone. */
  check(): void;
  progress(fraction: number): void;
}

export type Binding = GPUBuffer | GPUTextureView | GPUSampler | ArrayBuffer;

/** Submissions on their way at once: one at work, one that waits for it, and one being told of. */
const IN_FLIGHT = 3;

/** Gives a task the card when its turn comes. Whatever goes wrong on the card comes out as EngineLost. */
export function runJob<T>(card: Card, work: Work, task: (job: Job) => Promise<T>, kept?: Store): Promise<T> {
  return card.inTurn(async () => {
    const { device } = card;
    const store = kept ?? newStore(card);
    const gone = card.lost();
    if (gone) throw gone;
    work.signal?.throwIfAborted();
    const scopes = ['validation', 'internal', 'out-of-memory'] as const;
    for (const scope of scopes) device.pushErrorScope(scope);
    let outcome: { value: T } | { failure: unknown };
    try {
      outcome = { value: await Promise.race([task(newJob(card, store, work)), card.gone.then((): never => { throw card.lost()!; })]) };
    } catch (failure) {
      outcome = { failure };
    }
    const errors: (GPUError | null)[] = await Promise.all([...scopes].reverse().map(() => device.popErrorScope().catch(() => null)));
    if (!kept) store.empty();
    if ('failure' in outcome && (outcome.failure instanceof BadInput || outcome.failure === work.signal?.reason)) throw outcome.failure;
    const [full, ...others] = errors;
    if (full) {
      kept?.empty();
      throw new CardFull('The graphics card has no memory left for the work.');
    }
    const wrong = others.find(Boolean);
    if (wrong) throw new EngineLost(`The graphics card refused the work: ${wrong.message.split('\n')[0].slice(0, 300)}`);
    if ('value' in outcome) {
      const lost = card.lost();
      if (lost) throw lost;
      return outcome.value;
    }
    if (outcome.failure instanceof EngineLost) throw outcome.failure;
    // A buffer that could not be mapped, say: the news that the card is gone may be a moment behind.
    await Promise.race([card.gone, new Promise((resolve) => setTimeout(resolve, 200))]);
    throw card.lost() ?? outcome.failure;
  });
}

function newJob(card: Card, store: Store, { signal, progress }: Work): Job {
  const { device, staging, pace } = card;
  const { queue } = device;
  const running: Promise<void>[] = [];
  let lastDone = 0;
  const check = () => {
    signal?.throwIfAborted();
    const lost = card.lost();
    if (lost) throw lost;
  };

  return {
    card, store, check,
    progress: (fraction) => progress?.(fraction),
    pipeline(code) {
      let pipeline = card.pipelines.get(code);
      if (!pipeline) {
        const module = device.createShaderModule({ code });
        card.pipelines.set(code, pipeline = device.createComputePipelineAsync({ layout: 'auto', compute: { module } }));
        pipeline.catch(() => card.pipelines.delete(code));
      }
      return pipeline;
    },
    async dispatch(kind, units, pipeline, bindings, groups) {
      while (running.length >= IN_FLIGHT) await running.shift();
      check();
      const encoder = device.createCommandEncoder();
      const pass = encoder.beginComputePass();
      const made = record(device, pass, pipeline, bindings, groups);
      pass.end();
      queue.submit([encoder.finish()]);
      for (const buffer of made) buffer.destroy(); // once the work that uses it is done
      const begun = performance.now();
      running.push(queue.onSubmittedWorkDone().then(() => {
        const now = performance.now();
        pace.took(kind, units, now - Math.max(begun, lastDone));
        lastDone = now;
      }, () => {}));
    },
    copy(record) {
      const encoder = device.createCommandEncoder();
      record(encoder);
      queue.submit([encoder.finish()]);
    },
    async upload(target, pieces) {
      let stage: GPUBuffer | undefined, room = new Float32Array(0), filled = 0, sent = 0;
      const send = () => {
        if (!stage) return;
        stage.unmap();
        const encoder = device.createCommandEncoder();
        encoder.copyBufferToBuffer(stage, 0, target, 4 * sent, 4 * filled);
        queue.submit([encoder.finish()]);
        staging.give(stage);
        sent += filled;
        stage = undefined;
      };
      for (const piece of pieces) {
        for (let from = 0; from < piece.length;) {
          if (!stage) {
            stage = await staging.take();
            room = new Float32Array(stage.getMappedRange());
            filled = 0;
          }
          const end = Math.min(piece.length, from + room.length - filled);
          room.set(piece.subarray(from, end), filled);
          filled += end - from;
          from = end;
          if (filled === room.length) {
            send();
            if (signal?.aborted || card.lost()) check();
          }
        }
      }
      send();
    },
    async download(source, pieces) {
      const total = pieces.reduce((sum, piece) => sum + piece.length, 0), step = STAGE / 4;
      const fetch = (from: number) => {
        const reader = staging.takeReader(), count = Math.min(step, total - from);
        const encoder = device.createCommandEncoder();
        encoder.copyBufferToBuffer(source, 4 * from, reader, 0, 4 * count);
        queue.submit([encoder.finish()]);
        const mapped = reader.mapAsync(1, 0, 4 * count);
        mapped.catch(() => {});
        return { reader, count, mapped };
      };
      const coming: ReturnType<typeof fetch>[] = [];
      let asked = 0, piece = 0, at = 0;
      try {
        for (let done = 0; done < total;) {
          for (; asked < total && coming.length < 3; asked += step) coming.push(fetch(asked));
          const { reader, count, mapped } = coming[0];
          await mapped;
          check();
          const numbers = new Float32Array(reader.getMappedRange(0, 4 * count));
          for (let from = 0; from < count;) {
            const taken = Math.min(count - from, pieces[piece].length - at);
            pieces[piece].set(numbers.subarray(from, from + taken), at);
            from += taken;
            at += taken;
            if (at === pieces[piece].length) [piece, at] = [piece + 1, 0];
          }
          reader.unmap();
          staging.giveReader(reader);
          coming.shift();
          done += count;
        }
      } finally {
        for (const { reader } of coming) reader.destroy(); // stopped half way
      }
    },
  };
}

/** Notes one run of a kernel in a pass; returns the buffers made for it, to be destroyed once it is submitted. */
export function record(device: GPUDevice, pass: GPUComputePassEncoder, pipeline: GPUComputePipeline, bindings: readonly Binding[], groups: readonly [number, number, number]): GPUBuffer[] {
  const made: GPUBuffer[] = [];
  const entries = bindings.map((binding, k): GPUBindGroupEntry => ({ binding: k, resource: resourceOf(device, binding, made) }));
  pass.setPipeline(pipeline);
  pass.setBindGroup(0, device.createBindGroup({ layout: pipeline.getBindGroupLayout(0), entries }));
  pass.dispatchWorkgroups(...groups);
  return made;
}

function resourceOf(device: GPUDevice, binding: Binding, made: GPUBuffer[]): GPUBindingResource {
  if (!(binding instanceof ArrayBuffer)) return 'size' in binding && 'usage' in binding ? { buffer: binding } : (binding as GPUTextureView | GPUSampler);
  const buffer = device.createBuffer({ size: binding.byteLength, usage: uniform, mappedAtCreation: true });
  new Uint8Array(buffer.getMappedRange()).set(new Uint8Array(binding));
  buffer.unmap();
  made.push(buffer);
  return { buffer };
}
