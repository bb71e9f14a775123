/** What is measured, each in a process of its own (task.ts): the kind of work, its size, and the engine that does it. */
export type Kind = 'fbp' | 'fan' | 'project' | 'sart' | 'fdk' | 'sirt' | 'sirt-cone';
export type EngineTried = { readonly engine: 'plain' | 'simd'; readonly workers?: number } | { readonly engine: 'gpu' };

export interface Task {
  readonly kind: Kind;
  /** Pixels or voxels along an edge. */
  readonly size: number;
  readonly views: number;
  /** Cells along an edge of the detector; as many as pixels when left out. */
  readonly cells?: number;
  /** Of the iterative kinds. */
  readonly iterations?: number;
  readonly runs: number;
}

export const inThree = (kind: Kind) => kind === 'fdk' || kind === 'sirt-cone';

/** A pixel or voxel given its share of one view, or giving it, is one update; iterative methods do both in each iteration. */
export function updatesOf({ kind, size, views, iterations = 1 }: Task): number {
  const once = size ** (inThree(kind) ? 3 : 2) * views;
  return kind === 'sirt' || kind === 'sirt-cone' || kind === 'sart' ? 2 * iterations * once : once;
}

/** Bytes that have to be in memory: the views once and the picture once. */
export function dataOf({ kind, size, views, cells = size }: Task): number {
  return 4 * (inThree(kind) ? views * cells ** 2 + size ** 3 : views * cells + size ** 2);
}

export function inWords({ kind, size, views, cells = size, iterations }: Task): string {
  const square = `${size}²`, cube = `${size}³`;
  switch (kind) {
    case 'fbp': return `parallel fbp, ${square} from ${views} views, filter included`;
    case 'fan': return `fan fbp, ${square} from ${views} views, filter included`;
    case 'project': return `parallel projection, ${square}, ${views} views`;
    case 'sart': return `one pass view by view (SART), ${square}, ${views} views`;
    case 'fdk': return `cone beam, ${cube} from ${views} views of ${cells}², filter included`;
    case 'sirt': return `SIRT, ${iterations} iterations, ${square}, ${views} views`;
    case 'sirt-cone': return `SIRT of a cone beam, ${iterations} iterations, ${cube}, ${views} views of ${cells}²`;
  }
}

/** Where a peer has a function for it, that. */
export const peersOf: Partial<Record<Kind, readonly { readonly peer: 'scikit-image' | 'Octave image'; readonly task: string; readonly named: string }[]>> = {
  fbp: [{ peer: 'scikit-image', task: 'iradon', named: 'iradon' }, { peer: 'Octave image', task: 'iradon', named: 'iradon' }],
  project: [{ peer: 'scikit-image', task: 'radon', named: 'radon' }, { peer: 'Octave image', task: 'radon', named: 'radon' }],
  sart: [{ peer: 'scikit-image', task: 'sart', named: 'iradon_sart' }],
};

/** The tasks that stand beside a peer or have a budget. */
export const mainTasks = (quick: boolean): Task[] => [
  { kind: 'fbp', size: 512, views: 360, runs: 9 },
  { kind: 'fan', size: 512, views: 360, runs: 9 },
  { kind: 'project', size: 512, views: quick ? 90 : 360, runs: 2 },
  { kind: 'sart', size: 256, views: 45, runs: 3 },
  quick ? { kind: 'fdk', size: 128, views: 180, cells: 256, runs: 1 } : { kind: 'fdk', size: 256, views: 360, cells: 512, runs: 1 },
  { kind: 'sirt', size: 256, views: 45, iterations: quick ? 10 : 60, runs: 1 },
  { kind: 'sirt-cone', size: quick ? 64 : 128, views: 45, cells: quick ? 64 : 128, iterations: quick ? 3 : 5, runs: 1 },
];

/** The same work on larger and larger pictures, as many views as pixels along an edge. */
export const growingSlices = (quick: boolean): Task[] => [128, 256, 512, 1024, ...(quick ? [] : [2048])].map((size) => ({ kind: 'fbp', size, views: size, runs: size > 512 ? 1 : 3 }));
export const growingVolumes = (quick: boolean): Task[] => [64, 128, ...(quick ? [] : [256, 512])].map((size) => ({ kind: 'fdk', size, views: size, runs: size > 128 ? 1 : 2 }));
