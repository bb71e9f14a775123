/** What is done to each view before it is smeared back. */
export interface Filter {
  readonly window: WindowName | WindowFunction;
  /** Frequencies above cutoff · Nyquist are taken out; 0 < cutoff ≤ 1, and 1 when left out. */
  readonly cutoff?: number;
}

/** 'none' is no filter at all: the views are smeared back as they are. The others are gains on the ramp. */
export type WindowName = 'none' | 'ramp' | 'shepp-logan' | 'hann' | 'cosine';

/** The gain on the ramp at frequency f, both in cycles/mm, 0 ≤ f ≤ fc; fc is the cut-off. */
export type WindowFunction = (f: number, fc: number) => number;

export const windowNames = ['none', 'ramp', 'shepp-logan', 'hann', 'cosine'] as const satisfies readonly WindowName[];

/**
 * The named windows as gains on the ramp, 1 at f = 0.
 *   ramp 1 · shepp-logan sinc(f/2fc) · cosine cos(πf/2fc) · hann ½ + ½ cos(πf/fc),  sinc x = sin(πx)/(πx)
 * Source: Kak & Slaney, Principles of Computerized Tomographic Imaging (1988), ch. 3, for the ramp; Shepp & Logan (1974) for
 * theirs; the other two are common practice.
 */
// region windows
export const windowFunctions: Readonly<Record<Exclude<WindowName, 'none'>, WindowFunction>> = {
  ramp: () => 1,
  'shepp-logan': (f, fc) => (f === 0 ? 1 : Math.sin((Math.PI * f) / (2 * fc)) / ((Math.PI * f) / (2 * fc))),
  cosine: (f, fc) => Math.cos((Math.PI * f) / (2 * fc)),
  hann: (f, fc) => 0.5 + 0.5 * Math.cos((Math.PI * f) / fc),
};
// endregion
