"""What depends on normals alone, facet by facet with numpy: the witness of the binned normal image.

For a torus of 200 x 120 quads (radii 20 and 5 mm) and directions spread over the sphere: the area-weighted mean of
|n . up|, and the area, projected along up, of all that leans over by more than 45.5 degrees from upright.
Prints one line a direction: up, mean, area. With `time` it times 2000 directions on a million triangles instead.

    python tests/witness/normal_terms.py > tests/witness/normal_terms.txt
"""
import sys
import time

import numpy as np


def torus(n, m, big, small):
    u = 2 * np.pi * np.arange(n) / n
    v = 2 * np.pi * np.arange(m) / m
    r = big + small * np.cos(v)
    p = np.empty((n, m, 3))
    p[..., 0] = r[None, :] * np.cos(u)[:, None]
    p[..., 1] = r[None, :] * np.sin(u)[:, None]
    p[..., 2] = (small * np.sin(v))[None, :]
    p = p.astype(np.float32).astype(float)
    a, b = p, np.roll(p, -1, 0)
    c, d = np.roll(b, -1, 1), np.roll(p, -1, 1)
    flat = lambda *t: np.stack([x.reshape(-1, 3) for x in t], 1)
    return np.concatenate([flat(a, b, c), flat(a, c, d)])


def doubled(triangles):
    a, b, c = triangles[:, 0], triangles[:, 1], triangles[:, 2]
    return np.cross(b - a, c - a)


def sphere(n):
    k = np.arange(n)
    z = 1 - (2 * k + 1) / n
    r = np.sqrt(1 - z * z)
    turn = np.pi * (3 - np.sqrt(5)) * k
    return np.stack([r * np.cos(turn), r * np.sin(turn), z], 1)


def main():
    if sys.argv[1:] == ["time"]:
        d = doubled(torus(1000, 500, 20.0, 5.0)).astype(np.float32)
        area = np.linalg.norm(d, axis=1)
        n = d / area[:, None]
        start = time.perf_counter()
        for up in sphere(2000).astype(np.float32):
            z = n @ up
            np.abs(z) @ area
            np.where(z < -0.7133, -z, 0) @ area
        print(f"2000 directions, {len(n)} triangles: {time.perf_counter() - start:.2f} s")
        return
    d = doubled(torus(200, 120, 20.0, 5.0))
    area = np.linalg.norm(d, axis=1) / 2
    n = d / (2 * area)[:, None]
    sine = np.sin(np.radians(45.5))
    print(f"# numpy {np.__version__}; x y z, mean |n . up|, mm2 leaning over by more than 45.5 degrees")
    for up in sphere(16):
        z = n @ up
        mean = (np.abs(z) * area).sum() / area.sum()
        leaning = (np.where(z < -sine, -z, 0) * area).sum()
        print(" ".join(f"{x:.9f}" for x in [*up, mean, leaning]))


main()
