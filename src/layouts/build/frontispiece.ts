/**
 * The book's own sinogram. Half a turn round the capsule is shared out among the chapters, and each chapter that is written brings
 * its views: the strips in the contents are those views, and the picture on the front page is what they make. It clears as the book grows.
 */
import { fbp, parallelBeam, type Sinogram } from '../../lib/index.ts';
import { chapters } from '../../widgets/book.ts';
import { still } from '../../widgets/film/still.ts';
import { gridFor, shadowsOf, specimen } from '../../widgets/specimen/specimen.ts';

export const viewsPerChapter = 13;
const detectors = 540;
const subject = specimen('capsule');
const geometry = parallelBeam({ views: viewsPerChapter * chapters.length, detectors, pitch: (2 * subject.radius) / detectors });
const whole = shadowsOf(subject, geometry);
const greatest = whole.data.reduce((most, value) => Math.max(most, value));

/** First and last view, counted from 1, of the chapter at this place in the book. */
export function viewsOf(place: number): [first: number, last: number] {
  return [place * viewsPerChapter + 1, (place + 1) * viewsPerChapter];
}

/** A chapter's views as a picture, a row each; black where the chapter is not written. */
export function strip(place: number): string {
  const rows = written(place) ? whole.data.slice(place * viewsPerChapter * detectors, (place + 1) * viewsPerChapter * detectors) : new Float32Array(viewsPerChapter * detectors);
  return still({ width: detectors, height: viewsPerChapter, data: rows }, [0, greatest], 'grey');
}

/** What those views make of the capsule. Each counts for its own share of the turn; what no view saw is left out. */
export function slicePicture(size = 360): string {
  const image = fbp(seen(), geometry, { grid: gridFor(subject, size), window: 'hann', cutoff: 0.9 });
  const share = chapters.filter((_, place) => written(place)).length / chapters.length;
  return still(image, [0, 0.6 * subject.white * share], 'grey');
}

function written(place: number): boolean {
  return chapters[place].written;
}

function seen(): Sinogram {
  const data = whole.data.map((value, index) => (written(Math.floor(index / (viewsPerChapter * detectors))) ? value : 0));
  return { ...whole, data };
}
