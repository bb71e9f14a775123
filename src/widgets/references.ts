/** The bibliography: every source that the book or its checks lean on. The order here does not matter; the book sorts and numbers. */

export interface Reference {
  /** How the text cites it: <Cite of="kak1988" />. */
  readonly key: string;
  /** As printed: "Kak, A. C. and Slaney, M." The first family name sorts the list. */
  readonly authors: string;
  readonly year: number;
  readonly title: string;
  /** Journal, volume and pages; or publisher and place; or the standard's body. */
  readonly where: string;
  /** The bare DOI, 10.…; shown as a link that the reader may follow. */
  readonly doi?: string;
  /** One sentence on what it is good for, shown in the reading lists. */
  readonly note?: string;
}

export const references: readonly Reference[] = [
  {
    key: 'kak1988',
    authors: 'Kak, A. C. and Slaney, M.',
    year: 1988,
    title: 'Principles of Computerized Tomographic Imaging',
    where: 'IEEE Press, New York; reprinted by SIAM in 2001',
    doi: '10.1137/1.9780898719277',
  },
];
