/// <reference lib="webworker" />
import { useKernels } from '../../lib/index.ts';
import { compute, specimenByKey } from './compute.ts';
import type { AnyPlate, State } from './definition.ts';
import { transferables } from './remember.ts';

/** The one worker of all plates on a page. Each plate has at most one job here, beside one that has been called off; { stop } calls it off. */
export type Job = { readonly plate: string; readonly job: number; readonly state: State; /** Its key. */ readonly specimen: string; readonly sketch?: boolean } | { readonly stop: number };
export type Answer = { readonly job: number } & ({ readonly result: unknown } | { readonly failure: string } | { readonly stopped: true });

const models = import.meta.glob<Record<string, unknown>>('../*/model.ts');
const running = new Map<number, AbortController>();
/** The fast loops, where the browser has WebAssembly with SIMD; a failure to fetch them leaves the plain ones. */
const kernels = useKernels().catch(() => false);

self.addEventListener('message', async ({ data }: MessageEvent<Job>) => {
  if ('stop' in data) return running.get(data.stop)?.abort();
  const { job } = data;
  const control = new AbortController();
  running.set(job, control);
  try {
    const [plate] = await Promise.all([findPlate(data.plate), kernels]);
    const result = await compute(plate, data.state, await specimenByKey(plate, data.specimen), { signal: control.signal, sketch: data.sketch });
    self.postMessage({ job, result } satisfies Answer, { transfer: transferables(result) });
  } catch (failure) {
    self.postMessage(control.signal.aborted ? { job, stopped: true } : ({ job, failure: failure instanceof Error ? failure.message : String(failure) } satisfies Answer));
  } finally {
    running.delete(job);
  }
});

/** A model.ts exports its definition under any name. */
async function findPlate(id: string): Promise<AnyPlate> {
  const load = models[`../${id}/model.ts`];
  if (!load) throw new Error(`There is no plate ${id}.`);
  const found = Object.values(await load()).find((each) => (each as AnyPlate | null)?.id === id && 'compute' in (each as object));
  if (!found) throw new Error(`src/widgets/${id}/model.ts exports no plate with the id ${id}.`);
  return found as AnyPlate;
}
