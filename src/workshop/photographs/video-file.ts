/** A video file as it lies there: its track, its frames' times, its codec. Nothing is decoded. */
import { BlobSource, EncodedPacketSink, Input, InputDisposedError, Logging, LogLevel, MATROSKA, MP4, MPEG_TS, QTFF, WEBM, type InputVideoTrack } from 'mediabunny';
import { BadInput } from '../../lib/index.ts';
import { frameTimes, type FrameTimes } from './video-times.ts';

export interface FilmFile extends FrameTimes {
  readonly name: string;
  readonly track: InputVideoTrack;
  /** Upright, in square pixels. */
  readonly width: number;
  readonly height: number;
  /** The codec as a reader may have met it: H.264, ProRes. */
  readonly codec: string;
  readonly close: () => void;
}

const codecs: Record<string, string> = {
  avc: 'H.264', hevc: 'H.265 (HEVC)', vp8: 'VP8', vp9: 'VP9', av1: 'AV1', prores: 'ProRes',
  mp4v: 'MPEG-4 part 2', jpeg: 'Motion JPEG', mjpa: 'Motion JPEG', mjpb: 'Motion JPEG', V_MJPEG: 'Motion JPEG', 'V_MPEG4/ISO/ASP': 'MPEG-4 part 2', V_MPEG2: 'MPEG-2', V_THEORA: 'Theora', V_UNCOMPRESSED: 'no compression',
};

// What goes wrong is said in our sentences, not on the console.
Logging.level = LogLevel.Silent;

/** Reads the structure and the time stamps of a video file. Throws BadInput, one sentence that begins with the name. */
export async function readFilm(file: Blob, name: string): Promise<FilmFile> {
  if (file.size === 0) throw new BadInput(`${name}: This file is empty (0 bytes).`);
  const input = new Input({ source: new BlobSource(file), formats: [MP4, QTFF, WEBM, MATROSKA, MPEG_TS] });
  try {
    if (!(await input.canRead())) throw new BadInput(`${name}: This is not a film that can be read: MP4, MOV, WebM, Matroska and MPEG transport streams can.`);
    const track = await input.getPrimaryVideoTrack();
    if (!track) throw new BadInput(`${name}: There is no picture track in this file: it holds sound alone or is cut short.`);
    const codec = await codecOf(track);
    const stamps: number[] = [];
    let last = { timestamp: -Infinity, duration: 0 };
    for await (const packet of new EncodedPacketSink(track).packets(undefined, undefined, { metadataOnly: true })) {
      stamps.push(packet.timestamp);
      if (packet.timestamp > last.timestamp) last = packet;
    }
    const times = frameTimes(name, stamps, last.duration, 1 / (await track.getTimeResolution()));
    return { name, track, codec, width: await track.getDisplayWidth(), height: await track.getDisplayHeight(), ...times, close: () => input.dispose() };
  } catch (error) {
    input.dispose();
    throw complaint(error, name, 'This film is damaged or cut short');
  }
}

/** What went wrong in the toolkit or the decoder as a sentence of ours; a film that was closed meanwhile is no fault of the input. */
export function complaint(error: unknown, name: string, sentence: string): unknown {
  if (error instanceof BadInput || error instanceof InputDisposedError) return error;
  const { name: kind = '', message = String(error) } = error as { name?: string; message?: string };
  if (kind === 'AbortError') return error;
  if (kind === 'NotReadableError' || kind === 'NotFoundError') return new BadInput(`${name}: This file could not be read; it may have been moved or changed since.`);
  return new BadInput(`${name}: ${sentence} (${message.replace(/[.\s]+$/, '')}): export it again from its source.`);
}

export function undecodable({ name, codec }: Pick<FilmFile, 'name' | 'codec'>): BadInput {
  return new BadInput(`${name}: This browser cannot decode the film’s ${codec}: export its frames as PNG or JPEG, or save it anew as H.264 in MP4 or as VP9 in WebM.`);
}

async function codecOf(track: InputVideoTrack): Promise<string> {
  const known = await track.getCodec();
  const own = await track.getInternalCodecId();
  const key = known ?? (typeof own === 'string' ? own.trim() : '');
  return codecs[key] ?? (key ? `codec (${key.replace(/[^\x21-\x7e]/g, '?')})` : 'unknown codec');
}
