/** How a picture lies in its file, 1 to 8; 1 is upright. Source: Exif 2.3 (CIPA DC-008), tag 0112, the same as TIFF 6.0's tag 274. */
export type Orientation8 = 1 | 2 | 3 | 4 | 5 | 6 | 7 | 8;

const orientationTag = 0x0112;

/** The orientation that a TIFF directory states, in a TIFF file or in the Exif part of another; 1 where there is none to be read. */
export function tiffOrientation(bytes: Uint8Array): Orientation8 {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  if (bytes.length < 8) return 1;
  const little = view.getUint16(0) === 0x4949;
  if (!little && view.getUint16(0) !== 0x4d4d) return 1;
  const at = view.getUint32(4, little);
  if (at + 2 > bytes.length) return 1;
  const entries = view.getUint16(at, little);
  for (let entry = at + 2; entry < at + 2 + 12 * entries && entry + 12 <= bytes.length; entry += 12) {
    if (view.getUint16(entry, little) !== orientationTag) continue;
    const value = view.getUint16(entry + 8, little);
    return value >= 1 && value <= 8 ? (value as Orientation8) : 1;
  }
  return 1;
}

/** The orientation of a PNG, from its part eXIf; 1 where there is none. */
export function pngOrientation(bytes: Uint8Array): Orientation8 {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  for (let at = 8; at + 12 <= bytes.length; ) {
    const length = view.getUint32(at);
    if (String.fromCharCode(...bytes.subarray(at + 4, at + 8)) === 'eXIf') return tiffOrientation(bytes.subarray(at + 8, at + 8 + length));
    at += 12 + length;
  }
  return 1;
}

/** The same picture put upright. The data are given back as they are where there is nothing to turn. */
export function upright(width: number, height: number, data: Float32Array, orientation: Orientation8): { width: number; height: number; data: Float32Array } {
  if (orientation === 1) return { width, height, data };
  // Where the first pixel of the upright picture lies in the stored one, and the steps there for one column and one row.
  const right = 1, down = width, last = width * height - 1;
  const topRight = width - 1, bottomLeft = (height - 1) * width;
  const [start, columnStep, rowStep] = ({
    2: [topRight, -right, down],
    3: [last, -right, -down],
    4: [bottomLeft, right, -down],
    5: [0, down, right],
    6: [bottomLeft, -down, right],
    7: [last, -down, -right],
    8: [topRight, down, -right],
  } as const)[orientation];
  const [newWidth, newHeight] = orientation < 5 ? [width, height] : [height, width];
  const turned = new Float32Array(data.length);
  for (let row = 0, i = 0; row < newHeight; row++) {
    for (let column = 0, from = start + row * rowStep; column < newWidth; column++, from += columnStep) turned[i++] = data[from];
  }
  return { width: newWidth, height: newHeight, data: turned };
}
