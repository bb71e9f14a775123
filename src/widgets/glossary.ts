/** The terms of the trade, explained once and shown wherever a chapter leans on them. */

export interface Term {
  /** How the text names it: <Term of="sinogram">sinogram</Term>. Lower case with hyphens. */
  readonly key: string;
  /** As it stands in the glossary: 'line integral'. */
  readonly name: string;
  /** One to three sentences, in Markdown with $math$; [other terms](#key) link within the glossary. */
  readonly explains: string;
  /** The letter the book uses for it, in TeX without dollars: 'p(\\theta, s)'. */
  readonly symbol?: string;
}

export const glossary: readonly Term[] = [
  {
    key: 'sinogram',
    name: 'sinogram',
    explains: 'All the shadows of one slice, laid in rows: one row for each view, one column for each cell of the detector.',
    symbol: 'p(\\theta, s)',
  },
];
