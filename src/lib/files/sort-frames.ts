import { naturalOrder } from './natural-order.ts';

/** File names by what they hold, each list in natural order. */
export interface SortedFrames {
  readonly views: string[];
  readonly dark: string[];
  readonly flat: string[];
  /** Not pictures, by their ending. */
  readonly other: string[];
}

const pictures = /\.(jpe?g|jfif|png|tiff?|webp|avif|heic|heif|bmp|gif|3fr|arw|cr2|cr3|crw|dng|erf|iiq|kdc|mef|mos|mrw|nef|nrw|orf|pef|raf|raw|rw2|rwl|sr2|srf|srw|x3f)$/i;
const darkWords = new Set(['dark', 'darks', 'darkframe', 'darkframes', 'darkfield', 'black', 'blacks', 'bias', 'beamoff']);
const flatWords = new Set(['flat', 'flats', 'flatframe', 'flatframes', 'flatfield', 'white', 'whites', 'open', 'openbeam', 'blank', 'blanks', 'empty']);

/**
 * Which of a folder's files are views, dark frames (beam off) and flat frames (beam on, no object), by words in the name of the file
 * or of the folder nearest to it: dark-01.jpg, flat/IMG_4.jpg, WhiteField3.png. A darkroom or a flatiron is neither.
 */
export function sortFrames(names: readonly string[]): SortedFrames {
  const sorted: SortedFrames = { views: [], dark: [], flat: [], other: [] };
  for (const name of naturalOrder(names)) sorted[kindOf(name)].push(name);
  return sorted;
}

function kindOf(name: string): keyof SortedFrames {
  const parts = name.split(/[\\/]/);
  const file = parts.at(-1)!;
  // What a system leaves beside pictures: ._IMG_1.jpg and __MACOSX.
  if (!pictures.test(file) || file.startsWith('.') || parts.includes('__MACOSX')) return 'other';
  for (const part of [file.replace(/\.[^.]*$/, ''), parts.at(-2) ?? '']) {
    const words = wordsOf(part);
    if (words.some((word) => darkWords.has(word))) return 'dark';
    if (words.some((word) => flatWords.has(word))) return 'flat';
  }
  return 'views';
}

/** 'IMG_WhiteField03b' → img, white, field, b; and neighbours together: whitefield. */
function wordsOf(text: string): string[] {
  const words = text.replace(/(\p{Ll})(\p{Lu})/gu, '$1 $2').toLowerCase().split(/[^\p{L}]+/u).filter((word) => word !== '');
  return [...words, ...words.slice(1).map((word, i) => words[i] + word)];
}
