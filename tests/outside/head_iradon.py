#!/usr/bin/python3
"""The head of Shepp and Logan (1974) from 402 exact views on 256 x 256, reconstructed by scikit-image's iradon: the figures that
src/lib/verify/reconstruction.ts expects. NumPy and scikit-image only; nothing here comes from the project's own library.

Square -1...1 of 200 mm, a grey of 1 is 0.02/mm; pixels and cells of 200/256 mm; axis at pixel and cell 128, as iradon takes it; views at
k * 180 deg / 402; line integrals through the middles of the cells. Truth: the mean of 8 x 8 points in each pixel. The brain: pixels
whose centres lie 3 pixels or more inside the inner ellipse of the skull (its semi-axes less 3 pixels)."""
import json
import numpy as np
import skimage
from skimage.transform import iradon

ELLIPSES = [  # grey, semi-axes along x and y, centre, tilt in degrees: Shepp & Logan (1974), Table 1
    (2, .69, .92, 0, 0, 0), (-.98, .6624, .874, 0, -.0184, 0), (-.02, .11, .31, .22, 0, -18), (-.02, .16, .41, -.22, 0, 18),
    (.01, .21, .25, 0, .35, 0), (.01, .046, .046, 0, .1, 0), (.01, .046, .046, 0, -.1, 0), (.01, .046, .023, -.08, -.605, 0),
    (.01, .023, .023, 0, -.605, 0), (.01, .023, .046, .06, -.605, 0)]
N, VIEWS, SIDE, SCALE = 256, 402, 200., .02
PIXEL = SIDE / N

def value(x, y):
    f = np.zeros(np.broadcast(x, y).shape)
    for g, a, b, x0, y0, tilt in ELLIPSES:
        c, s = np.cos(np.deg2rad(tilt)), np.sin(np.deg2rad(tilt))
        u, v = (x - x0) * c + (y - y0) * s, (y - y0) * c - (x - x0) * s
        f += g * ((u / a) ** 2 + (v / b) ** 2 <= 1)
    return f

def line_integral(t, theta):
    p = np.zeros(np.broadcast(t, theta).shape)
    for g, a, b, x0, y0, tilt in ELLIPSES:
        w = (a * np.cos(theta - np.deg2rad(tilt))) ** 2 + (b * np.sin(theta - np.deg2rad(tilt))) ** 2
        s = t - x0 * np.cos(theta) - y0 * np.sin(theta)
        p += 2 * g * a * b * np.sqrt(np.maximum(w - s * s, 0)) / w
    return p

half = SIDE / 2  # mm to a unit of the tables
theta = np.arange(VIEWS) * np.pi / VIEWS
cells = (np.arange(N) - N // 2) * PIXEL / half
sinogram = line_integral(cells[:, None], theta[None, :]) * half * SCALE
picture = iradon(sinogram, np.rad2deg(theta), filter_name='ramp', circle=True) / PIXEL

fine = (np.arange(8 * N) + .5) / 8 - .5 - N // 2
x, y = fine * PIXEL / half, -fine * PIXEL / half
truth = value(x[None, :], y[:, None]).reshape(N, 8, N, 8).mean((1, 3)) * SCALE
px = (np.arange(N) - N // 2) * PIXEL
a, b, y0 = .6624 * half - 3 * PIXEL, .874 * half - 3 * PIXEL, -.0184 * half
brain = (px[None, :] / a) ** 2 + ((-px[:, None] - y0) / b) ** 2 <= 1
error = (picture - truth)[brain]
slope, intercept = np.polyfit(truth[px[None, :] ** 2 + px[:, None] ** 2 <= 95 ** 2], picture[px[None, :] ** 2 + px[:, None] ** 2 <= 95 ** 2], 1)
print(json.dumps(dict(made_by='scikit-image %s, NumPy %s' % (skimage.__version__, np.__version__), pixels=int(brain.sum()),
    rms_error_per_mm=float(np.sqrt((error ** 2).mean())), mean_over_true_mean=float(picture[brain].mean() / truth[brain].mean()),
    slope_within_95_mm=float(slope), brain_true_mean=float(truth[brain].mean()))))
