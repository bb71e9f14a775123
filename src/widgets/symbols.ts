/** The letters of the book, in the order in which a reader meets them. */

export interface BookSymbol {
  /** TeX, without dollars. */
  readonly tex: string;
  /** What it stands for, in Markdown with $math$. */
  readonly stands: string;
  /** '' for a bare number. */
  readonly unit: string;
  /** Slug of the chapter that brings it in. */
  readonly chapter: string;
}

export const symbols: readonly BookSymbol[] = [
  { tex: 'I', stands: 'Brightness that arrives behind the object.', unit: 'any, the same as $I_0$', chapter: 'shadows' },
  { tex: 'I_0', stands: 'Brightness at the same place without the object.', unit: 'any', chapter: 'shadows' },
  { tex: '\\mu', stands: 'Attenuation: the share of a thin beam that each millimetre takes. $\\mu(x, y)$ is the slice that a scan is after.', unit: '1/mm', chapter: 'shadows' },
  { tex: '\\rho', stands: 'Density.', unit: 'g/cm³', chapter: 'shadows' },
  { tex: '\\mu/\\rho', stands: 'Mass attenuation, as tables list it.', unit: 'cm²/g', chapter: 'shadows' },
  { tex: 'L', stands: 'Length of a ray’s path in a material.', unit: 'mm', chapter: 'shadows' },
  { tex: 'R', stands: 'Radius of a round object; in a fan beam, the distance from the source to the axis.', unit: 'mm', chapter: 'shadows' },
  { tex: 't', stands: 'Place along a ray, counted from where it passes closest to the axis.', unit: 'mm', chapter: 'shadows' },
  { tex: 'p', stands: 'Line integral of the attenuation along a ray. $p(\\theta, s)$ is the sinogram.', unit: '', chapter: 'shadows' },
  { tex: 'v', stands: 'Value that a camera stores for a brightness $I$, both as shares of full scale.', unit: '', chapter: 'from-glow-to-numbers' },
  { tex: 'I_d', stands: 'What the camera reports in the dark.', unit: 'the same as $I_0$', chapter: 'from-glow-to-numbers' },
  { tex: 'N_0', stands: 'Photons that a pixel of the uncovered screen counts.', unit: '', chapter: 'from-glow-to-numbers' },
  { tex: '\\sigma_p', stands: 'Noise of a line integral: its standard deviation.', unit: '', chapter: 'from-glow-to-numbers' },
  { tex: 'x, y', stands: 'Place in the slice: $x$ to the right, $y$ up, the axis of rotation at $(0, 0)$.', unit: 'mm', chapter: 'turning' },
  { tex: '\\theta', stands: 'Angle of the view. The ray $x\\cos\\theta + y\\sin\\theta = s$ belongs to it.', unit: 'rad (° in plates)', chapter: 'turning' },
  { tex: 's', stands: 'Distance of a ray from the axis, with a sign; also the place on the detector where that ray arrives.', unit: 'mm', chapter: 'turning' },
  { tex: 'r, \\varphi', stands: 'Distance of a point from the axis (or from a bead), and its direction.', unit: 'mm, rad', chapter: 'turning' },
  { tex: '\\beta, \\gamma', stands: 'In a fan: angle of the view, and angle of a ray from the middle one. $\\theta = \\beta + \\gamma$.', unit: 'rad', chapter: 'turning' },
  { tex: '\\delta', stands: 'Half of the fan’s opening.', unit: 'rad', chapter: 'turning' },
  { tex: 'b(x, y)', stands: 'Backprojection without a filter.', unit: '', chapter: 'smearing-back' },
  { tex: 'N', stands: 'Number of views.', unit: '', chapter: 'smearing-back' },
  { tex: 'm, w', stands: 'Mass of a bead (its attenuation added up over its area), and its width.', unit: 'mm, mm', chapter: 'smearing-back' },
  { tex: 'f', stands: 'Frequency along the detector.', unit: '1/mm', chapter: 'filtering' },
  { tex: 'u, v', stands: 'Frequency across the slice, along $x$ and along $y$.', unit: '1/mm', chapter: 'filtering' },
  { tex: 'P(\\theta, f)', stands: 'Fourier transform of one view.', unit: 'mm', chapter: 'filtering' },
  { tex: 'F(u, v)', stands: 'Fourier transform of the slice.', unit: 'mm', chapter: 'filtering' },
  { tex: '\\tau', stands: 'Pitch: distance between neighbouring cells of the detector.', unit: 'mm', chapter: 'filtering' },
  { tex: 'f_N, f_c', stands: 'Nyquist frequency $1/(2\\tau)$, and the cut-off of a window.', unit: '1/mm', chapter: 'filtering' },
  { tex: 'h_n', stands: 'Kernel of the ramp, at $n$ cells from its middle.', unit: '1/mm²', chapter: 'filtering' },
  { tex: 'W(f)', stands: 'Window: gain on the ramp at each frequency.', unit: '', chapter: 'filtering' },
  { tex: 'q(\\theta, s)', stands: 'Filtered view.', unit: '1/mm', chapter: 'filtering' },
  { tex: 'D, d', stands: 'Diameter of the object, and the finest full period (one line and one gap) that is to be seen in it.', unit: 'mm', chapter: 'how-many-views' },
  { tex: '\\Delta', stands: 'Pitch as it appears at the axis.', unit: 'mm', chapter: 'how-many-views' },
  { tex: 'f_{\\max}, \\nu', stands: 'Highest frequency in use.', unit: '1/mm', chapter: 'how-many-views' },
  { tex: '\\Gamma', stands: 'Full opening of the fan.', unit: 'rad', chapter: 'how-many-views' },
  { tex: 'J_k', stands: 'Bessel function of the first kind, of order $k$.', unit: '', chapter: 'how-many-views' },
  { tex: 'S', stands: 'Distance from the source to the detector.', unit: 'mm', chapter: 'the-beam-spreads' },
  { tex: 'M', stands: 'Magnification, $S/R$.', unit: '', chapter: 'the-beam-spreads' },
  { tex: 'a', stands: 'Width of the focal spot.', unit: 'mm', chapter: 'the-beam-spreads' },
  { tex: 'U_g', stands: 'Width of the penumbra on the detector, $a(M - 1)$.', unit: 'mm', chapter: 'the-beam-spreads' },
  { tex: '\\varepsilon', stands: 'Effective pixel: penumbra and cell together, at the object.', unit: 'mm', chapter: 'the-beam-spreads' },
  { tex: 'u', stands: 'In a fan or cone: place on the detector as it appears at the axis, $R\\tan\\gamma$.', unit: 'mm', chapter: 'the-beam-spreads' },
  { tex: '\\ell', stands: 'Distance of a point from the source, counted along the ray through the axis.', unit: 'mm', chapter: 'the-beam-spreads' },
  { tex: 'z', stands: 'Height above the plane of the source.', unit: 'mm', chapter: 'the-beam-spreads' },
  { tex: '\\kappa', stands: 'Angle at which a ray leaves the plane of the source; half of the cone.', unit: 'rad', chapter: 'the-beam-spreads' },
  { tex: 'g', stands: 'Width of a gap between flat faces.', unit: 'mm', chapter: 'the-beam-spreads' },
  { tex: 'x_{1/2}', stands: 'Half-value layer.', unit: 'mm', chapter: 'exposure-and-dose' },
  { tex: 'n', stands: 'Number of quanta at a stage, for each pixel and photograph.', unit: '', chapter: 'exposure-and-dose' },
  { tex: '\\eta', stands: 'Share of a screen’s light that a lens brings to the sensor.', unit: '', chapter: 'exposure-and-dose' },
  { tex: 'k', stands: 'f-number of a lens.', unit: '', chapter: 'exposure-and-dose' },
  { tex: 'm', stands: 'In a camera: size of the picture on the sensor over size on the screen.', unit: '', chapter: 'exposure-and-dose' },
  { tex: '\\sigma_f', stands: 'Noise of a pixel of the slice.', unit: '1/mm', chapter: 'exposure-and-dose' },
  { tex: 'T', stands: 'Share of a beam that a barrier lets through.', unit: '', chapter: 'exposure-and-dose' },
  { tex: 'Q, t_c', stands: 'Heat in a tube, and the time in which it loses all but 37 % of it.', unit: 'J, s', chapter: 'exposure-and-dose' },
  { tex: '\\alpha', stands: 'Share of the way from one voxel to the next.', unit: '', chapter: 'from-slices-to-a-solid' },
  { tex: '\\omega', stands: 'Opacity: what each millimetre hides in a picture cast through a volume.', unit: '1/mm', chapter: 'from-slices-to-a-solid' },
  { tex: 'B', stands: 'Brightness that a value has in such a picture.', unit: '', chapter: 'from-slices-to-a-solid' },
  { tex: '\\sigma', stands: 'Spread (standard deviation) of a blur.', unit: 'mm', chapter: 'from-slices-to-a-solid' },
  { tex: '\\sigma_e', stands: 'Spread of the error in one point of an edge.', unit: 'mm', chapter: 'from-slices-to-a-solid' },
  { tex: 'd, c, \\sigma_d', stands: 'A distance between two edges, the share by which its scale is uncertain, and its own uncertainty.', unit: 'mm, none, mm', chapter: 'from-slices-to-a-solid' },
];
