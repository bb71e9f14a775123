/**
 * Parker's weight of a ray of a short scan: how much of it to take, where some rays were seen twice.
 *   sin²(π/4 · β/(δ − γ))             0 ≤ β ≤ 2δ − 2γ           the ray comes again later
 *   1                                 2δ − 2γ ≤ β ≤ π − 2γ      seen once
 *   sin²(π/4 · (π + 2δ − β)/(δ + γ))  π − 2γ ≤ β ≤ π + 2δ       seen before
 *   0                                 outside 0 … π + 2δ
 * beta: view angle from the beginning of the arc, coverage().start, in whichever order the views were taken; gamma: the ray's angle
 * at the source, counter-clockwise positive as in rayOf; delta: half of what the arc has beyond π, (coverage().span − π)/2, which is
 * the widest |γ| where the arc just sees every ray; at most π/2. All radians.
 * A ray and its conjugate (β + π + 2γ, −γ) add up to 1, also for |γ| > δ where both were seen.
 * Source: Parker, Medical Physics 9:254 (1982), citation from memory; the identity and its integral are tested.
 */
export function parkerWeight(beta: number, gamma: number, delta: number): number {
  if (beta < 0 || beta >= Math.PI + 2 * delta) return 0;
  if (beta < 2 * (delta - gamma)) return squaredSine((Math.PI / 4) * (beta / (delta - gamma)));
  if (beta <= Math.PI - 2 * gamma) return 1;
  return squaredSine((Math.PI / 4) * ((Math.PI + 2 * delta - beta) / (delta + gamma)));
}

function squaredSine(angle: number): number {
  const sine = Math.sin(angle);
  return sine * sine;
}
