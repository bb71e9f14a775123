import { electronRest } from './electron-stopping.ts';

/**
 * How readily an electron knocks another out of an inner shell: cross section of an atom, cm².
 *   σ = electrons·a₀²·R·(Ry/I)²·φ·ψ·ln U/U,   U = T/I,   φ = 10.57·e^(−1.736/U + 0.317/U²),   ψ = (I/Ry)^(−0.0318 + 0.316/U − 0.1135/U²)
 *   R = (1 + 2J)/(U + 2J) · ((U + J)/(1 + J))² · [(1 + U)(U + 2J)(1 + J)² / (J²(1 + 2J) + U(U + 2J)(1 + J)²)]^1.5,   J = mc²/I
 * edge: I, keV.   keV: T, the electron's energy; 0 is returned up to the edge.   electrons: of the shell; 2, the K shell, when left out.
 * Fitted to K shells. Used for L shells it is a guess.
 * Source: Casnati, Tartari & Baraldi, J. Phys. B 15, 155 (1982), R being Gryziński's relativistic factor; from memory.
 */
export function shellIonisation(edge: number, keV: number, electrons = 2): number {
  const U = keV / edge;
  if (!(U > 1)) return 0;
  const J = electronRest / edge;
  const relativistic = ((1 + 2 * J) / (U + 2 * J)) * ((U + J) / (1 + J)) ** 2
    * (((1 + U) * (U + 2 * J) * (1 + J) ** 2) / (J * J * (1 + 2 * J) + U * (U + 2 * J) * (1 + J) ** 2)) ** 1.5;
  const phi = 10.57 * Math.exp(-1.736 / U + 0.317 / (U * U));
  const psi = (edge / rydberg) ** (-0.0318 + 0.316 / U - 0.1135 / (U * U));
  return electrons * bohrRadius ** 2 * relativistic * (rydberg / edge) ** 2 * phi * psi * (Math.log(U) / U);
}

/** keV and cm (CODATA). */
const rydberg = 0.013605693;
const bohrRadius = 5.29177e-9;
