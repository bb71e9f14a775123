/** Counts things on one page while it is being built, for ids that must differ. */
const counts = new WeakMap<object, number>();

export function nextNumber(page: object): number {
  const number = (counts.get(page) ?? 0) + 1;
  counts.set(page, number);
  return number;
}
