/** Films made in the browser under test: every frame carries its number, a wedge of greys and a grey of its own. Runs in a page. */
import { BufferTarget, CanvasSource, MovOutputFormat, Mp4OutputFormat, Output, Quality, VideoSample, VideoSampleSource, WebMOutputFormat, type Rotation } from 'mediabunny';

export const filmWidth = 256;
export const filmHeight = 144;
/** Frame k as a number of 9 bits, read from left to right, in bars above; below a wedge of 8 greys, and below that the grey of frame k. */
export const wedge = [0, 36, 73, 109, 146, 182, 219, 255];
export const greyOf = (frame: number) => (frame * 7) % 256;

export interface FilmOrder {
  /** When each frame begins, s. */
  readonly times: readonly number[];
  readonly format: 'webm' | 'mp4' | 'mov';
  readonly codec: 'vp8' | 'vp9' | 'av1' | 'avc';
  /** Clockwise, written into the file for players. */
  readonly rotation?: Rotation;
  /** Seconds between frames that can be decoded by themselves. */
  readonly keys?: number;
}

export async function makeFilm({ times, format, codec, rotation = 0, keys = 1 }: FilmOrder): Promise<Blob> {
  const canvas = new OffscreenCanvas(filmWidth, filmHeight);
  const context = canvas.getContext('2d')!;
  const target = new BufferTarget();
  const output = new Output({ format: format === 'webm' ? new WebMOutputFormat() : format === 'mp4' ? new Mp4OutputFormat() : new MovOutputFormat(), target });
  const source = new CanvasSource(canvas, { codec, quality: new Quality({ bitrate: 4e6 }), keyFrameInterval: keys });
  output.addVideoTrack(source, { rotation });
  await output.start();
  for (const [k, time] of times.entries()) {
    paint(context, k);
    await source.add(time, (times[k + 1] ?? time + 0.04) - time);
  }
  await output.finalize();
  return new Blob([target.buffer!]);
}

/** A film as cameras code it, BT.709 in limited range: frame k is one flat grey whose stored brightness is k, 0 … 255; 25 frames a second. */
export async function makeStoredGreys(): Promise<Blob> {
  const target = new BufferTarget();
  const output = new Output({ format: new WebMOutputFormat(), target });
  const source = new VideoSampleSource({ codec: 'vp9', quality: new Quality({ bitrate: 4e6 }) });
  output.addVideoTrack(source);
  await output.start();
  const [width, height] = [64, 64];
  for (let k = 0; k < 256; k++) {
    const planes = new Uint8Array(1.5 * width * height).fill(128).fill(k, 0, width * height);
    const colorSpace = { primaries: 'bt709', transfer: 'bt709', matrix: 'bt709', fullRange: false } as const;
    const sample = new VideoSample(planes, { format: 'I420', codedWidth: width, codedHeight: height, timestamp: k / 25, duration: 1 / 25, colorSpace });
    await source.add(sample);
    sample.close();
  }
  await output.finalize();
  return new Blob([target.buffer!]);
}

function paint(context: OffscreenCanvasRenderingContext2D, frame: number): void {
  const fill = (grey: number, ...area: [number, number, number, number]) => {
    context.fillStyle = `rgb(${grey}, ${grey}, ${grey})`;
    context.fillRect(...area);
  };
  fill(0, 0, 0, filmWidth, filmHeight);
  for (let bit = 0; bit < 9; bit++) fill((frame >> (8 - bit)) & 1 ? 255 : 0, bit * 28, 0, 28, 48);
  wedge.forEach((grey, i) => fill(grey, i * 32, 48, 32, 48));
  fill(greyOf(frame), 0, 96, filmWidth, 48);
}
