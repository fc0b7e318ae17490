#!/usr/bin/env python3
"""Self-intersecting pairs of facets as reference libraries count them.

  self_intersections.py made                   a few shapes that the tests of crate mesh build as well
  self_intersections.py FOLDER > OUT           every STL of at most 6 MB under a folder
  self_intersections.py time FILE [PROGRAM]    CGAL and, where its program is named, our search, in turn

Needs: numpy, libigl (with igl.copyleft.cgal) and cgal; both are GPL there: witnesses in a venv of their own, never
linked, never shipped. Meshes are welded by equal f32 coordinates, facets with two equal corners dropped.
`libigl` is remesh_self_intersections(detect_only), `cgal` is Polygon_mesh_processing.self_intersections, which takes
only closed or open manifolds ('-' elsewhere). Both count pairs of closed triangles that have more in common than the
vertices they share; libigl leaves out facets folded onto a neighbour over a common edge. PROGRAM is the example
`crossings` of crate mesh, built with --release.
"""
import json
import os
import subprocess
import sys
import tempfile
import time

import igl.copyleft.cgal as exact
import numpy as np
from CGAL import CGAL_Polygon_mesh_processing as pmp
from CGAL.CGAL_Polyhedron_3 import Polyhedron_3

MOST_BYTES = 6_000_000


def read(path):
    """Corners of an STL, binary or ASCII: float32, n x 3 x 3."""
    with open(path, "rb") as f:
        data = f.read()
    if len(data) >= 84:
        n = int(np.frombuffer(data, "<u4", 1, 80)[0])
        if len(data) >= 84 + 50 * n and n > 0 and not (data[:5] == b"solid" and b"facet" in data[:400]):
            record = np.dtype([("n", "<f4", 3), ("v", "<f4", (3, 3)), ("a", "<u2")])
            return np.ascontiguousarray(np.frombuffer(data, record, n, 84)["v"])
    words = data.decode("latin-1").split()
    numbers = [words[i + 1 : i + 4] for i, w in enumerate(words) if w == "vertex"]
    return np.array(numbers, np.float32).reshape(-1, 3, 3)


def weld(corners):
    points = corners.reshape(-1, 3) + np.float32(0)
    vertices, ids = np.unique(points, axis=0, return_inverse=True)
    faces = ids.reshape(-1, 3)
    a, b, c = faces.T
    return vertices.astype(float), faces[(a != b) & (b != c) & (c != a)].astype(np.int64)


def by_libigl(vertices, faces):
    return len(exact.remesh_self_intersections(vertices, faces, detect_only=True, cutoff=10**9)[2])


def polyhedron(vertices, faces):
    with tempfile.NamedTemporaryFile("w", suffix=".off", delete=False) as f:
        f.write(f"OFF\n{len(vertices)} {len(faces)} 0\n")
        f.writelines("%.17g %.17g %.17g\n" % tuple(v) for v in vertices)
        f.writelines("3 %d %d %d\n" % tuple(t) for t in faces)
    surface = Polyhedron_3(f.name)
    os.unlink(f.name)
    # A surface that is no manifold becomes an empty one without a word.
    return surface if surface.size_of_facets() == len(faces) else None


def by_cgal(vertices, faces):
    surface = polyhedron(vertices, faces)
    if surface is None:
        return "-"
    pairs = pmp.Facet_pair_Vector() if hasattr(pmp, "Facet_pair_Vector") else []
    pmp.self_intersections(surface, pairs)
    return len(pairs)


def cuboid(low, high):
    """Corner i has bit 0 for x, 1 for y, 2 for z: the same facets as `cuboid` of the tests."""
    p = np.array([[(low, high)[i >> k & 1][k] for k in range(3)] for i in range(8)], np.float32)
    quads = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]]
    return p[[t for a, b, c, d in quads for t in ([a, b, c], [a, c, d])]]


def made():
    box = cuboid([0] * 3, [20] * 3)
    yield "interpenetrating", np.concatenate([box, box + np.float32([10, 7, 5])])
    yield "face to face", np.concatenate([box, box + np.float32([20, 0, 0])])
    yield "part of a face", np.concatenate([box, box + np.float32([20, 5, 3])])
    yield "edge to edge", np.concatenate([box, box + np.float32([20, 20, 0])])
    yield "corner to corner", np.concatenate([box, box + np.float32([20, 20, 20])])
    k = box[0]
    middle = (k[0] + k[1]) / 2
    yield "T-junction", np.concatenate([box[1:], [[k[0], middle, k[2]], [middle, k[1], k[2]]]])
    crack = box.copy()
    crack[0, 0] += np.float32([2e-5, 0, 0])
    yield "crack of 20 nm", crack
    yield "box in a box", np.concatenate([box, box / np.float32(2) + np.float32(5)])
    yield "facet stored twice", np.concatenate([box, box[:1]])


def timed(path, program):
    surface = polyhedron(*weld(read(path)))
    for _ in range(3):
        if surface is not None:
            start, cpu = time.perf_counter(), time.process_time()
            crosses = pmp.does_self_intersect(surface)
            print(json.dumps({"cgal_wall_s": time.perf_counter() - start,
                              "cgal_cpu_s": time.process_time() - cpu, "crosses": bool(crosses)}))
        if program:
            with open(path, "rb") as f:
                print(subprocess.run([program], stdin=f, capture_output=True, text=True, check=True).stdout.strip())


def main():
    if sys.argv[1] == "time":
        timed(sys.argv[2], sys.argv[3] if len(sys.argv) > 3 else None)
        return
    print("# libigl 2.6.3, cgal 6.0.1.post202410241521, both from the Python package index")
    print("# python3 tests/witness/self_intersections.py", "made" if sys.argv[1] == "made" else "FOLDER")
    print("# facets after the weld | libigl | cgal | mesh")
    if sys.argv[1] == "made":
        meshes = made()
    else:
        found = []
        for folder, _, names in os.walk(sys.argv[1]):
            found += [os.path.join(folder, n) for n in names if n.lower().endswith(".stl")]
        found = [p for p in sorted(found) if os.path.getsize(p) <= MOST_BYTES]
        meshes = ((os.path.relpath(p, sys.argv[1]), read(p)) for p in found)
    for name, corners in meshes:
        if len(corners) and np.isfinite(corners).all():
            vertices, faces = weld(corners)
            print(f"{len(faces):6} {by_libigl(vertices, faces):5} {by_cgal(vertices, faces):>5}  {name}", flush=True)


main()
