/** Fills the table with what this browser computes: one row after another, to be stopped and begun again. */
import type { CheckResult } from '../../lib/index.ts';
import { fromRoot } from '../../layouts/from-root.ts';
import { oursHtml, summary, verdict, words } from './rows.ts';
import type { News } from './worker.ts';

export function runTable(root: HTMLElement): void {
  const state = root.querySelector('.verify-state')!;
  const said = root.querySelector('.verify-said')!; // spoken: the end only, not every row
  const button = root.querySelector<HTMLButtonElement>('.verify-button')!;
  const rows = new Map([...root.querySelectorAll<HTMLTableRowElement>('tr[data-check]')].map((row) => [row.dataset.check!, row]));
  let worker: Worker | undefined;
  let results: CheckResult[] = [];
  let began = 0;

  const start = () => {
    results = [];
    began = performance.now();
    for (const row of rows.values()) clear(row);
    worker = new Worker(new URL('./worker.ts', import.meta.url), { type: 'module' });
    worker.onmessage = ({ data }: MessageEvent<News>) => {
      if ('done' in data) return stop(`${summary(results, rows.size)} Computed in this browser in ${((performance.now() - began) / 1000).toFixed(1)} s.`);
      results.push(data.result);
      fill(rows.get(data.result.id)!, data.result);
      state.textContent = summary(results, rows.size);
    };
    worker.onerror = (event) => stop(`The checks stopped: ${event.message || 'their code could not be loaded'}.`);
    worker.postMessage(fromRoot('check-values/'));
    button.textContent = 'Stop';
    root.dataset.state = 'running';
    said.textContent = '';
    state.textContent = summary(results, rows.size);
  };
  const stop = (sentence: string) => {
    worker?.terminate();
    worker = undefined;
    button.textContent = 'Compute again';
    root.dataset.state = 'stopped';
    state.textContent = sentence;
    said.textContent = sentence;
  };

  button.addEventListener('click', () => (worker ? stop(`Stopped. ${summary(results, rows.size)}`) : start()));
  start();
}

function clear(row: HTMLTableRowElement): void {
  row.dataset.verdict = 'waiting';
  row.querySelector('.verify-ours')!.textContent = '';
  row.querySelector('.verify-verdict')!.textContent = '…';
}

function fill(row: HTMLTableRowElement, result: CheckResult): void {
  const kind = verdict(result);
  row.dataset.verdict = kind;
  row.querySelector('.verify-ours')!.innerHTML = oursHtml(result);
  row.querySelector('.verify-verdict')!.textContent = result.failure === undefined ? words[kind] : `${words[kind]}: ${result.failure}`;
}
