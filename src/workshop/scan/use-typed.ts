import { useLayoutEffect, useRef, useState } from 'preact/hooks';

/**
 * The text of a field that shows a value. It changes with the value, but not when that is the field's own (told by `gave`), coming back from the sheet:
 * by then more may have been typed.
 */
export function useTyped<V>(value: V, written: (value: V) => string) {
  const [text, setText] = useState(written(value));
  const given = useRef(value);
  useLayoutEffect(() => {
    if (value === given.current) return;
    given.current = value;
    setText(written(value));
  }, [value]);
  return { text, setText, gave: (typed: V) => { given.current = typed; } };
}
