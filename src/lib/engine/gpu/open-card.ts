import { grouped } from '../../files/memory-limit.ts';
import { EngineLost } from '../engine.ts';
import { newPace, type Pace } from './pace.ts';
import { newStaging, type Staging } from './staging.ts';

export interface CardOptions {
  /** Where the card is had: navigator.gpu when left out. In Node, create([]) of the package webgpu. */
  readonly gpu?: GPU;
  /**
   * How views are interpolated when they are smeared back. hardware: by the card's texture units, float32 where it can ('float32-filterable'),
   * half precision elsewhere; by-hand: in the kernel, float32, slower; auto: hardware. Forward projection and its transpose are always by hand.
   */
  readonly interpolation?: 'auto' | 'hardware' | 'by-hand';
  /** The most that one piece of the card's memory may take, bytes; the card's own limit when left out. Larger volumes are made in slabs. */
  readonly largestBuffer?: number;
  /** Keeps to half precision in the texture units, as on a card without 'float32-filterable'. */
  readonly halfPrecision?: boolean;
}

/** A graphics card that is open for work. */
export interface Card {
  readonly device: GPUDevice;
  /** Its name and how it interpolates, in words. */
  readonly says: string;
  readonly interpolation: 'hardware' | 'by-hand';
  readonly format: 'r32float' | 'r16float';
  readonly largestBuffer: number;
  readonly pace: Pace;
  readonly staging: Staging;
  readonly pipelines: Map<string, Promise<GPUComputePipeline>>;
  /** What the device came from: in Node it crashes once these have been collected as garbage. */
  readonly origin: readonly [GPU, GPUAdapter];
  /** Why it is gone; undefined while it is there. */
  lost(): EngineLost | undefined;
  /** Resolves when it is gone. */
  readonly gone: Promise<void>;
  /** One task after the other: what a task asks the device must not be mixed with another's. */
  inTurn<T>(task: () => Promise<T>): Promise<T>;
  close(): void;
}

/** Opens a card. Rejects with EngineLost, one sentence, where there is none. */
export async function openCard({ gpu, interpolation = 'auto', largestBuffer = Infinity, halfPrecision = false }: CardOptions): Promise<Card> {
  const source = gpu ?? (globalThis.navigator as Navigator | undefined)?.gpu;
  if (!source) throw new EngineLost(typeof document === 'undefined' && !('WorkerGlobalScope' in globalThis) ? 'There is no WebGPU here.' : 'This browser offers no WebGPU.');
  const adapter = await source.requestAdapter({ powerPreference: 'high-performance' }).catch(() => null);
  if (!adapter) throw new EngineLost('WebGPU finds no graphics card on this machine.');

  const offered = (name: GPUFeatureName) => (adapter.features.has(name) ? [name] : []);
  const filterable = halfPrecision ? [] : offered('float32-filterable');
  const features = [...filterable, ...offered('timestamp-query')]; // the second for whoever wants to time a kernel
  const { maxBufferSize, maxStorageBufferBindingSize, maxTextureArrayLayers, maxTextureDimension2D, maxComputeWorkgroupStorageSize } = adapter.limits;
  const requiredLimits = { maxBufferSize, maxStorageBufferBindingSize, maxTextureArrayLayers, maxTextureDimension2D, maxComputeWorkgroupStorageSize };
  const device = await adapter.requestDevice({ requiredFeatures: features, requiredLimits })
    .catch((failure: Error) => { throw new EngineLost(`The graphics card could not be opened: ${sentence(failure.message)}`); });

  let why: EngineLost | undefined, closed = false;
  const gone = device.lost.then(({ message }) => {
    why = new EngineLost(closed ? 'The graphics card has been given back.' : `The graphics card was lost${message ? `: ${sentence(message)}` : '.'}`);
  });
  let last: Promise<unknown> = Promise.resolve();
  const byHand = interpolation === 'by-hand';
  const format = filterable.length > 0 ? 'r32float' : 'r16float';
  const how = byHand ? 'interpolated by hand' : `interpolated by its texture units${format === 'r16float' ? ', half precision' : ''}`;
  return {
    device, format, gone, origin: [source, adapter],
    says: `the graphics card through WebGPU (${nameOf(adapter.info)}), ${how}`,
    interpolation: byHand ? 'by-hand' : 'hardware',
    largestBuffer: Math.min(largestBuffer, maxBufferSize, maxStorageBufferBindingSize),
    pace: newPace(), staging: newStaging(device), pipelines: new Map(),
    lost: () => why,
    inTurn(task) {
      const mine = last.then(task);
      last = mine.catch(() => {});
      return mine;
    },
    close() {
      closed = true;
      device.destroy();
    },
  };
}

/** "nvidia, hopper": what is told of it, without what is said twice; some browsers tell next to nothing. */
function nameOf({ vendor, architecture, device, description }: GPUAdapterInfo): string {
  const parts = [device, description, vendor, architecture].filter(Boolean);
  const own = parts.filter((part, k) => !parts.some((other, l) => l !== k && other.toLowerCase().includes(part.toLowerCase()) && (other.length > part.length || l < k)));
  return own.join(', ') || 'unnamed';
}

function sentence(message: string): string {
  const line = message.split('\n')[0].trim().slice(0, 200);
  return /[.!?]$/.test(line) ? line : `${line}.`;
}

/** Refuses a piece of memory that the card cannot give in one. */
export function checkBuffer(card: Card, bytes: number): void {
  if (bytes <= card.largestBuffer) return;
  throw new EngineLost(`The work wants ${grouped(Math.ceil(bytes / 1e6))} MB of the graphics card in one piece, and it gives at most ${grouped(Math.floor(card.largestBuffer / 1e6))} MB.`);
}
