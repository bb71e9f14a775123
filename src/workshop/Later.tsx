import type { ComponentChildren } from 'preact';
import { useEffect, useState } from 'preact/hooks';

const waiting: (() => void)[] = [];

/** One a turn of the event loop, so that what the reader does in between is heard. */
function next(): void {
  waiting.shift()?.();
  if (waiting.length > 0) setTimeout(next);
}

/** A heavy part of a page, drawn after the others, in a task of its own: together they would hold up the page. */
export function Later({ children }: { children: ComponentChildren }) {
  const [there, setThere] = useState(false);
  useEffect(() => {
    const show = () => setThere(true);
    if (waiting.push(show) === 1) setTimeout(next);
    return () => { const at = waiting.indexOf(show); if (at >= 0) waiting.splice(at, 1); };
  }, []);
  return there ? <>{children}</> : null;
}
