import { del, get, set } from 'idb-keyval';
import type { Image } from '../../lib/index.ts';

/** The one slice that the workshop hands to the plates. It stays in this browser, in IndexedDB under the key 'own-slice'. */
export interface OwnSlice {
  readonly title: string;
  /** Attenuation in 1/mm. */
  readonly image: Image;
  /** Milliseconds since 1970; tells a new slice from an old one. */
  readonly saved: number;
}

const key = 'own-slice';

/** Puts the slice in the place of the one before and tells the plates on this page. */
export async function saveOwnSlice(image: Image, title: string): Promise<void> {
  const { width, height, pixelSize, data } = image;
  await set(key, { title, image: { width, height, pixelSize, data }, saved: Date.now() } satisfies OwnSlice);
  dispatchEvent(new CustomEvent('ownslice'));
}

/** The slice, or nothing when there is none or the browser keeps nothing. */
export async function ownSlice(): Promise<OwnSlice | undefined> {
  try {
    const slice = (await get(key)) as OwnSlice | undefined;
    return slice?.image?.data instanceof Float32Array ? slice : undefined;
  } catch {
    return undefined;
  }
}

export async function forgetOwnSlice(): Promise<void> {
  await del(key);
  dispatchEvent(new CustomEvent('ownslice'));
}
