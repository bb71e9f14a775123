import type { ComponentChildren } from 'preact';

/** One numbered part of a sheet. waits: why there is nothing in it yet. */
export function Question({ number, title, waits, children }: { number: number; title: string; waits?: string | false; children?: ComponentChildren }) {
  return (
    <section class={waits ? 'scan-question scan-waits' : 'scan-question'} aria-labelledby={`scan-question-${number}`}>
      <h2 id={`scan-question-${number}`}><span class="scan-number">{number}</span> {title}</h2>
      <div class="scan-body">{waits ? <p class="scan-hint">{waits}</p> : children}</div>
    </section>
  );
}
