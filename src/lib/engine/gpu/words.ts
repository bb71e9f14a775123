/**
 * Numbers as a kernel reads them, four bytes each: words('uuf', 3, 4, 0.5). u and i: whole numbers, f: float32. Spaces in the layout are for the eye.
 */
export function words(layout: string, ...values: number[]): ArrayBuffer {
  const kinds = layout.replaceAll(' ', '');
  if (kinds.length !== values.length) throw new RangeError(`The layout ${layout} is for ${kinds.length} numbers, not ${values.length}.`);
  const bytes = new ArrayBuffer(Math.ceil(kinds.length / 4) * 16);
  const view = new DataView(bytes);
  for (const [k, kind] of [...kinds].entries()) {
    if (kind === 'f') view.setFloat32(4 * k, values[k], true);
    else if (kind === 'i') view.setInt32(4 * k, values[k], true);
    else view.setUint32(4 * k, values[k], true);
  }
  return bytes;
}
