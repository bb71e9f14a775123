/** The book's order: chapters, and the plates in each. Every number that a reader sees ("Plate 5.2") comes from here. */

export interface Chapter {
  readonly number: number;
  readonly slug: string;
  readonly title: string;
  /** False until the text is there; the contents then say so. */
  readonly written: boolean;
  /** Plate ids (folder names in src/widgets), in the order in which the chapter shows them. */
  readonly plates: readonly string[];
}

export const chapters: readonly Chapter[] = [
  { number: 0, slug: 'before-you-switch-anything-on', title: 'Before you switch anything on', written: true, plates: [] },
  { number: 1, slug: 'shadows', title: 'Shadows', written: true, plates: ['ray'] },
  { number: 2, slug: 'from-glow-to-numbers', title: 'From glow to numbers', written: true, plates: ['light', 'cupping'] },
  { number: 3, slug: 'turning', title: 'Turning', written: true, plates: ['turning'] },
  { number: 4, slug: 'smearing-back', title: 'Smearing back', written: true, plates: ['smear'] },
  { number: 5, slug: 'filtering', title: 'Filtering', written: true, plates: ['fourier-slice', 'window'] },
  { number: 6, slug: 'how-many-views', title: 'How many views?', written: true, plates: ['views'] },
  { number: 7, slug: 'the-beam-spreads', title: 'The beam spreads', written: true, plates: ['penumbra', 'fan', 'discs'] },
  { number: 8, slug: 'when-the-rig-misbehaves', title: 'When the rig misbehaves', written: true, plates: ['faults'] },
  { number: 9, slug: 'exposure-and-dose', title: 'Exposure and dose', written: true, plates: ['spectrum', 'photons', 'barrier', 'rests'] },
  { number: 10, slug: 'few-views-better-guesses', title: 'Few views, better guesses', written: true, plates: ['corrections', 'priors', 'too-much'] },
  { number: 11, slug: 'from-slices-to-a-solid', title: 'From slices to a solid', written: true, plates: ['any-cut', 'look-through', 'threshold'] },
  { number: 12, slug: 'rehearse-your-scan', title: 'Rehearse your scan', written: true, plates: [] },
  { number: 13, slug: 'your-own-scan', title: 'Your own scan', written: true, plates: [] },
];
