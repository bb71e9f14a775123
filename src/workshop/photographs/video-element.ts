/**
 * Frames out of a film by way of a video element, for a page whose browser has no WebCodecs (or none here: it needs https or localhost) or
 * decodes more in the element. Slower, as every frame is sought by itself. What the values mean is said in video.ts.
 */
import type { Work } from '../../lib/index.ts';
import type { Film, PickedFrame } from './video.ts';
import { checkReadsTrue, previewSize, sheetOf } from './video-canvas.ts';
import { complaint, readFilm, undecodable, type FilmFile } from './video-file.ts';
import { chooseFrames, frameNames, inSeconds, nearestFrame, type Choice } from './video-times.ts';

/** A seek that takes longer than this is taken for a failure, ms. */
const PATIENCE = 20_000;
/** How long to wait, after a seek, for word of which frame is shown, ms; a frame that was on show already gives no word. */
const WORD = 250;

/** As openFilm, with a video element. On a page only. */
export async function openFilmByElement(file: Blob, name: string): Promise<Film> {
  const film = await readFilm(file, name);
  try {
    return await filmByElement(file, film);
  } catch (error) {
    film.close();
    throw error;
  }
}

/** The same of a file whose structure is read already; closing the film closes it too. */
export async function filmByElement(file: Blob, film: FilmFile): Promise<Film> {
  const { name, seconds, rate, uneven, times, origin } = film;
  const video = Object.assign(document.createElement('video'), { muted: true, playsInline: true, preload: 'auto' });
  const address = URL.createObjectURL(file);
  const close = () => {
    video.removeAttribute('src');
    video.load();
    URL.revokeObjectURL(address);
    film.close();
  };
  const shown = watch(video);
  video.src = address;
  try {
    await happening(video, 'loadeddata', () => undecodable(film));
    if (video.videoWidth === 0) throw undecodable(film); // sound alone is played too
  } catch (error) {
    close();
    throw error;
  }
  const { videoWidth: width, videoHeight: height } = video;
  // Some players count from the file's first time stamp, others from 0: the first frame tells.
  const zero = (await shown(() => true)) ?? origin;

  /** Shows a frame by seeking to the middle of its time, where no rounding reaches its neighbours; gives its time. */
  async function seek(frame: number): Promise<number> {
    const target = zero + times[frame] + ((times[frame + 1] ?? seconds) - times[frame]) / 2;
    if (Math.abs(video.currentTime - target) > 1e-6) {
      const there = happening(video, 'seeked', () => complaint(new Error('the player stopped'), name, `The film could not be decoded at ${inSeconds(times[frame])}`));
      video.currentTime = target;
      await there;
    }
    const time = await shown((time) => nearestFrame(times, time - zero) === frame);
    return time === undefined ? times[frame] : time - zero;
  }

  // There is one element: whoever asks waits for those before.
  let turn: Promise<unknown> = Promise.resolve();
  function inTurn<T>(work: () => Promise<T>): Promise<T> {
    const mine = turn.then(work);
    turn = mine.catch(() => undefined);
    return mine;
  }

  const frameAt = (at: number, longest = 480) => inTurn(async () => {
    await seek(nearestFrame(times, at));
    const size = previewSize(width, height, longest);
    const sheet = sheetOf(...size);
    sheet.context.drawImage(video, 0, 0, ...size);
    return sheet.blob('image/jpeg');
  });

  async function* pick(choice: Choice, { signal, progress }: Work): AsyncGenerator<PickedFrame> {
    const chosen = chooseFrames(name, film, choice);
    checkReadsTrue(name);
    signal?.throwIfAborted();
    progress?.(0);
    const names = frameNames(name, chosen.length);
    const sheet = sheetOf(width, height);
    for (const [k, frame] of chosen.entries()) {
      const { bytes, at } = await inTurn(async () => {
        const at = await seek(frame);
        sheet.context.drawImage(video, 0, 0, width, height);
        return { at, bytes: new Uint8Array(await (await sheet.blob('image/png')).arrayBuffer()) };
      });
      signal?.throwIfAborted();
      progress?.((k + 1) / chosen.length);
      yield { name: names[k], bytes, at };
      signal?.throwIfAborted();
    }
  }

  const highRange = (await film.track.hasHighDynamicRange()) ? { highRange: true as const } : {};
  return { name, width, height, seconds, rate, ...(uneven ? { uneven } : {}), ...highRange, frameAt, pick, close };
}

/**
 * Follows which frame the element shows. The function it gives waits until one is shown whose time is wanted, and gives that time;
 * undefined where browsers do not tell.
 */
function watch(video: HTMLVideoElement): (wanted: (time: number) => boolean) => Promise<number | undefined> {
  let latest: number | undefined;
  let heard = () => {};
  const listen = () => video.requestVideoFrameCallback?.((_, { mediaTime }) => {
    latest = mediaTime;
    heard();
    listen();
  });
  listen();
  return (wanted) => new Promise((resolve) => {
    const timer = setTimeout(() => end(undefined), WORD);
    const end = (time: number | undefined) => {
      clearTimeout(timer);
      heard = () => {};
      resolve(time);
    };
    heard = () => { if (latest !== undefined && wanted(latest)) end(latest); };
    heard();
  });
}

function happening(video: HTMLVideoElement, kind: 'loadeddata' | 'seeked', fault: () => unknown): Promise<void> {
  return new Promise((resolve, reject) => {
    const done = (settle: () => void) => () => {
      clearTimeout(timer);
      video.removeEventListener(kind, good);
      video.removeEventListener('error', bad);
      settle();
    };
    const good = done(resolve);
    const bad = done(() => reject(fault()));
    const timer = setTimeout(bad, PATIENCE);
    video.addEventListener(kind, good);
    video.addEventListener('error', bad);
  });
}
