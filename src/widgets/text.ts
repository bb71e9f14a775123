/** What a chapter may use besides its plates. */
export { default as Caution } from './text/Caution.astro';
export { default as Cite } from './text/Cite.astro';
export { default as Exercise } from './exercise/Exercise.astro';
export { default as Maths } from './text/Maths.astro';
export { default as Plates } from './text/Plates.astro';
export { default as Reading } from './text/Reading.astro';
export { default as See } from './text/See.astro';
export { default as Side } from './text/Side.astro';
export { default as Summary } from './text/Summary.astro';
export { default as Term } from './text/Term.astro';
export { default as Value } from './value/Value.astro';
export { default as Worked } from './text/Worked.astro';
export { tex } from './value/format.ts';
