/** What scrolls sideways can be reached from the keyboard, and only while it does: formulas, tables and code in a narrow window. */
const selector = '.scrolls, .katex-display, main pre';

export function watchScrollers(): void {
  const check = (entries: ResizeObserverEntry[]) => {
    for (const { target } of entries) {
      const wide = target.scrollWidth > target.clientWidth + 1;
      if (!wide) { for (const name of ['tabindex', 'role', 'aria-label']) target.removeAttribute(name); continue; }
      target.setAttribute('tabindex', '0');
      target.setAttribute('role', 'group');
      target.setAttribute('aria-label', `${(target as HTMLElement).dataset.scrolls ?? (target.localName === 'pre' ? 'Code' : 'Formula')}, scrolls sideways`);
    }
  };
  const observer = new ResizeObserver(check);
  for (const element of document.querySelectorAll(selector)) observer.observe(element);
}
