const collator = new Intl.Collator('en', { numeric: true, sensitivity: 'base' });

/** Compares names as a reader counts: IMG_9 comes before IMG_10, folder by folder; capitals matter last. For Array.sort. */
export function compareNatural(a: string, b: string): number {
  const [left, right] = [a.split(/[\\/]/), b.split(/[\\/]/)];
  for (let i = 0; i < Math.min(left.length, right.length); i++) {
    const order = collator.compare(left[i], right[i]);
    if (order !== 0) return order;
  }
  return left.length - right.length || (a < b ? -1 : a > b ? 1 : 0);
}

/** The names in the order in which a reader counts, as a new list. */
export function naturalOrder(names: readonly string[]): string[] {
  return [...names].sort(compareNatural);
}
