// The kernels, as AssemblyScript: TypeScript's grammar, WebAssembly's types. Compiled by scripts/build-kernels.mjs.
// They take addresses in the instance's memory, which the host (kernels.ts beside this folder) hands out.
export { heapBase } from './memory';
export { smearParallel, setFan, smearFan } from './smear-flat';
export { setCone, smearCone } from './smear-cone';
export { filterRows } from './filter';
export { projectRays, spreadRays, gatherTransposed, scatterTransposed } from './project-flat';
export { projectColumn, spreadColumn, projectRay, spreadRay, toColumns, fromColumns } from './project-cone';
