/** Runs the checks away from the page; each result is sent as soon as it is there. */
import { runChecks } from '../../lib/index.ts';
import type { CheckResult } from '../../lib/index.ts';

/** What the worker sends. */
export type News = { readonly result: CheckResult } | { readonly done: true };

self.onmessage = async ({ data: folder }: MessageEvent<string>) => {
  const load = async (name: string): Promise<unknown> => {
    const response = await fetch(`${folder}${name}.json`);
    if (!response.ok) throw new Error(`The check values “${name}” could not be fetched (${response.status}).`);
    return response.json();
  };
  for await (const result of runChecks(load)) self.postMessage({ result } satisfies News);
  self.postMessage({ done: true } satisfies News);
};
