import { useEffect, useRef } from 'preact/hooks';

/**
 * Ctrl+Z and Ctrl+Shift+Z (⌘ on a Mac) for a sheet, wherever the focus is but in a text field or in a part with a history of its own: a button that has
 * just been switched off has lost it to the page.
 */
export function useUndoKeys(undo: () => void, redo: () => void): void {
  const now = useRef({ undo, redo });
  now.current = { undo, redo };
  useEffect(() => {
    const keys = (event: KeyboardEvent) => {
      const target = event.target as Element;
      if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== 'z' || event.defaultPrevented || target.closest('.volume-sheet, input[type=text], input[type=search], textarea, [contenteditable]')) return;
      event.preventDefault();
      if (event.shiftKey) now.current.redo();
      else now.current.undo();
    };
    document.addEventListener('keydown', keys);
    return () => document.removeEventListener('keydown', keys);
  }, []);
}
