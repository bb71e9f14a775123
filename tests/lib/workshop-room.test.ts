/** Long work asked of a worker: answers, progress, stopping, and a worker that dies. The worker is a stand-in that answers as the test says. */
import { expect, test } from 'vitest';
import { BadInput } from '../../src/lib/index.ts';
import { openRoom } from '../../src/workshop/room.ts';

type Order = { readonly kind: 'double'; readonly value: number };
interface Results extends Record<'double', unknown> { double: number }

class StandIn extends EventTarget {
  heard: { kind: string; id: number; order?: Order }[] = [];
  ended = false;
  postMessage(request: { kind: string; id: number; order?: Order }) { this.heard.push(request); }
  terminate() { this.ended = true; }
  answer(data: object) { this.dispatchEvent(Object.assign(new Event('message'), { data })); }
  crash(message: string) { this.dispatchEvent(Object.assign(new Event('error', { cancelable: true }), { message })); }
}

function roomOfStandIns() {
  const started: StandIn[] = [];
  const room = openRoom<Order, Results>(() => { const worker = new StandIn(); started.push(worker); return worker as unknown as Worker; });
  return { room, started };
}

test('an order is answered, with its progress before', async () => {
  const { room, started } = roomOfStandIns();
  const seen: number[] = [];
  const answer = room.ask({ kind: 'double', value: 4 }, { progress: (fraction) => seen.push(fraction) });
  const [{ id }] = started[0].heard;
  started[0].answer({ kind: 'progress', id, fraction: 0.5 });
  started[0].answer({ kind: 'done', id, result: 8 });
  expect(await answer).toBe(8);
  expect(seen).toEqual([0.5]);
});

test('a worker that dies fails its orders with a sentence, and the next order gets a new worker', async () => {
  const { room, started } = roomOfStandIns();
  const orders = [room.ask({ kind: 'double', value: 1 }), room.ask({ kind: 'double', value: 2 })];
  started[0].crash('out of memory');
  for (const order of orders) await expect(order).rejects.toThrow('out of memory');
  expect(started[0].ended, 'the dead worker is let go').toBe(true);
  const next = room.ask({ kind: 'double', value: 3 });
  expect(started).toHaveLength(2);
  started[1].answer({ kind: 'done', id: started[1].heard[0].id, result: 6 });
  expect(await next).toBe(6);
});

test('stopping tells the worker, and rejects with the reason once it has stopped', async () => {
  const { room, started } = roomOfStandIns();
  const control = new AbortController();
  const order = room.ask({ kind: 'double', value: 1 }, { signal: control.signal });
  const { id } = started[0].heard[0];
  control.abort(new DOMException('stopped', 'AbortError'));
  expect(started[0].heard[1]).toEqual({ kind: 'stop', id });
  started[0].answer({ kind: 'failed', id, sentence: '', stopped: true, ours: false });
  await expect(order).rejects.toThrow('stopped');
  await expect(room.ask({ kind: 'double', value: 1 }, { signal: control.signal }), 'an order that was stopped before it was given').rejects.toThrow('stopped');
});

test('what is wrong with the reader’s files is told from a mistake of ours', async () => {
  const { room, started } = roomOfStandIns();
  const orders = [room.ask({ kind: 'double', value: 1 }), room.ask({ kind: 'double', value: 2 })];
  const [theirs, ours] = started[0].heard;
  started[0].answer({ kind: 'failed', id: theirs.id, sentence: 'a.png is empty.', stopped: false, ours: false });
  started[0].answer({ kind: 'failed', id: ours.id, sentence: 'x is undefined', stopped: false, ours: true });
  await expect(orders[0]).rejects.toBeInstanceOf(BadInput);
  await expect(orders[1]).rejects.not.toBeInstanceOf(BadInput);
});
