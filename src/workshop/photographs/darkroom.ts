/** The page's side of the worker. */
import { openRoom, type Room } from '../room.ts';
import type { Order, Results } from './worker.ts';

export type Darkroom = Room<Order, Results>;

export const openDarkroom = (): Darkroom => openRoom<Order, Results>(() => new Worker(new URL('./worker.ts', import.meta.url), { type: 'module' }));
