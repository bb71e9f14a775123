/** The pages after the chapters, in the order in which the contents list them. */
export const backMatter = [
  { path: '/is-it-right/', title: 'Is it right?', about: 'The library against published values, computed in your browser' },
  { path: '/how-fast/', title: 'How fast it is', about: 'The library’s speed beside general-purpose libraries, and how to measure it' },
  { path: '/practising-with-visible-light/', title: 'Practising with visible light', about: 'A lamp, a tank and dyed gelatine: the same shadows without X-rays' },
  { path: '/glossary/', title: 'Glossary', about: 'The terms of the trade in plain words' },
  { path: '/symbols/', title: 'Symbols', about: 'Letters, what they stand for, and their units' },
  { path: '/references/', title: 'References', about: 'Where the figures and the formulas come from' },
  { path: '/colophon/', title: 'Colophon', about: 'How the book is made, and under which licences' },
] as const;
