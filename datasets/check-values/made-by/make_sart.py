#!/usr/bin/python3
"""scikit-image 0.19.3 iradon_sart fixture: ten rounds over the views of skimage_radon_toft_64_45 (theta_k = k*4 degrees), each begun
from the last, relaxation 0.15, from an image of 0.  Input sinogram[t_index, view], axis at t_index n//2; output n x n, axis at pixel
(n//2, n//2); unit = grey value.  Its rays are sampled at equal distances inside the circle and its views taken by the golden section."""
import numpy as np, skimage
from skimage.transform import radon, iradon_sart
from make_images import *
n, N = 64, 45
th = np.arange(N)*180./N
S = radon(toft(n), th, circle=True)
R = None
for k in range(10): R = iradon_sart(S, th, image=R, relaxation=0.15)
dump('skimage_sart_toft_64_45_10.json', R, dict(source='scikit-image %s'%skimage.__version__, object='toft', n=n, views=N, theta_deg='k*180/%d'%N,
     kind='reconstruction', doc=__doc__, call='iradon_sart(sinogram, theta, image=previous, relaxation=0.15), ten times', input='skimage_radon_toft_64_45.json (full double precision)'))
