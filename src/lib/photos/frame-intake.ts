import { BadInput } from '../files/bad-input.ts';
import type { Photograph } from '../files/photograph.ts';
import type { Light, Rectangle } from './light.ts';
import { linearise, type Curve } from './linearise.ts';
import type { FrameKind, FrameList } from './photo-scan.ts';

/** What is noted of every photograph as it comes in. */
export interface IntakeFacts {
  /** Of the photographs, before anything is cropped. */
  readonly width: number;
  readonly height: number;
  /** Share of each frame's pixels at full scale. */
  readonly saturated: Readonly<Record<FrameKind, number[]>>;
  /** How many photographs seem to be written so. */
  readonly encodings: Readonly<Record<Photograph['encoding'], number>>;
  /** Sums of the channels' means over the coloured views and flats. */
  readonly red: number;
  readonly green: number;
  readonly blue: number;
}

/**
 * Takes the light of one photograph after the other, and notes what is to be reported.
 * Throws BadInput where one has another size than the first.
 */
export function frameIntake(curve: Curve, crop: Rectangle | undefined, nameOf: FrameList['nameOf']): { light: (photograph: Photograph, kind: FrameKind, k: number) => Light; facts: IntakeFacts } {
  const facts = { width: 0, height: 0, saturated: { views: [] as number[], dark: [] as number[], flat: [] as number[] }, encodings: { srgb: 0, linear: 0, unknown: 0 }, red: 0, green: 0, blue: 0 };
  let first = '';
  const light = (photograph: Photograph, kind: FrameKind, k: number): Light => {
    const { width, height, channels } = photograph;
    if (first === '') {
      first = nameOf(kind, k);
      facts.width = width;
      facts.height = height;
    }
    if (width !== facts.width || height !== facts.height) {
      throw new BadInput(`${nameOf(kind, k)} has ${width} × ${height} pixels and ${first} has ${facts.width} × ${facts.height}: all frames, dark and flat ones too, must have one size.`);
    }
    facts.saturated[kind][k] = photograph.saturated / (width * height);
    facts.encodings[photograph.encoding]++;
    if (channels && kind !== 'dark') for (const name of ['red', 'green', 'blue'] as const) facts[name] += channels[name];
    return linearise(photograph, curve, crop);
  };
  return { light, facts };
}
