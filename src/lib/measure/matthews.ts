/**
 * Matthews' correlation of two masks (not 0 is inside): 1 where they are the same, 0 where they have nothing to do with each other,
 * −1 where they are opposites.
 *   (TP·TN − FP·FN) / √((TP + FP)(TP + FN)(TN + FP)(TN + FN)), and 0 where a factor under the root is 0
 * Throws: RangeError if the masks differ in length.
 * Source: B. W. Matthews, Biochim. Biophys. Acta 405 (1975) 442.
 */
export function matthews(a: ArrayLike<number>, b: ArrayLike<number>): number {
  if (a.length !== b.length) throw new RangeError(`The masks have ${a.length} and ${b.length} pixels; they need the same number.`);
  let both = 0, neither = 0, onlyA = 0, onlyB = 0;
  for (let i = 0; i < a.length; i++) {
    if (a[i]) b[i] ? both++ : onlyA++;
    else b[i] ? onlyB++ : neither++;
  }
  const root = Math.sqrt(both + onlyA) * Math.sqrt(both + onlyB) * Math.sqrt(neither + onlyA) * Math.sqrt(neither + onlyB);
  return root === 0 ? 0 : (both * neither - onlyA * onlyB) / root;
}
