/** The terms of the trade, explained once and shown wherever a chapter leans on them. */

export interface Term {
  /** How the text names it: <Term of="sinogram">sinogram</Term>. Lower case with hyphens. */
  readonly key: string;
  /** As it stands in the glossary: 'line integral'. */
  readonly name: string;
  /** One to three sentences, in Markdown with $math$; [other terms](#key) link within the glossary. */
  readonly explains: string;
  /** The letter the book uses for it, in TeX without dollars: 'p(\\theta, s)'. */
  readonly symbol?: string;
}

export const glossary: readonly Term[] = [
  // What a ray loses
  {
    key: 'transmission',
    name: 'transmission',
    explains: 'The share of the light that gets through: the brightness behind the object divided by the brightness at the same spot without it.',
    symbol: 'I/I_0',
  },
  {
    key: 'attenuation',
    name: 'attenuation',
    explains: 'What a material takes from a ray, whether it swallows the light or throws it aside. Its measure is the share taken by each millimetre of a very thin layer, in 1/mm.',
    symbol: '\\mu',
  },
  {
    key: 'mass-attenuation',
    name: 'mass attenuation',
    explains: '[Attenuation](#attenuation) divided by density, in cm²/g: what tables list, because it does not change when a material is packed more loosely. Times the density in g/cm³, divided by ten, it is the attenuation in 1/mm.',
    symbol: '\\mu/\\rho',
  },
  {
    key: 'line-integral',
    name: 'line integral',
    explains: 'The [attenuation](#attenuation) met along a ray, each millimetre counted once: a number without unit. It is minus the natural logarithm of the [transmission](#transmission).',
    symbol: 'p',
  },
  {
    key: 'half-value-layer',
    name: 'half-value layer',
    explains: 'The thickness of a material that lets half of the beam through. For a narrow beam of one energy it is $\\ln 2$ divided by the [attenuation](#attenuation).',
  },
  {
    key: 'kev',
    name: 'keV',
    explains: 'Kiloelectronvolt, the energy that an electron gains in crossing a thousand volts; the usual unit for the energy of an X-ray photon.',
    symbol: 'E',
  },
  {
    key: 'k-edge',
    name: 'K edge',
    explains: 'The energy at which a photon is just strong enough to knock an electron out of an atom\'s innermost (K) shell. The [attenuation](#attenuation) of that element jumps up there.',
  },
  {
    key: 'scatter',
    name: 'scatter',
    explains: 'Light or X-rays that an object throws off their straight way and that still reach the detector. It adds a haze that no straight ray explains.',
  },
  {
    key: 'beam-hardening',
    name: 'beam hardening',
    explains: 'The rise of a beam\'s mean energy as it goes through matter, because the lower energies are taken first. Thick parts then seem to attenuate less per millimetre than thin ones.',
  },
  {
    key: 'flat',
    name: 'flat picture',
    explains: 'A photograph of the glow with no object in the beam. Dividing by it takes out an uneven lamp, screen or lens.',
    symbol: 'I_0',
  },

  // From a photograph to line integrals
  {
    key: 'raw',
    name: 'raw file',
    explains: 'A camera\'s picture as its cells counted it, in proportion to the light, before colours are mixed and a curve is applied.',
  },
  {
    key: 'dark-frame',
    name: 'dark frame',
    explains: 'A photograph with the beam off and all else the same: what the camera reports without light. It is subtracted from every other photograph.',
    symbol: 'I_d',
  },
  {
    key: 'vignetting',
    name: 'vignetting',
    explains: 'The fall of brightness towards the corners of a photograph, because the lens gathers less light from there. Dividing by the [flat picture](#flat) takes it out.',
  },
  {
    key: 'veiling-glare',
    name: 'veiling glare',
    explains: 'Light of the bright parts that is scattered in the lens or the box and laid over the whole picture as a haze. It makes thick parts look thin.',
  },
  {
    key: 'hot-pixel',
    name: 'hot pixel',
    explains: 'A cell of the camera that reports light where there is none. It is bright in the [dark frame](#dark-frame) too, always in the same place.',
  },

  // How a scan is laid out
  {
    key: 'slice',
    name: 'slice',
    explains: 'The inside of an object on one plane square to the axis of rotation: the [attenuation](#attenuation) at every point of that plane.',
    symbol: '\\mu(x, y)',
  },
  {
    key: 'view',
    name: 'view',
    explains: 'One shadow, taken at one angle. A scan is a list of views with their angles.',
  },
  {
    key: 'detector',
    name: 'detector',
    explains: 'Whatever measures the light: here a row of equal cells, each of which gives one number for each view.',
    symbol: 's',
  },
  {
    key: 'pitch',
    name: 'pitch',
    explains: 'The distance from the middle of one detector cell to the middle of the next, in mm.',
  },
  {
    key: 'axis-offset',
    name: 'axis offset',
    explains: 'How far from the middle of the detector the axis of rotation falls, in mm, counted towards higher cells.',
  },
  {
    key: 'magnification',
    name: 'magnification',
    explains: 'How much larger the shadow is than the object: the distance from source to detector divided by the distance from source to axis.',
  },
  {
    key: 'focal-spot',
    name: 'focal spot',
    explains: 'The patch of a tube\'s target on which the electrons land and from which the X-rays come; in a lamp, whatever glows. Its width blurs every shadow that is larger than life.',
    symbol: 'a',
  },
  {
    key: 'penumbra',
    name: 'penumbra',
    explains: 'The soft rim of a shadow, where an edge hides a part of the [focal spot](#focal-spot) and not all of it. Its width on the detector is also called geometric unsharpness: the width of the spot times the [magnification](#magnification) less one.',
    symbol: 'U_g',
  },
  {
    key: 'effective-pixel',
    name: 'effective pixel',
    explains: 'How finely a scan can see at the object: the [penumbra](#penumbra) and the width of a cell, added as squares and divided by the [magnification](#magnification). Also called effective beam width.',
    symbol: '\\varepsilon',
  },
  {
    key: 'parallel-beam',
    name: 'parallel beam',
    explains: 'A beam whose rays all run the same way. Its shadows are as large as the object.',
  },
  {
    key: 'fan-beam',
    name: 'fan beam',
    explains: 'A beam whose rays spread from one point in the plane of a slice, as from a lamp or an X-ray tube behind a slit. Its shadows are magnified.',
  },
  {
    key: 'fan-angle',
    name: 'fan angle',
    explains: 'The angle of a [fan beam](#fan-beam) at the source, from one edge to the other. A field of radius $r$ at the distance $R$ needs twice the angle whose sine is $r/R$.',
    symbol: '2\\delta',
  },
  {
    key: 'cone-beam',
    name: 'cone beam',
    explains: 'A beam that spreads from one point in all directions, so that each photograph holds a shadow of the whole object and not of one slice.',
  },
  {
    key: 'cone-angle',
    name: 'cone angle',
    explains: 'How far the rays of a [cone beam](#cone-beam) leave the plane in which the source goes round. In this book it is half of the cone: the angle from that plane to the highest ray that matters.',
    symbol: '\\kappa',
  },
  {
    key: 'feldkamp',
    name: 'Feldkamp\'s method',
    explains: 'Reconstruction of a volume from a [cone beam](#cone-beam) on a circle: each row of the detector is treated as a tilted [fan](#fan-beam) and smeared back along its true rays. Exact in the plane of the source, an approximation above and below it.',
  },
  {
    key: 'missing-cone',
    name: 'missing cone',
    explains: 'The directions of edges that a source on a circle leaves unmeasured at a point off its plane: all those within the [cone angle](#cone-angle) of the axis. Flat faces that lie square to the axis are the first to go.',
  },
  {
    key: 'short-scan',
    name: 'short scan',
    explains: 'A [fan beam](#fan-beam) turned through half a turn plus the angle of the fan: just enough for every ray to be measured at least once. Rays that were measured twice are weighted so that they count once.',
  },
  {
    key: 'radon-transform',
    name: 'Radon transform',
    explains: 'The rule that takes a [slice](#slice) to all of its [line integrals](#line-integral), one for every angle and every distance from the axis.',
    symbol: 'p(\\theta, s)',
  },
  {
    key: 'sinogram',
    name: 'sinogram',
    explains: 'All the shadows of one slice, laid in rows: one row for each [view](#view), one column for each cell of the [detector](#detector).',
    symbol: 'p(\\theta, s)',
  },
  {
    key: 'mass',
    name: 'mass of a view',
    explains: 'The [line integrals](#line-integral) of one view added up, times the [pitch](#pitch), in mm. With a parallel beam it is the same from every side: the attenuation of the whole slice.',
  },
  {
    key: 'centre-of-mass',
    name: 'centre of mass',
    explains: 'The mean position of a view, each cell weighted by its [line integral](#line-integral). With a parallel beam it moves along one sinusoid as the object turns.',
  },
  {
    key: 'specimen',
    name: 'specimen',
    explains: 'The object under study. In this book it is the one you picked, and every plate that can show it does.',
  },
  {
    key: 'phantom',
    name: 'phantom',
    explains: 'An object of known shape and value used to test a method. Where it is made of simple shapes its shadows can be worked out exactly.',
  },

  // From shadows to a picture
  {
    key: 'backprojection',
    name: 'backprojection',
    explains: 'Smearing every view back along the rays that made it, and adding up: each point gets the sum over all views of the one ray that went through it.',
    symbol: 'b(x, y)',
  },
  {
    key: 'adjoint',
    name: 'adjoint',
    explains: 'The adjoint, or transpose, of a linear rule hands every result back to exactly the inputs that it came from, with the same weights. [Backprojection](#backprojection) is the adjoint of taking shadows.',
  },
  {
    key: 'point-spread',
    name: 'point spread',
    explains: 'The picture that a method makes of a single point. If it is the same everywhere, every picture is the true one with each point replaced by this spread.',
  },
  {
    key: 'fourier-transform',
    name: 'Fourier transform',
    explains: 'How much of each wave, from slow to fast, a signal is made of. The waves are counted in cycles per mm.',
    symbol: 'P(\\theta, f)',
  },
  {
    key: 'frequency',
    name: 'spatial frequency',
    explains: 'How many crests of a wave fit in a millimetre, in 1/mm. High frequencies draw edges and fine detail, low ones draw slow shading.',
    symbol: 'f',
  },
  {
    key: 'ramp-filter',
    name: 'ramp filter',
    explains: 'The filter that multiplies each [frequency](#frequency) of a view by its size $|f|$. It undoes exactly the blur of [backprojection](#backprojection).',
    symbol: '|f|',
  },
  {
    key: 'kernel',
    name: 'kernel',
    explains: 'A filter written as a short list of weights: each filtered value is the weighted sum of its neighbours.',
    symbol: 'h',
  },
  {
    key: 'convolution',
    name: 'convolution',
    explains: 'Replacing every value by a copy of one fixed shape, scaled by that value, and adding the copies up.',
  },
  {
    key: 'window',
    name: 'window (of a filter)',
    explains: 'A curve that turns the [ramp filter](#ramp-filter) down at high frequencies, so that noise is not lifted as much as detail. It costs sharpness.',
  },
  {
    key: 'cutoff',
    name: 'cut-off',
    explains: 'The frequency above which a filter lets nothing through, here given as a share of the [Nyquist frequency](#nyquist-frequency).',
    symbol: 'f_c',
  },
  {
    key: 'nyquist-frequency',
    name: 'Nyquist frequency',
    explains: 'The highest frequency that samples can tell apart: one cycle in two samples, or $1/(2\\,\\text{pitch})$.',
  },
  {
    key: 'aliasing',
    name: 'aliasing',
    explains: 'A fast wave, sampled too coarsely, that passes itself off as a slow one. Once the samples are taken nothing can tell the two apart.',
  },
  {
    key: 'streak',
    name: 'streak',
    explains: 'A straight line in a picture that is not in the object: what is left of one ray when too few others cross it to cancel it.',
  },
  {
    key: 'cupping',
    name: 'cupping',
    explains: 'An even thing whose picture is lower in the middle than near its rim, like a cup seen in profile. [Beam hardening](#beam-hardening), [scatter](#scatter) and glare all do it.',
  },
  {
    key: 'ring',
    name: 'ring',
    explains: 'A circle about the axis in a slice that is not in the object: what a cell of the detector becomes that shows a little too much or too little in every [view](#view).',
  },
  {
    key: 'filtered-backprojection',
    name: 'filtered backprojection',
    explains: 'Filter every view with the [ramp](#ramp-filter), then smear the views back. With enough views it returns the attenuation in 1/mm.',
  },

  // Guessing a slice
  {
    key: 'system-of-equations',
    name: 'system of equations',
    explains: 'All rays of a scan, each as one equation: the pixels that it crosses, each times the length crossed, add up to its [line integral](#line-integral).',
    symbol: 'Ax = b',
  },
  {
    key: 'residual',
    name: 'residual',
    explains: 'The misfit: the measured shadows less those that the present picture casts, mostly given as one number, their root mean square.',
    symbol: 'b - Ax',
  },
  {
    key: 'sirt',
    name: 'SIRT',
    explains: 'Simultaneous iterative reconstruction technique: each ray’s [residual](#residual) is shared out along the ray, all rays correct the picture at once, and again.',
  },
  {
    key: 'art',
    name: 'ART',
    explains: 'Algebraic reconstruction technique: the picture is corrected after every single ray. SART corrects it after each [view](#view), [SIRT](#sirt) after all of them.',
  },
  {
    key: 'relaxation',
    name: 'relaxation',
    explains: 'How much of a correction is taken in each iteration, between 0 and 2. Less is calmer, more is quicker.',
    symbol: '\\lambda',
  },
  {
    key: 'subset',
    name: 'subset',
    explains: 'A part of the views, spread over the turn, after which the picture is corrected already. So many subsets, about so many times fewer iterations.',
  },
  {
    key: 'semi-convergence',
    name: 'semi-convergence',
    explains: 'With noise in the data, an iteration first comes nearer to the object and then goes away from it again, while its [residual](#residual) keeps falling.',
  },
  {
    key: 'discrepancy-principle',
    name: 'discrepancy principle',
    explains: 'Stop as soon as the [residual](#residual) is as small as the noise of the data: to go on would fit the noise. Morozov’s rule.',
  },
  {
    key: 'weighted-least-squares',
    name: 'weighted least squares',
    explains: 'To make the sum of squared [residuals](#residual) least, each square counted with one over the variance of its ray, so that noisier rays say less.',
  },
  {
    key: 'prior',
    name: 'prior',
    explains: 'What is held true of an object before its scan is looked at, and used to choose among the pictures that fit. It fills in what was not measured, rightly or wrongly.',
  },
  {
    key: 'support',
    name: 'support',
    explains: 'Where the object may be. Pixels outside it are held at 0.',
  },
  {
    key: 'total-variation',
    name: 'total variation',
    explains: 'How much a picture goes up and down, added up over its pixels. To keep it small is a [prior](#prior) for even patches with sharp edges: it removes noise and streaks, makes stairs of ramps, and takes faint small details away.',
    symbol: '\\sum_j \\left|\\nabla x\\right|_j',
  },

  // Looking and judging
  {
    key: 'window-and-level',
    name: 'window and level',
    explains: 'Which values are shown from black to white: the level is the value shown as middle grey, the window is the range from black to white.',
  },
  {
    key: 'pixel',
    name: 'pixel',
    explains: 'One square cell of a picture. Its edge in mm says how large the picture is in the world.',
  },
  {
    key: 'profile',
    name: 'profile',
    explains: 'The values of a picture along a straight line, drawn as a graph.',
  },
  {
    key: 'fwhm',
    name: 'width at half height',
    explains: 'How wide a bump is between the two places where it reaches half its height (full width at half maximum): the usual measure of how far a point is spread.',
  },
  {
    key: 'rmse',
    name: 'rmse',
    explains: 'Root mean square error: square the differences between two pictures, take the mean, take the root. It has the unit of the pictures, here 1/mm.',
  },
  {
    key: 'psnr',
    name: 'psnr',
    explains: 'Peak signal-to-noise ratio: the [rmse](#rmse) as decibels below a stated range of values. Twenty decibels more mean ten times less error.',
  },
  {
    key: 'ssim',
    name: 'ssim',
    explains: 'Structural similarity: how well brightness, contrast and pattern agree in small windows of two pictures; 1 when they are the same. It depends on the window, so the setting is always named.',
  },
  {
    key: 'correlation',
    name: 'correlation',
    explains: 'How nearly two pictures lie on a straight line when plotted against each other; 1 when one is a stretched and shifted copy of the other.',
  },
  {
    key: 'noise',
    name: 'noise',
    explains: 'The part of a measurement that would come out different next time. Counting photons is noisy by nature: among $N$ of them the scatter is about $\\sqrt N$.',
  },

  // From slices to a solid
  {
    key: 'voxel',
    name: 'voxel',
    explains: 'One cube of a volume, as a [pixel](#pixel) is one square of a picture. It holds the mean [attenuation](#attenuation) of what is in it.',
  },
  {
    key: 'trilinear-interpolation',
    name: 'trilinear interpolation',
    explains: 'The value at a point between eight [voxels](#voxel): straight lines along x, then along y between the results, then along z. At the middle of a voxel it is that voxel\'s own value.',
  },
  {
    key: 'opacity',
    name: 'opacity',
    explains: 'In a picture cast through a volume: what each millimetre hides of what is behind it, in 1/mm. It does for invented light what [attenuation](#attenuation) does for X-rays.',
    symbol: '\\omega',
  },
  {
    key: 'transfer-function',
    name: 'transfer function',
    explains: 'The rule that gives each value of a volume its [opacity](#opacity) and its brightness in a picture.',
  },
  {
    key: 'threshold',
    name: 'threshold',
    explains: 'The value that parts inside from outside. The surface of a part belongs half-way between the attenuations of the two materials that meet there.',
  },
  {
    key: 'partial-volume',
    name: 'partial volume',
    explains: 'That a [voxel](#voxel) cut by a face holds the mean of two materials, and so looks like a third that is not there.',
  },
  {
    key: 'standard-error',
    name: 'standard error',
    explains: 'How uncertain a mean is: the standard deviation of one value divided by the square root of the number of independent values.',
  },
  {
    key: 'mesh',
    name: 'mesh',
    explains: 'A surface made of triangles that share their edges and corners. It holds no values, only a shape.',
  },
  {
    key: 'watertight',
    name: 'watertight',
    explains: 'Said of a mesh in which every edge belongs to exactly two triangles that run along it in opposite directions: it has an inside, and a volume.',
  },

  // Tubes, exposure and dose
  {
    key: 'tube-voltage',
    name: 'tube voltage',
    explains: 'The voltage between the two ends of an X-ray tube, given by its peak in kV or kVp. No photon has more energy in [keV](#kev) than the voltage has kV.',
  },
  {
    key: 'mas',
    name: 'mAs',
    explains: 'Milliampere-second: the current through a tube times the length of an exposure. At one voltage and with one filter the number of photons is proportional to it.',
  },
  {
    key: 'air-kerma',
    name: 'air kerma',
    explains: 'The energy that X-rays hand to a kilogram of air, in gray (Gy, joules in a kilogram): what an instrument in the beam measures, from which a dose to a body can be worked out.',
    symbol: 'K',
  },
  {
    key: 'sievert',
    name: 'sievert',
    explains: 'The unit of radiation dose to people, Sv: [gray](#air-kerma) weighted by the kind of radiation (1 for X-rays) and, for the dose to the whole body, by how much harm it does to each organ.',
  },
  {
    key: 'filter',
    name: 'filter (in a beam)',
    explains: 'A sheet of metal before the object that takes the soft part out of the beam: photons that would have been lost in the object without showing it.',
  },
  {
    key: 'effective-energy',
    name: 'effective energy',
    explains: 'The energy whose photons, all alike, would have the same [half-value layer](#half-value-layer) as the beam. It belongs to the material in which the layer was measured.',
  },
  {
    key: 'quantum-sink',
    name: 'quantum sink',
    explains: 'The stage between tube and file at which the fewest quanta carry the picture. Its count rules the [noise](#noise); it should be the X-rays absorbed in the screen.',
  },
  {
    key: 'f-number',
    name: 'f-number',
    explains: 'Focal length of a lens over the width of its opening. The smaller it is, the more light the lens collects: half the f-number, about four times the light.',
    symbol: 'k',
  },
  {
    key: 'broad-beam',
    name: 'broad beam',
    explains: 'A beam so wide that what a barrier scatters reaches the person behind it as well. More gets through than of a narrow beam, of which everything scattered is lost.',
  },
  {
    key: 'leakage',
    name: 'leakage',
    explains: 'Radiation that leaves a tube or its housing by another way than the window.',
  },
  {
    key: 'duty-cycle',
    name: 'duty cycle',
    explains: 'The share of the time that the tube is on: the length of an exposure over that of an exposure and the rest after it.',
  },
  {
    key: 'interlock',
    name: 'interlock',
    explains: 'A switch that cuts the high voltage when a door or a lid is opened or a part is missing, and that does not switch it on again by itself.',
  },
  {
    key: 'optimisation',
    name: 'optimisation (of protection)',
    explains: 'The rule that doses are kept as low as is reasonably achievable, however far below the limits they are already.',
  },

  // A scan before it is taken
  {
    key: 'plan-file',
    name: 'plan file',
    explains: 'A scan that is still to be taken, written down: object, tube, filters, distances, screen, camera, exposure, views, stage and room.',
  },
  {
    key: 'blur-budget',
    name: 'budget of blur',
    explains: 'Everything that blurs a view, each as a width at the object: spot, [pixel](#pitch), screen, and what moves meanwhile. The widths are added as squares, so that the largest rules.',
  },
  {
    key: 'rose',
    name: 'Rose\'s rule',
    explains: 'To be found for certain among [noise](#noise), a thing should stand out by about five times its standard deviation. A thing of many pixels can do with less in each.',
  },
  {
    key: 'microstep',
    name: 'microstep',
    explains: 'A part, say a sixteenth, of a stepping motor\'s full step, made by sharing the current between two windings. A motor is sent to whole microsteps only.',
  },
  {
    key: 'run-sheet',
    name: 'run sheet',
    explains: 'The paper beside the machine: what to check before power, every frame with its angle, position and rest, what to write down, and how to go on after an upset.',
  },
];
