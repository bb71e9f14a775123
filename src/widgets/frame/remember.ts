/** Parts of a computation that outlive it. What is kept here is copied, not moved, when a result leaves the worker. */
const kept = new WeakSet<object>();
const shelves = new Map<string, Map<string, unknown>>();

/**
 * The value made under this key before, or a new one. Each name holds a few keys (8 unless said otherwise), the least recently used goes first.
 *   const sinogram = remember('turning', `${specimen.id} ${views}`, () => shadowsOf(specimen, beam));
 */
export function remember<T>(name: string, key: string, make: () => T, most = 8): T {
  let shelf = shelves.get(name);
  if (!shelf) shelves.set(name, (shelf = new Map()));
  const value = shelf.has(key) ? (shelf.get(key) as T) : make();
  shelf.delete(key);
  shelf.set(key, value);
  if (shelf.size > most) shelf.delete(shelf.keys().next().value!);
  buffersOf(value).forEach((buffer) => kept.add(buffer));
  return value;
}

/** The buffers of a result that may be moved to another thread. */
export function transferables(result: unknown): ArrayBuffer[] {
  return [...buffersOf(result)].filter((buffer) => !kept.has(buffer));
}

function buffersOf(value: unknown, found = new Set<ArrayBuffer>()): Set<ArrayBuffer> {
  if (ArrayBuffer.isView(value)) {
    if (value.buffer instanceof ArrayBuffer) found.add(value.buffer);
  } else if (value instanceof ArrayBuffer) found.add(value);
  else if (Array.isArray(value)) value.slice(0, 1000).forEach((each) => typeof each === 'object' && buffersOf(each, found));
  else if (value && typeof value === 'object') Object.values(value).forEach((each) => typeof each === 'object' && buffersOf(each, found));
  return found;
}
