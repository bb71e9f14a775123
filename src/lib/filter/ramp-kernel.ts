/**
 * The ramp filter as a list of numbers: the ramp |f|, cut off at the Nyquist frequency 1/(2·pitch), seen at the detector's cells.
 *   h(0) = 1/(4·pitch²) · h(n) = −1/(π·n·pitch)² for odd n · 0 for even n
 * length: how many; index 0 is n = 0, index 1 is n = 1 …, and the second half holds the negative n, so that index length − 1 is
 *   n = −1: the order in which a Fourier transform wants it.   pitch: mm, > 0.   Result: 1/mm².
 * Never |f| sampled at the frequencies of a transform: that sets the mean of every view to nothing and leaves the picture low
 * (1 % in a disc of 40 cells, G. L. Zeng, IEEE Trans. Nucl. Sci. 62 (2015) 131).
 * Source: Kak & Slaney, Principles of Computerized Tomographic Imaging (1988), ch. 3, eq. (61).
 */
// region ramp-kernel
export function rampKernel(length: number, pitch: number): Float64Array {
  const kernel = new Float64Array(length);
  for (let i = 0; i < length; i++) {
    const n = i <= length / 2 ? i : i - length;
    if (n === 0) kernel[i] = 1 / (4 * pitch ** 2);
    else if (n % 2 !== 0) kernel[i] = -1 / (Math.PI * n * pitch) ** 2;
  }
  return kernel;
}
// endregion
