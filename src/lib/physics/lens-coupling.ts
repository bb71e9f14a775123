/**
 * Share of the light of a screen that a lens brings to the sensor. The screen shines evenly to all sides as matt paper does (Lambert).
 *   η = T / (1 + 4·F²·(1 + 1/m)²)
 * fNumber: F, as marked on the lens (wide open, for a distant object).   magnification: m, size of the picture on the sensor over size on the screen.
 * lensTransmission: T, what glass and mirrors let through; 0.85 when left out (common practice, no source).
 * Throws RangeError for an fNumber or a magnification of 0 or below, or a transmission outside 0…1.
 * Source: Liu, Karellas, Harris & D'Orsi, Appl. Opt. 33, 1994, and Hejazi & Trauernicht, Med. Phys. 24, 287 (1997), from memory; it is sin² of the
 * half angle under which a point of the screen sees a thin lens's pupil, f/F wide at a distance of f·(1 + 1/m), to the first order.
 */
export function lensCoupling(fNumber: number, magnification: number, lensTransmission = 0.85): number {
  if (!(fNumber > 0)) throw new RangeError(`The lens has an f-number of ${fNumber}; it should be above 0.`);
  if (!(magnification > 0)) throw new RangeError(`The picture on the sensor is ${magnification} times as large as the screen; it should be above 0.`);
  if (!(lensTransmission > 0 && lensTransmission <= 1)) throw new RangeError(`The lens lets a share of ${lensTransmission} through; it should be above 0 and at most 1.`);
  return lensTransmission / (1 + (2 * fNumber * (1 + 1 / magnification)) ** 2);
}
