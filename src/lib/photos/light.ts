/** Light on the screen in one photograph, proportional to what fell on it: data[row · width + column], row 0 at the top. */
export interface Light {
  readonly width: number;
  readonly height: number;
  readonly data: Float32Array;
}

/** A part of a photograph, pixels; left and top counted from its upper left corner. */
export interface Rectangle {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
}

/** The steps from photographs to line integrals, in their order. */
export const photoSteps = ['linearise', 'dark', 'pixels', 'spots', 'bin', 'glare', 'flat', 'exposure', 'logarithm', 'columns', 'rings', 'hardening'] as const;
export type PhotoStep = (typeof photoSteps)[number];

/** What a step did: in a sentence, and in figures that a program can use. */
export interface StepReport {
  readonly step: PhotoStep;
  /** false: left out, because it was switched off or had nothing to work with; the sentence says which. */
  readonly done: boolean;
  readonly says: string;
  readonly figures: Readonly<Record<string, number>>;
}
