/** The public face of the library: the contents page. */
export * from './types.ts';
