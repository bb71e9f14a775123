#!/usr/bin/python3
"""What general-purpose libraries make of volumes that are given by a formula: surfaces by scikit-image, points between voxels and fitted
circles by SciPy, regions by NumPy. Writes volumes.json. The formulas are repeated in
src/lib/verify/volumes.ts.

Arrays are [z][row][column]; x runs along columns, y against rows (row 0 at the top), z along slices; voxels of 0.5 mm, the middle of
the volume at (3, -2, 1) mm.
"""
import json
import numpy as np
import scipy
import skimage
from scipy.ndimage import map_coordinates
from scipy.optimize import least_squares
from skimage.measure import euler_number, marching_cubes, mesh_surface_area

VOXEL, MIDDLE = 0.5, np.array([3.0, -2.0, 1.0])


def places(width, height, depth):
    """x, y, z of every voxel, in voxels from the middle of the volume."""
    z, row, column = np.meshgrid(np.arange(depth), np.arange(height), np.arange(width), indexing="ij")
    return column - (width - 1) / 2, (height - 1) / 2 - row, z - (depth - 1) / 2


def ball(x, y, z):
    return 9.3 - np.sqrt((x - 0.2) ** 2 + (y + 0.3) ** 2 + (z - 0.1) ** 2)


def torus(x, y, z):
    return 3.2 - np.sqrt((np.sqrt((x - 0.2) ** 2 + (y + 0.3) ** 2) - 9.1) ** 2 + (z - 0.1) ** 2)


def frame(x, y, z):
    """Three tubes along the axes that meet in the middle: one piece with six openings, so five holes through it."""
    def tube(a, b, c):
        return np.minimum(3.4 - np.sqrt((a - 0.2) ** 2 + (b + 0.3) ** 2), 11.3 - np.abs(c - 0.1))
    outer = np.maximum(np.maximum(tube(x, y, z), tube(y, z, x)), tube(z, x, y))
    def bore(a, b):
        return np.sqrt((a - 0.1) ** 2 + (b - 0.2) ** 2) - 1.7
    return np.minimum(np.minimum(outer, bore(x, y)), np.minimum(bore(y, z), bore(z, x)))


def waves(x, y, z):
    """A field whose surface runs out of the volume: it is compared within a border of one voxel of -5."""
    return np.cos(x / 3.1 + 0.7) * np.cos(y / 2.7) + np.cos(z / 2.3 - 0.4) * 0.7 + np.cos((x + y + z) / 4.1) * 0.5


def surface_of(name, field, size, threshold, pad):
    values = field(*places(*size)).astype("f4")
    if pad is not None:
        values[[0, -1]] = pad
        values[:, [0, -1]] = pad
        values[:, :, [0, -1]] = pad
    vertices, faces, _, _ = marching_cubes(values, threshold, gradient_direction="descent")
    depth, height, width = values.shape
    z, row, column = vertices.T.astype("f8")
    xyz = np.stack([column - (width - 1) / 2, (height - 1) / 2 - row, z - (depth - 1) / 2], axis=1) * VOXEL + MIDDLE
    a, b, c = (xyz[faces[:, i]] for i in range(3))
    enclosed = abs(np.einsum("ij,ij->i", a - MIDDLE, np.cross(b - MIDDLE, c - MIDDLE)).sum() / 6)
    edges = np.unique(np.sort(np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]]), axis=1), axis=0)
    return {
        "name": name, "size": list(size), "threshold": threshold, "border": pad,
        "vertices": len(vertices), "triangles": len(faces), "euler": int(len(vertices) - len(edges) + len(faces)),
        "euler_of_voxels": int(euler_number(values >= threshold, connectivity=1)),
        "area": float(mesh_surface_area(xyz, faces)), "volume": float(enclosed),
        "mean_vertex": xyz.mean(axis=0).tolist(), "least": xyz.min(axis=0).tolist(), "greatest": xyz.max(axis=0).tolist(),
    }


def whole(width, height, depth):
    """Whole numbers of no pattern, exact in 32 bits."""
    z, row, column = np.meshgrid(np.arange(depth), np.arange(height), np.arange(width), indexing="ij")
    return ((column * 7919 + row * 104729 + z * 1299709 + column * row * z * 31) % 1009).astype("f4")


def main():
    rng = np.random.default_rng(20)
    surfaces = [
        surface_of("ball", ball, (24, 25, 26), 0.0, None),
        surface_of("torus", torus, (32, 33, 14), 0.0, None),
        surface_of("frame", frame, (30, 31, 32), 0.0, None),
        surface_of("waves", waves, (28, 26, 24), 0.31, -5.0),
    ]

    size = (12, 11, 10)
    values = whole(*size).astype("f8")
    points = (rng.random((60, 3)) - 0.5) * (np.array(size) - 1) * VOXEL + MIDDLE
    column = (points[:, 0] - MIDDLE[0]) / VOXEL + (size[0] - 1) / 2
    row = (size[1] - 1) / 2 - (points[:, 1] - MIDDLE[1]) / VOXEL
    z = (points[:, 2] - MIDDLE[2]) / VOXEL + (size[2] - 1) / 2
    between = map_coordinates(values, [z, row, column], order=1)

    x, y, h = (part * VOXEL + middle for part, middle in zip(places(*size), MIDDLE))
    regions = []
    for kind, inside in [
        ("ball", (x - 3.1) ** 2 + (y + 1.8) ** 2 + (h - 1.3) ** 2 <= 1.7 ** 2),
        ("box", (x >= 1.6) & (x <= 4.2) & (y >= -3.4) & (y <= -0.9) & (h >= -0.4) & (h <= 2.1)),
        ("disc", (np.abs(h - 1.25) < 0.1) & ((x - 3.1) ** 2 + (y + 1.8) ** 2 <= 1.7 ** 2)),
    ]:
        chosen = values[inside]
        regions.append({"kind": kind, "count": int(chosen.size), "mean": float(chosen.mean()), "deviation": float(chosen.std(ddof=1)), "least": float(chosen.min()), "greatest": float(chosen.max())})

    circles = []
    for count, arc, noise in [(12, 2 * np.pi, 0.05), (40, 2 * np.pi, 0.3), (15, 1.2, 0.02)]:
        angle = np.linspace(0, arc, count, endpoint=False) + 0.4
        spots = np.stack([4.5 + 7.25 * np.cos(angle), -1.5 + 7.25 * np.sin(angle)], axis=1) + noise * rng.standard_normal((count, 2))
        found = least_squares(lambda c: np.hypot(spots[:, 0] - c[0], spots[:, 1] - c[1]) - c[2], [*spots.mean(axis=0), 5], xtol=1e-15, ftol=1e-15, gtol=1e-15)
        circles.append({"points": spots.tolist(), "centre": found.x[:2].tolist(), "radius": float(found.x[2]), "rms": float(np.sqrt((found.fun ** 2).mean()))})

    out = {
        "doc": __doc__.strip(), "by": f"NumPy {np.__version__}, SciPy {scipy.__version__}, scikit-image {skimage.__version__}",
        "voxel": VOXEL, "middle": MIDDLE.tolist(), "surfaces": surfaces,
        "between": {"size": list(size), "points": points.tolist(), "values": between.tolist()}, "regions": regions, "circles": circles,
    }
    with open("volumes.json", "w") as file:
        json.dump(out, file, indent=1)
        file.write("\n")


main()
