/** The numbers behind WebGPU's flags, from its specification: not every place that has WebGPU has the names. */
export const mapRead = 1, mapWrite = 2, copySource = 4, copyTarget = 8, uniform = 64, storage = 128;
export const textureTarget = 2, textureBinding = 4;
