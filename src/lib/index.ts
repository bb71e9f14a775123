/** The public face of the library: the contents page. */
export * from './types.ts';

// Long work, in steps that can be followed and stopped
export * from './engine/steps.ts';

// What X-rays lose in a material
export * from './physics/attenuation.ts';
