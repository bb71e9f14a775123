#!/usr/bin/python3
"""Filters on a small picture, by SciPy: what the steps on photographs must give.  Writes photo_filters.json."""
import base64, json
import numpy as np, scipy
from scipy import ndimage

rng = np.random.default_rng(5)
height, width = 31, 44
y, x = np.mgrid[:height, :width]
picture = (100 + 40 * np.sin(x / 5) * np.cos(y / 7) + 3 * x + rng.normal(0, 6, (height, width))).astype('<f4')
picture[9, 17] += 300; picture[20:22, 30] += 150

ring = np.ones((5, 5), bool); ring[1:4, 1:4] = False
def keep(a): return dict(shape=list(a.shape), data_base64=base64.b64encode(a.astype('<f4').tobytes()).decode(), sum=float(a.sum()), probes={'0,0': float(a[0, 0]), '10,12': float(a[10, 12])})
out = dict(doc=__doc__, by=f'numpy {np.__version__}, scipy {scipy.__version__}', picture=keep(picture),
  gaussian={str(s): keep(ndimage.gaussian_filter(picture.astype('f8'), s, mode='reflect', truncate=4)) for s in (1.5, 3, 9, 14)},
  ring_median=keep(ndimage.generic_filter(picture.astype('f8'), np.median, footprint=ring, mode='reflect')))
json.dump(out, open('photo_filters.json', 'w'), indent=1)
