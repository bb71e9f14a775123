#!/usr/bin/python3
"""Times scikit-image's iradon (ramp, linear interpolation, filter included) on size x size from so many views; prints JSON.
Usage: iradon.py size views repeats. The values do not matter to the time taken: they are seeded noise."""
import json
import sys
import time

import numpy as np
import skimage
from skimage.transform import iradon

size, views, repeats = map(int, sys.argv[1:])
sinogram = np.random.default_rng(1).random((size, views))
theta = np.arange(views) * 180. / views
seconds = []
for _ in range(repeats):
    start = time.perf_counter()
    iradon(sinogram, theta, filter_name='ramp', circle=True)
    seconds.append(time.perf_counter() - start)
print(json.dumps({'version': skimage.__version__, 'milliseconds': [1000 * s for s in seconds]}))
