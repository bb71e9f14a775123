import { describe, expect, test } from 'vitest';
import { finish, type Steps } from '../../src/lib/index.ts';
import { compute, computeNow, firstSpecimen } from '../../src/widgets/frame/compute.ts';
import type { AnyPlate } from '../../src/widgets/frame/definition.ts';
import { openDesk, quickOnPage, type Bench, type Outcome } from '../../src/widgets/frame/desk.ts';
import { remember, transferables } from '../../src/widgets/frame/remember.ts';

const plate = { id: 'sample', title: '', initial: { n: 0 }, controls: {}, describe: () => '', compute: ({ n }: { n: number }) => n } as unknown as AnyPlate;
const specimen = firstSpecimen(plate);
const turn = () => new Promise((resolve) => setTimeout(resolve));

/** A bench whose jobs end when the test says so. */
function slowBench() {
  const jobs: { n: number; stopped: boolean; end: (answer: { result: unknown } | { failure: string } | { stopped: true }) => void }[] = [];
  const bench: Bench = (_, { state }) => {
    const job = { n: state.n as number, stopped: false, end: (_: unknown) => {} };
    jobs.push(job as never);
    return { answer: new Promise((resolve) => (job.end = resolve as never)), stop: () => { job.stopped = true; } };
  };
  return { jobs, bench };
}

describe('openDesk', () => {
  test('the newest setting calls off the running computation and skips those between', async () => {
    const { jobs, bench } = slowBench();
    const shown: unknown[] = [];
    const desk = openDesk(plate, ({ result }) => shown.push(result), bench);
    [1, 2, 3].forEach((n) => desk.ask({ state: { n }, specimen }));
    expect(jobs.map(({ n, stopped }) => ({ n, stopped }))).toEqual([{ n: 1, stopped: true }]);
    jobs[0].end({ stopped: true });
    await turn();
    expect(jobs.map(({ n }) => n)).toEqual([1, 3]);
    jobs[1].end({ result: 'three' });
    await turn();
    expect(shown).toEqual(['three']);
    expect(desk.busy()).toBe(false);
  });

  test('a computation that ends before it hears of the newer setting is shown, the newer one after it', async () => {
    const { jobs, bench } = slowBench();
    const shown: Outcome[] = [];
    const desk = openDesk(plate, (outcome) => shown.push(outcome), bench);
    desk.ask({ state: { n: 1 }, specimen });
    desk.ask({ state: { n: 2 }, specimen });
    jobs[0].end({ result: 'one' });
    await turn();
    jobs[1].end({ result: 'two' });
    await turn();
    expect(shown.map(({ state, result }) => [state.n, result])).toEqual([[1, 'one'], [2, 'two']]);
  });

  test('a failure is told with its state, unless a newer setting waits', async () => {
    const { jobs, bench } = slowBench();
    const shown: Outcome[] = [];
    const desk = openDesk(plate, (outcome) => shown.push(outcome), bench);
    desk.ask({ state: { n: 1 }, specimen });
    desk.ask({ state: { n: 2 }, specimen });
    jobs[0].end({ failure: 'The formula has no f.' });
    await turn();
    expect(shown).toEqual([]);
    jobs[1].end({ failure: 'The formula has no closing bracket.' });
    await turn();
    expect(shown.map(({ failure }) => failure)).toEqual(['The formula has no closing bracket.']);
  });
});

describe('openDesk for a plate with a sketch', () => {
  const drawn = { ...plate, sketch: ({ n }: { n: number }) => -n } as unknown as AnyPlate;
  const open = () => {
    const { jobs, bench } = slowBench();
    const asked: string[] = [];
    const shown: unknown[] = [];
    const desk = openDesk(drawn, ({ result, failure, sketch }) => shown.push([sketch ? 'sketch' : 'whole', failure ?? result]), (of, order) => { asked.push(`${order.sketch ? 'sketch' : 'whole'} ${order.state.n}`); return bench(of, order); });
    return { jobs, asked, shown, desk };
  };

  test('the sketch comes first, the whole after it', async () => {
    const { jobs, asked, shown, desk } = open();
    desk.ask({ state: { n: 1 }, specimen });
    jobs[0].end({ result: 'rough' });
    await turn();
    expect(desk.busy()).toBe(true);
    jobs[1].end({ result: 'fine' });
    await turn();
    expect(asked).toEqual(['sketch 1', 'whole 1']);
    expect(shown).toEqual([['sketch', 'rough'], ['whole', 'fine']]);
    expect(desk.busy()).toBe(false);
  });

  test('a newer setting is sketched at once, and the whole of the older one is neither waited for nor shown', async () => {
    const { jobs, asked, shown, desk } = open();
    desk.ask({ state: { n: 1 }, specimen });
    jobs[0].end({ result: 'rough 1' });
    await turn();
    desk.ask({ state: { n: 2 }, specimen });
    expect(asked).toEqual(['sketch 1', 'whole 1', 'sketch 2']);
    expect(jobs[1].stopped).toBe(true);
    jobs[1].end({ result: 'fine 1' });
    jobs[2].end({ result: 'rough 2' });
    await turn();
    jobs[3].end({ result: 'fine 2' });
    await turn();
    expect(shown).toEqual([['sketch', 'rough 1'], ['sketch', 'rough 2'], ['whole', 'fine 2']]);
  });

  test('while a sketch is on its way, newer settings wait for it and only the newest is sketched', async () => {
    const { jobs, asked, desk } = open();
    [1, 2, 3].forEach((n) => desk.ask({ state: { n }, specimen }));
    jobs[0].end({ result: 'rough' });
    await turn();
    expect(asked).toEqual(['sketch 1', 'sketch 3']);
  });

  test('where there is nothing to sketch, or the sketch fails, the whole speaks', async () => {
    const { jobs, shown, desk } = open();
    desk.ask({ state: { n: 1 }, specimen });
    jobs[0].end({ result: undefined });
    await turn();
    jobs[1].end({ result: 'fine' });
    await turn();
    desk.ask({ state: { n: 2 }, specimen });
    jobs[2].end({ failure: 'No rough one.' });
    await turn();
    jobs[3].end({ failure: 'No fine one.' });
    await turn();
    expect(shown).toEqual([['whole', 'fine'], ['whole', 'No fine one.']]);
  });
});

describe('quickOnPage', () => {
  /** Benches that say where they were asked and take as long, in ms, as the test says. */
  function measured() {
    let clock = 0;
    let next = 0;
    const bench = (where: string): Bench => () => {
      clock += next;
      return { answer: Promise.resolve({ result: where }), stop: () => {} };
    };
    const work = quickOnPage({ worker: bench('worker'), page: bench('page'), now: () => clock });
    const done = async (took: number) => {
      next = took;
      return ((await work(plate, { state: {}, specimen }).answer) as { result: string }).result;
    };
    return async (...times: number[]) => { const places = []; for (const took of times) places.push(await done(took)); return places.join(' '); };
  }

  test('work that was quick in the worker comes to the page, slow work stays where it is', async () => {
    expect(await measured()(50, 30, 20, 5, 5)).toBe('worker worker worker page page');
  });

  test('three slow answers on the page are forgiven, the fourth sends the work back, and only really quick work comes again', async () => {
    expect(await measured()(20, 60, 60, 60, 5, 60, 60, 60, 60, 20, 5, 5)).toBe('worker page page page page page page page page worker worker page');
  });
});

describe('compute', () => {
  const steps = { ...plate, *compute({ n }: { n: number }): Steps<number> { for (let i = 0; i < 1e6; i++) yield i / 1e6; return n; } } as unknown as AnyPlate;
  test('runs plain functions, promises and steps alike', async () => {
    expect(await compute(plate, { n: 4 }, specimen)).toBe(4);
    expect(await compute({ ...plate, compute: async () => 5 } as AnyPlate, { n: 0 }, specimen)).toBe(5);
    expect(await compute({ ...plate, compute: async () => (function* (): Steps<number> { yield 0.5; return 6; })() } as AnyPlate, { n: 0 }, specimen)).toBe(6);
    expect(finish((steps.compute as never as (state: object) => Steps<number>)({ n: 7 }))).toBe(7);
  });

  test('stops at a yield when the signal is aborted', async () => {
    const control = new AbortController();
    const work = compute(steps, { n: 1 }, specimen, { signal: control.signal });
    control.abort();
    await expect(work).rejects.toThrow('aborted');
  });

  test('at once, refuses a plate that cannot', () => {
    expect(() => computeNow(steps, { n: 1 }, specimen)).toThrow("Plate sample says runs: 'page'");
  });
});

describe('remember', () => {
  test('makes a thing once a key, and lets the oldest go', () => {
    let made = 0;
    const take = (key: string) => remember('test', key, () => ++made, 2);
    expect([take('a'), take('a'), take('b'), take('a'), take('c'), take('a'), take('b')]).toEqual([1, 1, 2, 1, 3, 1, 4]);
  });

  test('keeps its arrays from being moved out of the worker with a result', () => {
    const kept = remember('test arrays', 'x', () => ({ data: new Float32Array(4) }));
    const fresh = new Float32Array(8);
    expect(transferables({ kept, list: [{ fresh }], again: fresh.subarray(2) })).toEqual([fresh.buffer]);
  });
});
