/** The page's side of the worker that measures engines and holds them against the plain one. */
import { openRoom } from './room.ts';
import type { Order, Results } from './engine-worker.ts';

export const openEngineRoom = () => openRoom<Order, Results>(() => new Worker(new URL('./engine-worker.ts', import.meta.url), { type: 'module' }));
