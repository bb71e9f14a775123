#!/usr/bin/python3
"""Times scikit-image on one task and prints JSON. Usage: peers.py task size views runs
tasks: iradon (ramp, linear interpolation, filter included), radon, sart (iradon_sart, one pass over all views).
Where the field is a circle, it is taken so: the values do not matter to the time, they are seeded noise."""
import json
import resource
import sys
import time

import numpy as np
import skimage
from skimage.transform import iradon, iradon_sart, radon

task, size, views, runs = sys.argv[1], *map(int, sys.argv[2:])
random = np.random.default_rng(1)
sinogram, picture = random.random((size, views)), random.random((size, size))
y, x = np.mgrid[:size, :size] - size // 2
picture[x ** 2 + y ** 2 > (size // 2) ** 2] = 0
theta = np.arange(views) * 180. / views
tasks = {
    'iradon': lambda: iradon(sinogram, theta, filter_name='ramp', circle=True),
    'radon': lambda: radon(picture, theta, circle=True),
    'sart': lambda: iradon_sart(sinogram, theta),
}
seconds = []
for _ in range(runs):
    start = time.perf_counter()
    tasks[task]()
    seconds.append(time.perf_counter() - start)
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
print(json.dumps({'version': skimage.__version__, 'milliseconds': [1000 * s for s in seconds], 'peak': peak}))
