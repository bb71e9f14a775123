/** The first byte that the kernels do not use themselves. */
export function heapBase(): usize {
  return (__heap_base + 63) & ~63;
}
