/** The page's side of the worker that rehearses. */
import { openRoom, type Room } from '../room.ts';
import type { Order, Results } from './worker.ts';

export type { Rehearsed } from './worker.ts';
export type RehearsalRoom = Room<Order, Results>;

export const openRehearsalRoom = (): RehearsalRoom => openRoom<Order, Results>(() => new Worker(new URL('./worker.ts', import.meta.url), { type: 'module' }));
