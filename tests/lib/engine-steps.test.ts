import { describe, expect, test } from 'vitest';
import { finish, part, run, waitFor, type Steps } from '../../src/lib/engine/steps.ts';

function* count(to: number, after?: () => void): Steps<string> {
  try {
    for (let i = 1; i <= to; i++) yield i / to;
    return `counted to ${to}`;
  } finally {
    after?.();
  }
}

/** Yields for ever, a millisecond of work each time. */
function* endless(after: () => void): Steps<never> {
  try {
    for (;;) {
      const until = performance.now() + 1;
      while (performance.now() < until);
      yield 0.5;
    }
  } finally {
    after();
  }
}

describe('steps', () => {
  test('finish(steps) gives the result of the work', () => {
    expect(finish(count(5))).toBe('counted to 5');
  });

  test('run(steps) gives the same result, and its progress rises to exactly 1', async () => {
    const heard: number[] = [];
    expect(await run(count(5), { progress: (fraction) => heard.push(fraction) })).toBe('counted to 5');
    expect(heard.at(-1)).toBe(1);
    expect(heard).toEqual([...heard].sort((a, b) => a - b));
  });

  test('run(steps) tells how far it is of work that mostly waits for something done elsewhere', async () => {
    function* waiting(): Steps<string> {
      for (let k = 0; k < 20; k++) {
        yield* part(waitFor(() => new Promise<void>((resolve) => setTimeout(resolve, 2))), k / 20, (k + 1) / 20);
        yield (k + 1) / 20;
      }
      return 'waited';
    }
    const heard: number[] = [];
    expect(await run(waiting(), { progress: (fraction) => heard.push(fraction) })).toBe('waited');
    expect(heard.filter((fraction) => fraction > 0.1 && fraction < 0.9).length, 'a reader would see the bar stand still').toBeGreaterThan(1);
    expect(heard).toEqual([...heard].sort((a, b) => a - b));
  });

  test('run(steps) lets other events happen while the work goes on', async () => {
    const abort = new AbortController();
    let timers = 0;
    const timer = setInterval(() => {
      timers++;
      if (timers === 3) abort.abort(new Error('enough'));
    }, 1);
    await expect(run(endless(() => {}), { signal: abort.signal })).rejects.toThrow('enough');
    clearInterval(timer);
    expect(timers).toBeGreaterThanOrEqual(3);
  });

  test('run(steps) stopped by its signal throws the reason it was given, and the work cleans up', async () => {
    const abort = new AbortController();
    let cleaned = false;
    const reason = new Error('the reader moved on');
    const running = run(endless(() => (cleaned = true)), { signal: abort.signal });
    setTimeout(() => abort.abort(reason), 5);
    await expect(running).rejects.toBe(reason);
    expect(cleaned).toBe(true);
  });

  test('run(steps) with a signal aborted before it begins does no work at all', async () => {
    let worked = false;
    function* work(): Steps<void> {
      worked = true;
      yield 1;
    }
    await expect(run(work(), { signal: AbortSignal.abort(new Error('never mind')) })).rejects.toThrow('never mind');
    expect(worked).toBe(false);
  });

  test('run(steps) passes on what the work throws', async () => {
    function* work(): Steps<void> {
      yield 0;
      throw new RangeError('no such view');
    }
    await expect(run(work())).rejects.toThrow('no such view');
    expect(() => finish(work())).toThrow('no such view');
  });

  test('part(steps, from, to) reports its own 0…1 as from…to and keeps the result', () => {
    const steps = part(count(2), 0.2, 0.6);
    const heard: number[] = [];
    let step = steps.next();
    for (; !step.done; step = steps.next()) heard.push(step.value as number);
    expect(heard).toEqual([expect.closeTo(0.4, 12), expect.closeTo(0.6, 12)]);
    expect(step.value).toBe('counted to 2');
  });

  test('part(steps) of work that is stopped lets the part clean up too', () => {
    let cleaned = false;
    const whole = part(count(2, () => (cleaned = true)), 0, 1);
    whole.next();
    whole.return('stopped');
    expect(cleaned).toBe(true);
  });
});
