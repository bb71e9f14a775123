/**
 * A question that one of the published rules answers. diameter: of the object, mm. detail: the smallest full period to be kept, a
 * line and its gap, mm, which a detector shows when its pitch at the object is half of it. pitch: of the detector, at the object, mm.
 */
export type ViewsQuestion =
  | { readonly rule?: 'period'; readonly diameter: number; readonly detail: number }
  | { readonly rule: 'pitch'; readonly diameter: number; readonly pitch: number }
  | { readonly rule: 'one-pixel'; readonly diameter: number; readonly pitch: number }
  | { readonly rule: 'rays'; readonly rays: number }
  | { readonly rule: 'fan'; readonly diameter: number; readonly detail: number; readonly fanAngle: number };

export interface ViewsAnswer {
  /** What the rule gives, before rounding. */
  readonly exact: number;
  /** Rounded up: views to take. */
  readonly views: number;
  /** Over which turn, radians: π or 2π. */
  readonly turn: number;
}

/**
 * How many equally spaced views a scan needs. The rules differ by factors of two in what they call a detail and a turn:
 *   period     N = π·diameter/detail over 180°. Crowther, DeRosier & Klug, Proc. R. Soc. A 317:319 (1970), section 6.2.
 *   pitch      the same with detail = 2·pitch: N = (π/2)·diameter/pitch over 180°; the step at the rim is then one pitch.
 *              Kak & Slaney 1988: views ≈ (π/2) · rays (citation from memory).
 *   one-pixel  the same with detail = pitch: twice as many, where a "detail" is called one pixel.
 *   rays       N = π·q for 2q + 1 rays a view, over 180°. Natterer (citation from memory). As `pitch`, counted in rays.
 *   fan        N = 4π·(diameter/2)·(1/detail) / (1 − sin(fanAngle/2)) over 360°, fanAngle the full fan in radians.
 *              Joseph & Schulz, Medical Physics 7:692 (1980) (formula from memory).
 */
export function viewsNeeded(question: ViewsQuestion): ViewsAnswer {
  const exact = rule(question);
  if (!(exact > 0) || !Number.isFinite(exact)) throw new RangeError(`No number of views answers ${JSON.stringify(question)}: every figure should be above 0, a fan below 180°.`);
  // Rounding must not ask for one view more where the rule comes out whole.
  return { exact, views: Math.ceil(exact * (1 - 1e-12)), turn: question.rule === 'fan' ? 2 * Math.PI : Math.PI };
}

function rule(question: ViewsQuestion): number {
  switch (question.rule) {
    case 'pitch': return (Math.PI * question.diameter) / (2 * question.pitch);
    case 'one-pixel': return (Math.PI * question.diameter) / question.pitch;
    case 'rays': return (Math.PI * (question.rays - 1)) / 2;
    case 'fan': return (2 * Math.PI * question.diameter) / question.detail / (1 - Math.sin(question.fanAngle / 2));
    default: return (Math.PI * question.diameter) / question.detail;
  }
}

/**
 * The rule `period` turned round: the smallest full period, mm, that `views` over 180° keep at the rim of an object of this
 * diameter: π·diameter/views. Half of it is the pitch that these views are worth: diameter/pitch = 2·views/π samples a view.
 */
export function detailKept(diameter: number, views: number): number {
  return (Math.PI * diameter) / views;
}
