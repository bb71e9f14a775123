/**
 * Frames out of a film of the turning object, on a page or in a module worker, with the browser's own decoder (WebCodecs).
 *
 * What the picked values mean. A camera films with a tone curve of its own choosing, then as a rule codes the result after BT.709
 * (ITU-R BT.709-6, from memory: V = 1.099·L^0.45 − 0.099, 4.5·L in the darkest part) in limited range, 16 to 235 of 256, with the
 * colours at half resolution and the whole compressed with loss. The browser widens 16 … 235 to 0 … 255 and takes the result for sRGB;
 * Chromium does so along a straight line (tests/site/video.test.ts), another browser may also move it from the one curve to the other.
 * What comes out is 8 bits with 220 greys, not in proportion to light: it has to go through a curve measured with the same camera and
 * settings, as a JPEG has. Exposure, white balance and focus must have been locked while filming; a film in high dynamic range (HLG, PQ)
 * is pressed into these 8 bits by a mapping that is the browser's secret, see Film.highRange.
 */
import { VideoSampleSink, type VideoSample } from 'mediabunny';
import type { Work } from '../../lib/index.ts';
import { checkReadsTrue, previewSize, sheetOf } from './video-canvas.ts';
import { complaint, readFilm, undecodable, type FilmFile } from './video-file.ts';
import { chooseFrames, frameNames, inBatches, inSeconds, nearestFrame, type Choice } from './video-times.ts';

export { pickTimes, unevenSentence, type Choice } from './video-times.ts';

export interface PickedFrame {
  /** clip-001.png, numbered in the order of the views. */
  readonly name: string;
  /** A PNG without loss, upright, 8 bits a colour. */
  readonly bytes: Uint8Array;
  /** When the frame was taken, seconds from the first frame of the film. */
  readonly at: number;
}

export interface Film {
  readonly name: string;
  /** Of the upright picture, in square pixels. */
  readonly width: number;
  readonly height: number;
  readonly seconds: number;
  /** Frames a second on average. */
  readonly rate: number;
  /** The gaps between frames are not all alike: the shortest and the longest, s. unevenSentence says it. */
  readonly uneven?: { readonly shortest: number; readonly longest: number };
  /** Filmed in high dynamic range: the greys are mapped to 8 bits in an unknown way. Missing when not. */
  readonly highRange?: true;
  /** The frame nearest to a time, for looking at: a JPEG, upright, its longer side at most `longest` pixels (480 when left out). */
  readonly frameAt: (seconds: number, longest?: number) => Promise<Blob>;
  /**
   * The frames of the views, in order, one picture at a time; see pickTimes and chooseFrames for which. Ends early by return or work.signal.
   * Throws BadInput: a choice that cannot be, a film that cannot be decoded there, a browser that alters pixels.
   */
  readonly pick: (choice: Choice, work: Work) => AsyncGenerator<PickedFrame>;
  /** Lets go of the file and the decoder; nothing can be asked afterwards. */
  readonly close: () => void;
}

/**
 * Opens a film: MP4, MOV, WebM, Matroska or an MPEG transport stream, whose codec this browser can decode. Its time stamps are read, its pictures not.
 * On a page, what WebCodecs cannot decode is tried with a video element; in a worker there is none, and the page may then call openFilmByElement.
 * memory: what decoded frames may take while they wait to be saved, bytes; one frame waits in any case.
 * Throws BadInput, one sentence that begins with `name`.
 */
export async function openFilm(file: Blob, name: string, { memory = 64e6 }: { memory?: number } = {}): Promise<Film> {
  const film = await readFilm(file, name);
  try {
    if (typeof OffscreenCanvas !== 'undefined' && (await film.track.canDecode())) return await decoded(film, memory);
    if (typeof document === 'undefined') throw undecodable(film);
    const { filmByElement } = await import('./video-element.ts');
    return await filmByElement(file, film);
  } catch (error) {
    film.close();
    throw error;
  }
}

async function decoded(film: FilmFile, memory: number): Promise<Film> {
  const { name, width, height, seconds, rate, uneven, times, origin, track, close } = film;
  const sink = new VideoSampleSink(track);

  async function frameAt(at: number, longest = 480): Promise<Blob> {
    const time = times[nearestFrame(times, at)];
    const sheet = sheetOf(...previewSize(width, height, longest));
    let sample: VideoSample | null;
    try {
      sample = await sink.getSample(time + origin);
    } catch (error) {
      throw complaint(error, name, `The film could not be decoded at ${inSeconds(time)}`);
    }
    if (!sample) throw missing(name, time);
    lay(sample, sheet.context);
    return sheet.blob('image/jpeg');
  }

  async function* pick(choice: Choice, { signal, progress }: Work): AsyncGenerator<PickedFrame> {
    const chosen = chooseFrames(name, film, choice);
    checkReadsTrue(name);
    signal?.throwIfAborted();
    progress?.(0);
    const names = frameNames(name, chosen.length);
    const sheet = sheetOf(width, height);
    let done = 0;
    for (const batch of inBatches(chosen, width, height, memory)) {
      const samples = sink.samplesAtTimestamps(batch.map((frame) => times[frame] + origin));
      try {
        for (const frame of batch) {
          let sample: VideoSample | null | undefined | void;
          try {
            sample = (await samples.next()).value;
          } catch (error) {
            throw complaint(error, name, `The film could not be decoded at ${inSeconds(times[frame])}`);
          }
          if (!sample) throw missing(name, times[frame]);
          const at = sample.timestamp - origin;
          lay(sample, sheet.context);
          const bytes = new Uint8Array(await (await sheet.blob('image/png')).arrayBuffer());
          signal?.throwIfAborted();
          progress?.(++done / chosen.length);
          yield { name: names[done - 1], bytes, at };
          signal?.throwIfAborted();
        }
      } finally {
        await samples.return();
      }
    }
  }

  const highRange = (await track.hasHighDynamicRange()) ? { highRange: true as const } : {};
  return { name, width, height, seconds, rate, ...(uneven ? { uneven } : {}), ...highRange, frameAt, pick, close };
}

/** Draws a decoded frame upright over the whole sheet and lets it go: decoders have few places for frames. */
function lay(sample: VideoSample, context: CanvasRenderingContext2D | OffscreenCanvasRenderingContext2D): void {
  sample.draw(context, 0, 0, context.canvas.width, context.canvas.height);
  sample.close();
}

function missing(name: string, time: number): unknown {
  return complaint(new Error('the decoder gave no picture'), name, `The film could not be decoded at ${inSeconds(time)}`);
}
