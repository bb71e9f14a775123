import { copySource, copyTarget, mapRead, mapWrite } from './flags.ts';

/** Memory that both the card and this thread can reach, lent in pieces of STAGE bytes; kept, because making it costs more than filling it. */
export interface Staging {
  /** A piece to write to, mapped. */
  take(): Promise<GPUBuffer>;
  /** Gives it back once its copy has been submitted. */
  give(piece: GPUBuffer): void;
  /** A piece to read from, not mapped. */
  takeReader(): GPUBuffer;
  giveReader(piece: GPUBuffer): void;
}

/** Bytes in a piece: long enough that a submission costs nothing beside it, short enough that the first arrives soon. */
export const STAGE = 2 ** 24;
/** Pieces to write to: one being filled, one being copied, and one between. */
const WRITERS = 3;

export function newStaging(device: GPUDevice): Staging {
  const waiting: Promise<GPUBuffer>[] = [];
  const readers: GPUBuffer[] = [];
  let made = 0;
  return {
    async take() {
      if (waiting.length > 0 && made >= WRITERS) return await waiting.shift()!;
      made++;
      return device.createBuffer({ size: STAGE, usage: mapWrite | copySource, mappedAtCreation: true });
    },
    give(piece) {
      const mapped = piece.mapAsync(2).then(() => piece);
      mapped.catch(() => {}); // the device is gone: whoever takes it will hear
      waiting.push(mapped);
    },
    takeReader: () => readers.pop() ?? device.createBuffer({ size: STAGE, usage: mapRead | copyTarget }),
    giveReader(piece) { readers.push(piece); },
  };
}
